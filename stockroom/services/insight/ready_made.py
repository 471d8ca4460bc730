"""Ready-made frames: which standard sizes the rack's offcuts yield today, and their plan."""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from planner.score import offcut_left, score_of
from planner.values import Curve, Cut, Frame, Piece, Problem, Rules
from stockroom.frame.standard_sizes import Size, size_known
from stockroom.record.catalogue import moulding_of, price_of, profile_named, profiles
from stockroom.record.database import changing, reading
from stockroom.record.jobs import OpenFrame, open_frames
from stockroom.record.ledger import RackPiece, on_rack
from stockroom.record.tables import Profile
from stockroom.refusals import Refused
from stockroom.services.counter.amend import cancel_stock
from stockroom.services.counter.artwork import Artwork, job_sizes
from stockroom.services.counter.take import NewJob, take_in
from stockroom.services.insight.advise_offcuts import cut_from, dead_offcuts
from stockroom.services.morning.day_plan import plan_day
from stockroom.services.morning.problem import Choices, planner_frame
from stockroom.services.past.kept_worth import curves_kept
from stockroom.services.planning import frame_by_frame, planner_piece, rules_for
from stockroom.services.shop import Shop
from stockroom.units.lengths import Micrometres
from stockroom.units.money import Price
from stockroom.views.sheet import Sheet

__all__ = ["Offer", "ReadyMade", "ready_made", "sizes_named", "take_ready_made"]

CUSTOMER = "for stock"
NOTHING: Curve = ((1, 0), (2, 0))
"""The worth of a leftover that no other job wants."""
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
    rails: tuple[Micrometres, Micrometres]
    pieces: tuple[int, ...]
    gain: int
    money: int | None
    moulding: int | None


@dataclass(frozen=True, slots=True)
class Offer:
    """The frames that the rack yields, best worth first, and the pieces that are left alone."""

    frames: tuple[ReadyMade, ...]
    left_alone: frozenset[int]


@dataclass(frozen=True, slots=True)
class Goal:
    """What is to be made of one profile: the rails of each size, and what a metre costs."""

    profile: Profile
    rules: Rules
    price: Price | None
    rails: Mapping[Size, tuple[Micrometres, Micrometres]]

    def need(self, size: Size) -> int:
        """The stick that a frame's rails take with their cuts, um."""
        return 2 * sum(self.rails[size]) + 4 * self.rules.cut_allowance


def sizes_named(shop: Shop, typed: Sequence[str]) -> tuple[Size, ...]:
    """The sizes of these names, such as "8x10" or A4, or any as typed; the shop's list where none
    is given.

    Raises:
        Unreadable: one is no size.
    """
    known, unit = shop.settings.sizes_known, shop.settings.unit
    return tuple(size_known(name, known, unit) for name in typed) or shop.settings.ready_made


def ready_made(
    shop: Shop,
    code: str | None = None,
    *,
    sizes: Sequence[Size] = (),
    dead_alone: bool = False,
    most: int = 100,
) -> Offer:
    """The frames of these sizes that the rack's offcuts yield today, best worth first.

    Where no size is named they are the shop's ready-made ones.

    Each frame comes whole from one batch, and no stick is opened. Pieces that a plan holds, or
    that open jobs would be cut from, are left alone; with ``dead_alone`` all but dead offcuts are.
    Dead offcuts go first, and are worth nothing else.

    Raises:
        Unknown: no profile has this code.
    """
    sizes = sizes or shop.settings.ready_made
    found: list[ReadyMade] = []
    left_alone: set[int] = set()
    spare = {one.number for one in dead_offcuts(shop, anyway=dead_alone).offcuts}
    with reading(shop.engine) as session:
        chosen = [profile_named(session, code)] if code else profiles(session)
        free = [one for one in on_rack(session) if one.held_by is None]
        waiting = [frame for frame in open_frames(session) if not frame.held]
        curves = curves_kept(session, [profile.code for profile in chosen])
    for profile in (one for one in chosen if one.kind == "rabbeted"):
        rack = [one for one in free if one.profile == profile.code]
        alone = wanted_by_jobs(shop, profile, rack, waiting)
        alone |= {one.id for one in rack if dead_alone and one.id not in spare}
        left_alone |= alone
        offcuts = [one for one in rack if one.kind == "offcut" and one.id not in alone]
        goal = Goal(profile, rules_for(shop.settings, profile), price_of(profile),
                    {size: rails_of(shop, profile, size) for size in sizes})  # fmt: skip
        first, left = made_from(goal, pieces_of(offcuts, spare), NOTHING)
        rest = pieces_of(offcuts, {one.id for one in offcuts} - spare)
        found += [*first, *made_from(goal, [*left, *rest], curves.get(profile.code))[0]]
    best = sorted(found, key=lambda one: (-(one.money or 0), -one.gain, one.profile))
    return Offer(tuple(best[:most]), frozenset(left_alone))


