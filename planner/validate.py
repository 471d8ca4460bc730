"""Is this problem fit to plan? Every fault is found before a saw or a solver is started."""

import itertools
from collections import Counter
from collections.abc import Iterable, Iterator

from planner.errors import ProblemRefused
from planner.values import Curve, Piece, Problem

__all__ = ["given_twice", "problem_faults", "refuse_faults"]


def problem_faults(problem: Problem) -> tuple[str, ...]:
    """Everything that keeps this problem from being planned, one sentence each."""
    return (
        *given_twice("piece", (p.id for p in problem.pieces)),
        *given_twice("frame", (f.id for f in problem.frames)),
        *_wrong_pins(problem),
        *_wrong_aims(problem),
        *(fault for profile in problem.worth for fault in _wrong_points(problem, profile)),
    )


def refuse_faults(problem: Problem) -> None:
    """Go on only with a problem free of faults.

    Raises:
        ProblemRefused: with every fault.
    """
    if found := problem_faults(problem):
        raise ProblemRefused(found)


def given_twice(what: str, ids: Iterable[str]) -> Iterator[str]:
    """A sentence for each id that is empty or given more than once."""
    for name, times in Counter(ids).items():
        if not name:
            yield f"a {what} has no id"
        if times > 1:
            yield f"{what} {name}: the id is given {times} times; each {what} needs its own"


def _wrong_pins(problem: Problem) -> Iterator[str]:
    pinned = {frame.pin for frame in problem.frames}
    pieces: dict[str, Piece] = {p.id: p for p in problem.pieces if p.id in pinned}
    for frame in problem.frames:
        if frame.pin is None:
            continue
        piece = pieces.get(frame.pin)
        if piece is None:
            yield f"frame {frame.id}: pinned to piece {frame.pin}, which is not on the rack"
        elif piece.profile != frame.profile:
            yield (
                f"frame {frame.id}: pinned to piece {frame.pin}, which is {piece.profile}; "
                f"the frame is {frame.profile}"
            )


def _wrong_aims(problem: Problem) -> Iterator[str]:
    if problem.aims not in ("ordered", "weighed"):
        yield f"aims: {problem.aims!r}; they are 'ordered' or 'weighed'"


def _wrong_points(problem: Problem, profile: str) -> Iterator[str]:
    points: Curve = problem.worth[profile]
    if not points:
        yield f"worth of {profile}: no points; give one or more, or leave the profile out"
    for length, worth in points:
        if length <= 0 or worth < 0:
            yield f"worth of {profile}: ({length}, {worth}) um; give lengths over 0, worths from 0"
    for (x0, w0), (x1, w1) in itertools.pairwise(points):
        if x1 <= x0 or w1 < w0:
            yield f"worth of {profile}: ({x1}, {w1}) um after ({x0}, {w0}); the points must rise"
