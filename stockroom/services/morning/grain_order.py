"""The order on a piece of a frame that is cut from it alone: its grain runs round the corners."""

from collections.abc import Sequence
from dataclasses import replace

from planner.values import Cut, Frame, Plan, Problem, RailCut, Rules

__all__ = ["round_frames", "round_on"]


def round_frames(problem: Problem, plan: Plan) -> Plan:
    """A plan whose one-piece frames lie on their piece as they are joined: long, short, long,
    short. The same rails from the same stretches, which leave as much to the next motif."""
    frames, profile = of_one_piece(problem), {piece.id: piece.profile for piece in problem.pieces}
    return replace(plan, cuts=tuple(
        in_order(cut, frames, problem.rules_of(profile[cut.piece])) for cut in plan.cuts
    ))  # fmt: skip


def of_one_piece(problem: Problem) -> dict[str, Frame]:
    """The frames of one piece that have a long and a short pair, by their names."""
    alone = [frame for frame in problem.frames if frame.one_piece]
    pairs = [one for one in alone if (len(one.rails), len(set(one.rails))) == (4, 2)]
    return {frame.id: frame for frame in pairs}


def in_order(cut: Cut, frames: dict[str, Frame], rules: Rules) -> Cut:
    """A cut with the rails of each one-piece frame in turn round it, then all others."""
    whole = dict.fromkeys(rail.frame for rail in cut.rails if rail.frame in frames)
    if not whole:
        return cut
    rails: list[RailCut] = []
    for name in whole:
        rails += in_ring(frames[name], [one for one in cut.rails if one.frame == name])
    others = [rail for rail in cut.rails if rail.frame not in frames]
    rails += others
    was, now = (rules.taken(one[-1].length) - one[-1].length for one in (cut.rails, rails))
    return replace(cut, rails=tuple(rails),
                   leftover=cut.leftover + now - was if cut.leftover else 0)  # fmt: skip


def in_ring(frame: Frame, rails: Sequence[RailCut]) -> list[RailCut]:
    """Rails in the order in which they meet at the corners, from the first of the longest on."""
    first = frame.rails.index(max(frame.rails))
    return sorted(rails, key=lambda rail: (rail.rail - first) % len(frame.rails))


def round_on(problem: Problem, cuts: Sequence[Cut]) -> tuple[str, ...]:
    """The one-piece frames whose rails lie so on the piece of these cuts, all of one stretch."""
    frames = of_one_piece(problem)
    found = []
    for cut in cuts:
        for name in dict.fromkeys(rail.frame for rail in cut.rails if rail.frame in frames):
            own = [rail for rail in cut.rails if rail.frame == name]
            at = cut.rails.index(own[0])
            in_turn = [*cut.rails[at : at + len(own)]] == in_ring(frames[name], own)
            if in_turn and len(own) == len(frames[name].rails):
                found.append(name)
    return tuple(found)
