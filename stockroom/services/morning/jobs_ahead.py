"""Jobs that are due later: which of them to cut with today's, since that pays."""

from collections.abc import Collection
from concurrent.futures import Executor
from dataclasses import replace

from planner.score import clear_left
from planner.stretches import stretches
from planner.values import Frame, Limits, Plan, Problem
from planner.worth import worth_of
from stockroom.services.morning.problem import TodaysWork
from stockroom.services.planning import likely_ahead, planned

__all__ = ["with_what_pays"]


def with_what_pays(work: TodaysWork, executor: Executor | None = None) -> TodaysWork:
    """Today's work, with those later frames that are worth cutting with it and no others.

    Half of the time goes into the trial, where there is one.
    """
    if not work.later:
        return work
    due = frozenset(work.frames) - work.later
    half = replace(work.problem, limits=_share(work.problem.limits, 2))
    kept = due | paying(half, due, executor)
    return replace(
        work,
        problem=replace(half, frames=tuple(f for f in half.frames if f.id in kept)),
        frames={label: frame for label, frame in work.frames.items() if label in kept},
        later=work.later & kept,
    )


def paying(problem: Problem, due: Collection[str], executor: Executor | None) -> frozenset[str]:
    """The later frames that pay: planned with and without them, the best plan shows it.

    Profile by profile, those that the look-ahead picks are kept where they add less than their
    rails and allowances are long to the sticks opened and the worth used, less the worth left.
    """
    picked = whole_sets(problem, due, likely(problem, due))
    profiles = {frame.profile for frame in problem.frames if frame.id in picked}
    if not profiles:
        return frozenset()
    alone = costs_of(problem, _trial(problem, profiles, set(due), executor))
    both = _trial(problem, profiles, picked | set(due), executor)
    cut = picked & {rail.frame for one in both.cuts for rail in one.rails}
    early = [frame for frame in problem.frames if frame.id in cut]
    saved = {code: alone.get(code, 0) - cost for code, cost in costs_of(problem, both).items()}
    for frame in early:
        saved[frame.profile] += length_of(problem, frame)
    pays = frozenset(frame.id for frame in early if saved[frame.profile] > 0)
    return whole_sets(problem, due, pays)


def whole_sets(problem: Problem, due: Collection[str], picked: frozenset[str]) -> frozenset[str]:
    """Those of the later frames picked whose set is picked whole, or due."""
    torn = {f.link for f in problem.frames if f.id not in picked and f.id not in due} - {None}
    return frozenset(f.id for f in problem.frames if f.id in picked and f.link not in torn)


def likely(problem: Problem, due: Collection[str]) -> frozenset[str]:
    """The later frames that the look-ahead would cut, of profiles that are cut today anyhow."""
    today = {frame.profile for frame in problem.frames if frame.id in due}
    seen = replace(problem, frames=tuple(f for f in problem.frames if f.profile in today))
    return likely_ahead(seen, due)


def _share(limits: Limits, parts: int) -> Limits:
    return replace(limits, seconds=limits.seconds / parts)


def _trial(
    problem: Problem, profiles: Collection[str], names: Collection[str], executor: Executor | None
) -> Plan:
    """The plan of these profiles alone, for the frames of these names, in half of the time."""
    frames = tuple(f for f in problem.frames if f.profile in profiles and f.id in names)
    pieces = tuple(p for p in problem.pieces if p.profile in profiles)
    part = replace(problem, frames=frames, pieces=pieces, limits=_share(problem.limits, 2))
    return planned(part, executor)


def costs_of(problem: Problem, plan: Plan) -> dict[str, int]:
    """Stick opened, trims aside, and worth of offcuts used, less the worth left (um)."""
    pieces = {piece.id: piece for piece in problem.pieces}
    worths = {piece.profile: worth_of(problem, piece.profile) for piece in problem.pieces}
    costs: dict[str, int] = {}
    for name in dict.fromkeys(cut.piece for cut in plan.cuts):
        piece, worth = pieces[name], worths[pieces[name].profile]
        rules = problem.rules_of(piece.profile)
        lengths = [run.clear for run in stretches(piece, rules)]
        taken = sum(lengths) if piece.kind == "stick" else sum(map(worth, lengths))
        left = sum(worth(clear_left(piece, rules, c)) for c in plan.cuts if c.piece == name)
        costs[piece.profile] = costs.get(piece.profile, 0) + taken - left
    return costs


def length_of(problem: Problem, frame: Frame) -> int:
    """A frame's rails, each with one cut allowance (um): the least that it ever takes."""
    allowance = problem.rules_of(frame.profile).cut_allowance
    return sum(rail + allowance for rail in frame.rails)
