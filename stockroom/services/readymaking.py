"""Ready-made frames: which standard sizes the rack's offcuts yield today, and their plan."""

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from sqlmodel import Session

from planner.layout import cuts_of, score_of
from planner.values import Curve, Cut, Frame, Piece, Problem
from stockroom.catalogue import moulding_of, profile_named, profiles
from stockroom.database import changing, reading
from stockroom.errors import Refused, Unknown
from stockroom.jobs import open_frames
from stockroom.ledger import RackPiece, on_rack
from stockroom.readymade import SIZES, Size
from stockroom.services.advising import cut_from, idle
from stockroom.services.amending import cancel_stock
from stockroom.services.counter import NewJob, take_in
from stockroom.services.morning import plan_day
from stockroom.services.numbering import metre_price
from stockroom.services.problem import Choices, planner_frame, planner_piece, rules_for
from stockroom.services.shop import Shop
from stockroom.services.sizing import Artwork, job_sizes
from stockroom.services.worthkept import curves_kept
from stockroom.sheet import Sheet
from stockroom.tables import Profile
from stockroom.texts import near

__all__ = ["Offer", "ReadyMade", "ready_made", "sizes_named", "take_ready_made"]

CUSTOMER = "for stock"
LEAST_UM = 1_000
"""A frame that gains less is not worth the work."""


@dataclass(frozen=True, slots=True)
class ReadyMade:
    """A frame of a standard size that offcuts yield: its rails (um) and the pieces it is cut from.

    ``gain`` is what its rails would take of a new stick, less what the offcuts lose in worth, um;
    ``money`` the same at what the profile costs and ``moulding`` what the rails alone would cost
    to buy, minor units; None where no price is known.
    """

    profile: str
    batch: str
    size: Size
    rails: tuple[int, int]
    pieces: tuple[int, ...]
    gain: int
    money: int | None
    moulding: int | None


@dataclass(frozen=True, slots=True)
class Offer:
    """The frames that the rack yields, best worth first, and the pieces that are left alone."""

    frames: tuple[ReadyMade, ...]
    left_alone: frozenset[int]


def sizes_named(typed: Sequence[str]) -> tuple[Size, ...]:
    """The standard sizes of these names, such as "8x10" or A4; all where none is given.

    Raises:
        Unknown: no standard size is called that.
    """
    names = {plain(size.name): size for size in SIZES}
    for name in typed:
        if plain(name) not in names:
            raise Unknown("standard size", name, near(name, [size.name for size in SIZES])
                          or tuple(size.name for size in SIZES))  # fmt: skip
    return tuple(names[plain(name)] for name in typed) or SIZES


def plain(name: str) -> str:
    """A size's name without its unit, in small letters."""
    return "".join(name.lower().removesuffix("in").split())


def ready_made(
    shop: Shop,
    code: str | None = None,
    *,
    sizes: Sequence[Size] = SIZES,
    idle_alone: bool = False,
    most: int = 100,
) -> Offer:
    """The frames of standard sizes that the rack's offcuts yield today, best worth first.

    Each frame comes whole from one batch, and no stick is opened. Pieces that a plan holds, or
    that open jobs would be cut from, are left alone; with ``idle_alone`` all but idle offcuts are.

    Raises:
        Unknown: no profile has this code.
    """
    found: list[ReadyMade] = []
    left_alone: set[int] = set()
    spare = {one.number for one in idle(shop, anyway=True).offcuts} if idle_alone else None
    with reading(shop.engine) as session:
        chosen = [profile_named(session, code)] if code else profiles(session)
        for profile in chosen:
            if profile.kind == "rabbeted":
                rack = [one for one in on_rack(session, profile.code) if one.held_by is None]
                alone = wanted_by_jobs(session, shop, profile, rack)
                alone |= {one.id for one in rack if spare is not None and one.id not in spare}
                left_alone |= alone
                free = [one for one in rack if one.kind == "offcut" and one.id not in alone]
                curve = curves_kept(session, [profile.code]).get(profile.code)
                found += made_from(shop, profile, free, sizes, curve)
    best = sorted(found, key=lambda one: (-(one.money or 0), -one.gain, one.profile))
    return Offer(tuple(best[:most]), frozenset(left_alone))


