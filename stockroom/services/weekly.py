"""The week's order: what to buy, by supplier, and why."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from planner.values import Frame, Limits, Piece, Problem, Rules
from stockroom.catalogue import profile_named, profiles, suppliers
from stockroom.database import reading
from stockroom.jobs import OpenFrame, open_frames
from stockroom.ledger import RackPiece, on_rack
from stockroom.services.problem import planner_frame, planner_piece, rules_for
from stockroom.services.shop import Shop
from stockroom.tables import Profile

__all__ = ["OrderLine", "reorder"]


@dataclass(frozen=True, slots=True)
class OrderLine:
    """Sticks of a profile to buy: how many, what they cost, and the reasons.

    ``for_short`` sticks are for frames due by the given day, ``for_jobs`` for later ones,
    ``for_minimum`` to bring the rack back to the profile's minimum. Prices in minor units; None
    where the catalogue has none.
    """

    supplier: str
    supplier_name: str
    profile: str
    sticks: int
    for_short: int
    for_jobs: int
    for_minimum: int
    stick_length: int
    stick_price: int | None
    price: int | None
    why: str


def reorder(shop: Shop, until: date | None = None, profile: str | None = None) -> list[OrderLine]:
    """What to buy this week, by supplier and profile.

    Frames due by ``until`` (today unless given) that the rack cannot yield come first, then what
    all open jobs need beyond it, then the minimum of whole sticks each profile should have.
    """
    with reading(shop.engine) as session:
        names = {supplier.code: supplier.name for supplier in suppliers(session)}
        every = [profile_named(session, profile)] if profile else profiles(session)
        waiting: dict[str, list[OpenFrame]] = {one.code: [] for one in every}
        rack: dict[str, list[RackPiece]] = {one.code: [] for one in every}
        for frame in open_frames(session):
            if not frame.held and frame.profile in waiting:
                waiting[frame.profile].append(frame)
        for piece in on_rack(session):
            if piece.held_by is None and piece.profile in rack:
                rack[piece.profile].append(piece)
    day = until or shop.hand.day
    lines = [
        line
        for one in every
        if (line := order_line(shop, one, names, day, waiting[one.code], rack[one.code]))
    ]  # fmt: skip
    return sorted(lines, key=lambda line: (line.supplier, line.profile))


def order_line(
    shop: Shop,
    profile: Profile,
    names: Mapping[str, str],
    until: date,
    waiting: Sequence[OpenFrame],
    rack: Sequence[RackPiece],
) -> OrderLine | None:
    """What to buy of one profile; None where nothing is needed."""
    due = [frame for frame in waiting if frame.due <= until]
    now, _ = sticks_needed(shop, profile, rack, due)
    total, left = sticks_needed(shop, profile, rack, waiting)
    later = max(0, total - now)
    minimum = max(0, profile.minimum_sticks - left)
    sticks = now + later + minimum
    if sticks == 0:
        return None
    price = profile.stick_price_minor
    return OrderLine(
        profile.supplier_code, names[profile.supplier_code], profile.code, sticks, now, later,
        minimum, profile.stick_length_um, price, None if price is None else price * sticks,
        reason(profile, now, later, minimum, left, due, waiting),
    )  # fmt: skip


def reason(
    profile: Profile,
    now: int,
    later: int,
    minimum: int,
    left: int,
    due: Sequence[OpenFrame],
    waiting: Sequence[OpenFrame],
) -> str:
    """Why these sticks are wanted, in words a framer would use."""
    words = []
    if now:
        words.append(f"{now} for {jobs_named(due)}, short today")
    if later:
        words.append(f"{later} for {jobs_named([f for f in waiting if f not in due] or waiting)}")
    if minimum:
        words.append(f"{minimum} to keep {whole_sticks(profile.minimum_sticks)} ({left} left)")
    return "; ".join(words)


def whole_sticks(count: int) -> str:
    """A count of whole sticks, in words."""
    return "1 whole stick" if count == 1 else f"{count} whole sticks"


def jobs_named(frames: Sequence[OpenFrame]) -> str:
    """The jobs of these frames, at most four by name."""
    names = [f"J{job}" for job in dict.fromkeys(frame.job for frame in frames)]
    return ", ".join(names[:4]) + (f" and {len(names) - 4} more" if len(names) > 4 else "")


def sticks_needed(
    shop: Shop, profile: Profile, rack: Sequence[RackPiece], frames: Sequence[OpenFrame]
) -> tuple[int, int]:
    """How many new sticks these frames need beyond the rack, and whole sticks left after them.

    First the planner cuts what the rack can yield. The frames that stay short are then planned
    with what is left and as many new sticks as could ever be wanted, where the rest of the rack
    costs nothing: the new sticks that it opens are the need.
    """
    import planner

    whole = [str(piece.id) for piece in rack if piece.kind == "stick"]
    if not frames:
        return 0, len(whole)
    rules = rules_for(shop.settings, profile)
    limits = Limits(shop.settings.seconds)
    wanted = tuple(asked(frame, rack, profile) for frame in frames)
    pieces = tuple(planner_piece(piece) for piece in rack)
    first = planner.plan(Problem(rules, pieces, wanted, limits=limits))
    opened = {cut.piece for cut in first.cuts}
    still = [frame for frame in wanted if frame.id in {short.frame for short in first.short}]
    if not still:
        return 0, len(set(whole) - opened)
    rest = [as_offcut(piece, rules) for piece in pieces if piece.id not in opened]
    new = new_sticks(profile, still)
    second = planner.plan(Problem(rules, (*rest, *new), tuple(still), limits=limits))
    opened |= {cut.piece for cut in second.cuts}
    return len(opened & {piece.id for piece in new}), len(set(whole) - opened)


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


def as_offcut(piece: Piece, rules: Rules) -> Piece:
    """A piece that the shop has already, as one that costs nothing: a stick less its trims."""
    if piece.kind == "offcut":
        return piece
    last = piece.length - 2 * rules.end_trim
    flaws = ((max(0, start - rules.end_trim), min(last, end - rules.end_trim))
             for start, end in piece.flaws)  # fmt: skip
    inside = tuple(flaw for flaw in flaws if flaw[0] < flaw[1])
    return replace(piece, kind="offcut", length=last, flaws=inside)


def new_sticks(profile: Profile, frames: Sequence[Frame]) -> list[Piece]:
    """Sticks not yet bought, as many as these frames could want, named apart from the rack's."""
    return [
        Piece(f"new-{number:04d}", profile.code, "new", "stick", profile.stick_length_um)
        for number in range(sum(len(frame.rails) for frame in frames))
    ]
