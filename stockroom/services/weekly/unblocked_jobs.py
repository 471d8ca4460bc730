"""Which waiting jobs a delivery makes possible: planned without what came, and with it."""

from collections.abc import Sequence, Set
from dataclasses import replace

from sqlmodel import Session

from planner.values import Limits, Piece, Problem
from stockroom.record.catalogue import profile_named
from stockroom.record.database import reading
from stockroom.record.jobs import open_frames
from stockroom.record.ledger import RackPiece, on_rack
from stockroom.services.morning.problem import planner_frame
from stockroom.services.planning import planned, planner_piece, rules_for
from stockroom.services.shop import Shop

__all__ = ["now_cuttable"]


def now_cuttable(shop: Shop, arrived: Sequence[RackPiece]) -> tuple[str, ...]:
    """The frames that could not be cut before these pieces came and can be now, by label.

    Each profile's waiting frames are planned twice, from the free rack with the new pieces and
    without them; pieces and rails that an accepted plan holds are left alone.

    Raises:
        PlannerFault: the planner finds an answer of its own wrong.
    """
    new = {str(piece.id) for piece in arrived}
    with reading(shop.engine) as session:
        codes = sorted({piece.profile for piece in arrived})
        problems = [problem_of(session, shop, code) for code in codes]
    found: list[str] = []
    for problem in problems:
        before = cut_of(problem, [p for p in problem.pieces if p.id not in new])
        after = cut_of(problem, problem.pieces)
        found += [frame.id for frame in problem.frames if frame.id in after - before]
    return tuple(found)


def problem_of(session: Session, shop: Shop, code: str) -> Problem:
    """A profile's waiting frames, and the pieces that no plan holds."""
    profile = profile_named(session, code)
    rack = [piece for piece in on_rack(session, code) if piece.held_by is None]
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