def wanted_by_jobs(
    session: Session, shop: Shop, profile: Profile, rack: Sequence[RackPiece]
) -> set[int]:
    """The pieces that this profile's open jobs would be cut from."""
    waiting = [frame for frame in open_frames(session, profile=profile.code) if not frame.held]
    frames = [planner_frame(frame, rack, {}, profile) for frame in waiting]
    return {int(cut.piece) for cut in cut_from(shop, profile, rack, frames)}


def made_from(
    shop: Shop,
    profile: Profile,
    free: Sequence[RackPiece],
    sizes: Sequence[Size],
    curve: Curve | None,
) -> Iterator[ReadyMade]:
    """The frames of one profile: each time the one that gains most, from what is then left."""
    rules, price = rules_for(shop.settings, profile), metre_price(profile)
    pieces = [planner_piece(piece) for piece in free]
    tried = {size: rails_of(shop, profile, size) for size in sizes}
    worth = {profile.code: curve} if curve else {}
    while True:
        found = []
        for size, (across, upright) in list(tried.items()):
            frame = Frame("F", profile.code, (across, upright) * 2, one_batch=True)
            problem = Problem(rules, tuple(pieces), (frame,), worth=worth)
            cuts = laid(problem)
            if not cuts:
                # What does not come out of these pieces does not come out of fewer.
                del tried[size]
                continue
            lost = -score_of(problem, cuts).worth
            found.append((2 * (across + upright) + 4 * rules.cut_allowance - lost, size, cuts))
        if not found or max(gain for gain, _, _ in found) < LEAST_UM:
            return
        gain, size, cuts = max(found, key=lambda one: one[0])
        used = tuple(dict.fromkeys(int(cut.piece.split("/")[0]) for cut in cuts if cut.rails))
        batch = next(piece.batch for piece in pieces if piece.id == cuts[0].piece)
        yield ReadyMade(profile.code, batch, size, tried[size], used, gain,
                        bought(gain, price), bought(2 * sum(tried[size]), price))  # fmt: skip
        pieces = left_of(pieces, cuts)


def bought(length: int, per_metre: Fraction | None) -> int | None:
    """What a length costs to buy, minor units; None where no price is known."""
    return None if per_metre is None else round(length * per_metre / 1_000_000)


def laid(problem: Problem) -> tuple[Cut, ...]:
    """The cuts of the problem's one frame where they lose least; none where it does not fit."""
    from stockroom.replay.stepwise import laid_stepwise

    return cuts_of(problem, laid_stepwise(problem))


def left_of(pieces: Sequence[Piece], cuts: Collection[Cut]) -> list[Piece]:
    """The pieces that are left after these cuts; what is cut off one keeps its number, then /."""
    used = {cut.piece: piece for cut in cuts for piece in pieces if piece.id == cut.piece}
    kept = [piece for piece in pieces if piece.id not in used]
    for number, cut in enumerate(cuts):
        if cut.kept:
            was = used[cut.piece]
            kept.append(Piece(f"{was.id}/{number}", was.profile, was.batch, "offcut",
                              cut.leftover, was.since))  # fmt: skip
    return kept


def rails_of(shop: Shop, profile: Profile, size: Size) -> tuple[int, int]:
    """The rails of a standard size in this profile, across and upright, um."""
    artwork = Artwork((size.width,), (size.height,))
    across, upright = job_sizes(artwork, moulding_of(profile), shop.settings).rails_um
    return across, upright


def take_ready_made(shop: Shop, offer: Offer) -> Sheet:
    """Takes these frames in as jobs for stock, and drafts the plan that cuts them from offcuts.

    Jobs for stock that were taken in before and not begun are let go first; those begun are
    planned with the new ones. No stick is opened, and what open jobs need is left alone.

    Raises:
        Refused: the rack yields no frame.
    """
    if not offer.frames:
        raise Refused("the rack's offcuts yield no frame of a standard size today")
    counts = Counter((one.profile, one.size) for one in offer.frames)
    with changing(shop.engine, shop.waiting) as session:
        cancel_stock(session, shop.hand)
        for (profile, size), count in counts.items():
            take_in(session, shop, NewJob(
                CUSTOMER, profile, Artwork((size.width,), (size.height,)), shop.hand.day,
                title=f"ready made {size.name}", quantity=count, one_batch=True, stock=True,
            ))  # fmt: skip
    return plan_day(shop, Choices(shop.hand.day, barred=offer.left_alone, stock=True,
                                  seconds=shop.settings.seconds))  # fmt: skip