def pieces_of(rack: Sequence[RackPiece], numbers: Collection[int]) -> list[Piece]:
    """Those of these pieces that have one of these numbers, as the planner takes them."""
    return [planner_piece(piece) for piece in rack if piece.id in numbers]


def wanted_by_jobs(
    shop: Shop, profile: Profile, rack: Sequence[RackPiece], waiting: Sequence[OpenFrame]
) -> set[int]:
    """The pieces that this profile's open jobs would be cut from."""
    frames = [planner_frame(frame, rack, {}, profile)
              for frame in waiting if frame.profile == profile.code]  # fmt: skip
    return {int(cut.piece) for cut in cut_from(shop, profile, rack, frames)}


def made_from(
    goal: Goal, pieces: Sequence[Piece], curve: Curve | None
) -> tuple[list[ReadyMade], list[Piece]]:
    """The frames that pieces of one profile yield, and what is left of them.

    Each time the frame that gains most is taken from what is then left.
    """
    found, sizes, left = list[ReadyMade](), list(goal.rails), list(pieces)
    while True:
        tried = [(size, *laid(goal, size, left, curve)) for size in sizes]
        # What does not come out of these pieces does not come out of fewer.
        tried = [(size, cuts, lost) for size, cuts, lost in tried if cuts]
        sizes = [size for size, _, _ in tried]
        gaining = [one for one in tried if goal.need(one[0]) - one[2] >= LEAST_UM]
        if not gaining:
            return found, left
        size, cuts, lost = max(gaining, key=lambda one: goal.need(one[0]) - one[2])
        found.append(offered(goal, size, cuts, lost, left))
        left = left_of(left, cuts, goal.rules)


def offered(
    goal: Goal, size: Size, cuts: Sequence[Cut], lost: int, pieces: Sequence[Piece]
) -> ReadyMade:
    """A frame of this size as it is offered."""
    used = tuple(dict.fromkeys(int(cut.piece.split("/")[0]) for cut in cuts if cut.rails))
    batch = next(piece.batch for piece in pieces if piece.id == cuts[0].piece)
    gain = goal.need(size) - lost
    return ReadyMade(goal.profile.code, batch, size, goal.rails[size], used, gain,
                     bought(gain, goal.price),
                     bought(2 * sum(goal.rails[size]), goal.price))  # fmt: skip


def bought(length: Micrometres, price: Price | None) -> int | None:
    """What a length costs to buy, minor units; None where no price is known."""
    return None if price is None else price.of(length)


def laid(
    goal: Goal, size: Size, pieces: Sequence[Piece], curve: Curve | None
) -> tuple[tuple[Cut, ...], int]:
    """The cuts of one frame where they lose least, and the worth lost; no cuts if none fits."""
    code = goal.profile.code
    frame = Frame("F", code, goal.rails[size] * 2, one_batch=True)
    problem = Problem(goal.rules, tuple(pieces), (frame,), worth={code: curve} if curve else {})
    cuts = frame_by_frame(problem)
    return cuts, -score_of(problem, cuts).worth


def left_of(pieces: Sequence[Piece], cuts: Collection[Cut], rules: Rules) -> list[Piece]:
    """The pieces that are left after these cuts; what is cut off one keeps its number, then /."""
    used = {cut.piece: piece for cut in cuts for piece in pieces if piece.id == cut.piece}
    kept = [piece for piece in pieces if piece.id not in used]
    for number, cut in enumerate(cuts):
        if cut.kept:
            was = used[cut.piece]
            kept.append(replace(offcut_left(was, rules, cut), id=f"{was.id}/{number}"))
    return kept


def rails_of(shop: Shop, profile: Profile, size: Size) -> tuple[int, int]:
    """The rails of a standard size in this profile, across and upright, um."""
    artwork = Artwork((size.width,), (size.height,))
    across, upright = job_sizes(artwork, moulding_of(profile), shop.settings,
                                machine=profile.machine).rails_um  # fmt: skip
    return across, upright


def take_ready_made(shop: Shop, offer: Offer) -> Sheet:
    """Takes these frames in as jobs for stock, and drafts the plan that cuts them from offcuts.

    Jobs for stock that were taken in before and not begun are let go first; those begun are
    planned with the new ones. No stick is opened, and what open jobs need is left alone.

    Raises:
        Refused: the rack yields no frame.
    """
    if not offer.frames:
        raise Refused("offcuts_yield_no_size")
    counts = Counter((one.profile, one.size) for one in offer.frames)
    with changing(shop.engine, shop.waiting) as session:
        cancel_stock(session, shop.hand)
        take_in(session, shop, [
            NewJob(CUSTOMER, profile, Artwork((size.width,), (size.height,)), shop.hand.day,
                   title=f"ready made {size.name}", quantity=count, one_batch=True, stock=True)
            for (profile, size), count in counts.items()
        ])  # fmt: skip
    return plan_day(shop, Choices(shop.hand.day, left_alone=offer.left_alone, stock=True,
                                  seconds=shop.settings.seconds))  # fmt: skip
