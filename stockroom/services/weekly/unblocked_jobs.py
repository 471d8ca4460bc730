"""What a delivery does for waiting jobs: planned without what came, and with it."""

from collections.abc import Sequence, Set
from dataclasses import dataclass, replace

from sqlmodel import Session

from planner.values import Limits, Piece, Problem
from stockroom.facts import Fact
from stockroom.record.catalogue import profile_named
from stockroom.record.database import reading
from stockroom.record.jobs import open_frames
from stockroom.record.ledger import RackPiece, on_rack
from stockroom.record.stocktake import not_seen
from stockroom.services.morning.problem import planner_frame
from stockroom.services.planning import planned, planner_piece, rules_for
from stockroom.services.shop import Shop

__all__ = ["Unblocked", "unblocked"]


@dataclass(frozen=True, slots=True)
class Unblocked:
    """What a delivery does for jobs: the frames that can now be cut, by label, and those that
    still can't since they match a batch that did not come, to be told."""

    cuttable: tuple[str, ...] = ()
    unmatched: tuple[Fact, ...] = ()


def unblocked(shop: Shop, arrived: Sequence[RackPiece]) -> Unblocked:
    """The frames that could not be cut before these pieces came and can be now, and why not others.

    Each profile's waiting frames are planned twice, from the free rack with the new pieces and
    without them; pieces and rails that an accepted plan holds are left alone.

    Raises:
        PlannerFault: the planner finds an answer of its own wrong.
    """
    new = {str(piece.id): piece for piece in arrived}
    with reading(shop.engine) as session:
        codes = sorted({piece.profile for piece in arrived})
        problems = [problem_of(session, shop, code) for code in codes]
    found: list[str] = []
    others: list[Fact] = []
    for problem in problems:
        before = cut_of(problem, [p for p in problem.pieces if p.id not in new])
        after = cut_of(problem, problem.pieces)
        found += [frame.id for frame in problem.frames if frame.id in after - before]
        came = sorted({piece.batch for piece in problem.pieces if piece.id in new})
        short = [frame for frame in problem.frames if frame.id not in after]
        for wanted in sorted({frame.batch for frame in short if frame.batch} - {*came}):
            frames = tuple(frame.id for frame in short if frame.batch == wanted)
            others.append(Fact("came_of_other_batch", {"frames": frames, "wanted": wanted,
                                                       "came": tuple(came)}))  # fmt: skip
    return Unblocked(tuple(found), tuple(others))


def problem_of(session: Session, shop: Shop, code: str) -> Problem:
    """A profile's waiting frames, and the pieces that no plan holds."""
    profile = profile_named(session, code)
    free = [piece for piece in on_rack(session, code) if piece.held_by is None]
    lost = not_seen(session, [piece.id for piece in free])
    rack = [piece for piece in free if piece.id not in lost]
    waiting = [frame for frame in open_frames(session, profile=code) if not frame.held]
    frames = tuple(planner_frame(frame, rack, {}, profile) for frame in waiting)
    rules = rules_for(shop.settings, profile, shapes=[frame.shape for frame in waiting])
    return Problem(rules, tuple(map(planner_piece, rack)), frames,
                   limits=Limits(shop.settings.seconds))  # fmt: skip


def cut_of(problem: Problem, pieces: Sequence[Piece]) -> Set[str]:
    """The frames that a plan from these pieces cuts."""
    if not problem.frames:
        return set()
    plan = planned(replace(problem, pieces=tuple(pieces)))
    return {rail.frame for cut in plan.cuts for rail in cut.rails}
