"""The week's order: what to buy, by supplier, and why."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from sqlmodel import Session

from planner.values import Frame, Limits, Piece, Problem
from stockroom.buying import SERVICE, Case, Class, as_free, classes, cover
from stockroom.catalogue import profile_named, profiles, suppliers
from stockroom.database import reading
from stockroom.jobs import OpenFrame, open_frames
from stockroom.ledger import RackPiece, on_rack
from stockroom.orders import on_order
from stockroom.services.demanded import Asked, asked_for, never
from stockroom.services.ordering import delivery_after
from stockroom.services.problem import planner_frame, planner_piece, rules_for
from stockroom.services.shop import Shop
from stockroom.tables import Profile, Supplier

__all__ = ["OrderLine", "reorder"]

REVIEW_DAYS = 7
TRUSTED_WEEKS = 13
"""With a shorter past nothing is expected, and the profile's minimum holds instead."""


@dataclass(frozen=True, slots=True)
class OrderLine:
    """Sticks of a profile to buy: how many, what they cost, and the reasons.

    ``for_short`` sticks are for frames due by the given day, ``for_jobs`` for later ones,
    ``for_expected`` cover what may come before the next order is there, ``for_minimum`` bring the
    rack back to the profile's minimum while its past is too short to say, ``for_box`` fill the
    last box. Prices in minor units; None where the catalogue has none.
    """

    supplier: str
    supplier_name: str
    profile: str
    sticks: int
    for_short: int
    for_jobs: int
    for_expected: int
    for_minimum: int
    for_box: int
    stick_length: int
    stick_price: int | None
    price: int | None
    why: str
    rank: Class = "C"
    box: int = 1


@dataclass(frozen=True, slots=True)
class Shelf:
    """All that the review knows of one profile."""

    profile: Profile
    supplier: Supplier
    waiting: Sequence[OpenFrame]
    rack: Sequence[RackPiece]
    coming: int
    asked: Asked
    rank: Class


def reorder(shop: Shop, until: date | None = None, profile: str | None = None) -> list[OrderLine]:
    """What to buy this week, by supplier and profile.

    Frames due by ``until`` (today unless given) that the rack cannot yield come first, then what
    all open jobs need beyond it and what is on order, then what the profile's past makes likely
    before the order of the next review would be there.
    """
    with reading(shop.engine) as session:
        shelves = shelves_of(session, shop.hand.day, profile)
    day = until or shop.hand.day
    lines = [line for shelf in shelves if (line := order_line(shop, shelf, day))]
    return sorted(lines, key=lambda line: (line.supplier, line.profile))


def shelves_of(session: Session, today: date, only: str | None) -> list[Shelf]:
    """Each profile with its jobs, its free pieces, what is on order, and its past."""
    sellers = {supplier.code: supplier for supplier in suppliers(session)}
    every = profiles(session)
    chosen = [profile_named(session, only)] if only else every
    waiting: dict[str, list[OpenFrame]] = {one.code: [] for one in every}
    rack: dict[str, list[RackPiece]] = {one.code: [] for one in every}
    for frame in open_frames(session):
        if not frame.held:
            waiting[frame.profile].append(frame)
    for piece in on_rack(session):
        if piece.held_by is None:
            rack[piece.profile].append(piece)
    past, coming = asked_for(session, today), on_order(session)
    ranks = classes({one.code: value_of(one, past.get(one.code)) for one in every})
    return [
        Shelf(one, sellers[one.supplier_code], waiting[one.code], rack[one.code],
              sum(sticks for _, sticks in coming.get(one.code, ())),
              past.get(one.code) or never(session, today), ranks[one.code])
        for one in chosen
    ]  # fmt: skip


def value_of(profile: Profile, asked: Asked | None) -> int:
    """What a profile's rails came to at its stick's price, or its length where there is none."""
    if asked is None:
        return 0
    price = profile.stick_price_minor
    return (
        asked.length // 1000 if price is None else asked.length * price // profile.stick_length_um
    )


def order_line(shop: Shop, shelf: Shelf, until: date) -> OrderLine | None:
    """What to buy of one profile; None where nothing is needed."""
    profile, waiting = shelf.profile, shelf.waiting
    due = [frame for frame in waiting if frame.due <= until]
    now, _ = sticks_needed(shop, profile, shelf.rack, due)
    total, left = sticks_needed(shop, profile, shelf.rack, waiting, shelf.coming)
    later, now = max(0, total - now), min(now, total)
    trusted = shelf.asked.forecast.weeks >= TRUSTED_WEEKS
    stocked = not profile.discontinued
    expected = expected_sticks(shop, shelf, total) if trusted and stocked else 0
    minimum = max(0, profile.minimum_sticks - left) if stocked and not trusted else 0
    needed = now + later + expected + minimum
    if needed == 0:
        return None
    box = -needed % (profile.box_sticks or 1)
    sticks, price = needed + box, profile.stick_price_minor
    parts = {"now": now, "later": later, "expected": expected, "minimum": minimum, "box": box}
    return OrderLine(
        shelf.supplier.code, shelf.supplier.name, profile.code, sticks, now, later, expected,
        minimum, box, profile.stick_length_um, price, None if price is None else price * sticks,
        reason(shelf, parts, left, due, horizon(shelf.supplier, shop.hand.day)), shelf.rank,
        profile.box_sticks or 1,
    )  # fmt: skip


def horizon(supplier: Supplier, today: date) -> int:
    """Days until an order of the next review would be there."""
    return (delivery_after(supplier, today + timedelta(REVIEW_DAYS)) - today).days


def expected_sticks(shop: Shop, shelf: Shelf, for_jobs: int) -> int:
    """Sticks that cover what may be asked for before the next order is there.

    The sticks that the open jobs need are ordered anyway, and what they leave is cut first.
    """
    profile, rules = shelf.profile, rules_for(shop.settings, shelf.profile)
    bought = sticks_coming(profile, shelf.coming + for_jobs)
    pieces = (*map(planner_piece, shelf.rack), *bought)
    day = shop.hand.day
    case = Case(
        profile.code, rules, profile.stick_length_um,
        tuple(as_free(piece, rules) for piece in pieces),
        tuple(asked(frame, shelf.rack, profile) for frame in shelf.waiting),
        shelf.asked.shapes, profile.batch_matched, shelf.asked.forecast, day,
        -(-horizon(shelf.supplier, day) // 7),
    )  # fmt: skip
    return cover(case, SERVICE[shelf.rank])


def reason(
    shelf: Shelf,
    parts: Mapping[str, int],
    left: int,
    due: Sequence[OpenFrame],
    days: int,
) -> str:
    """Why these sticks are wanted, in words a framer would use."""
    profile, past = shelf.profile, shelf.asked.forecast
    words = []
    if parts["now"]:
        words.append(f"{parts['now']} for {jobs_named(due)}, short today")
    if parts["later"]:
        others = [frame for frame in shelf.waiting if frame not in due]
        words.append(f"{parts['later']} for {jobs_named(others or shelf.waiting)}")
    if parts["expected"]:
        share = round(100 * SERVICE[shelf.rank])
        words.append(f"{parts['expected']} to cover {days} days {share} times in 100 "
                     f"({past.evidence})")  # fmt: skip
    if parts["minimum"]:
        words.append(f"{parts['minimum']} to keep {whole_sticks(profile.minimum_sticks)} "
                     f"({left} left)")  # fmt: skip
    if parts["box"]:
        words.append(f"{parts['box']} to fill a box of {profile.box_sticks}")
    if profile.discontinued:
        words.append("sold no more: for open jobs alone, if any are left")
    if shelf.coming:
        words.append(f"{shelf.coming} on order counted")
    return "; ".join(words)


def whole_sticks(count: int) -> str:
    """A count of whole sticks, in words."""
    return "1 whole stick" if count == 1 else f"{count} whole sticks"


def jobs_named(frames: Sequence[OpenFrame]) -> str:
    """The jobs of these frames, at most four by name."""
    names = [f"J{job}" for job in dict.fromkeys(frame.job for frame in frames)]
    return ", ".join(names[:4]) + (f" and {len(names) - 4} more" if len(names) > 4 else "")


def sticks_needed(
    shop: Shop,
    profile: Profile,
    rack: Sequence[RackPiece],
    frames: Sequence[OpenFrame],
    coming: int = 0,
) -> tuple[int, int]:
    """How many new sticks these frames need beyond the rack and what is on order.

    Also gives the whole sticks that are left after them, those on order among them.

    First the planner cuts what the rack can yield. The frames that stay short are then planned
    with what is left and as many new sticks as could ever be wanted, where the rest of the rack
    costs nothing: the new sticks that it opens are the need.
    """
    import planner

    whole = [str(piece.id) for piece in rack if piece.kind == "stick"]
    if not frames:
        return 0, len(whole) + coming
    rules = rules_for(shop.settings, profile)
    limits = Limits(shop.settings.seconds)
    wanted = tuple(asked(frame, rack, profile) for frame in frames)
    pieces = tuple(planner_piece(piece) for piece in rack)
    first = planner.plan(Problem(rules, pieces, wanted, limits=limits))
    opened = {cut.piece for cut in first.cuts}
    still = [frame for frame in wanted if frame.id in {short.frame for short in first.short}]
    if not still:
        return 0, len(set(whole) - opened) + coming
    ordered = sticks_coming(profile, coming)
    rest = [as_free(piece, rules) for piece in (*pieces, *ordered) if piece.id not in opened]
    new = new_sticks(profile, still)
    second = planner.plan(Problem(rules, (*rest, *new), tuple(still), limits=limits))
    opened |= {cut.piece for cut in second.cuts}
    unopened = {*whole, *(piece.id for piece in ordered)} - opened
    return len(opened & {piece.id for piece in new}), len(unopened)


def asked(frame: OpenFrame, rack: Sequence[RackPiece], profile: Profile) -> Frame:
    """A waiting frame for the reckoning.

    A begun one that must match a batch which the rack cannot give any more is cut again whole.
    """
    wanted = planner_frame(frame, rack, {}, profile)
    if wanted.batch is None or any(
        piece.batch == wanted.batch and piece.length >= max(wanted.rails) for piece in rack
    ):
        return wanted
    sides = (frame.across, frame.upright)
    return replace(wanted, rails=sides * 2, batch=None)


def new_sticks(profile: Profile, frames: Sequence[Frame]) -> list[Piece]:
    """Sticks not yet bought, as many as these frames could want, named apart from the rack's."""
    return [
        Piece(f"new-{number:04d}", profile.code, "new", "stick", profile.stick_length_um)
        for number in range(sum(len(frame.rails) for frame in frames))
    ]


def sticks_coming(profile: Profile, count: int) -> list[Piece]:
    """Sticks on order, as they will be when they come, of a batch that is not known yet."""
    return [
        Piece(f"coming-{number:04d}", profile.code, "coming", "stick", profile.stick_length_um)
        for number in range(count)
    ]
