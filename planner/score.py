"""From rails laid on stretches to the plan that is handed over: cuts, leftovers and the score."""

from collections import defaultdict
from collections.abc import Iterable

from planner.sorting import fetch_order
from planner.values import Cut, Frame, Piece, Problem, RailCut, Score, stretches
from planner.worth import worth_of

__all__ = ["Laid", "cuts_of", "score_of"]

# Which rails lie on which stretch: (piece id, stretch number) -> (frame id, rail number).
Laid = dict[tuple[str, int], list[tuple[str, int]]]


def cuts_of(problem: Problem, laid: Laid) -> tuple[Cut, ...]:
    """The cuts in fetching order, one for every stretch of a used piece, longest rails first.

    Leftover: ``max(0, stretch - sum of rails - n * allowance)``; an untouched stretch stays whole.
    """
    frames = {f.id: f for f in problem.frames}
    used = {piece for (piece, _), rails in laid.items() if rails}
    pieces = sorted((p for p in problem.pieces if p.id in used), key=fetch_order)
    return tuple(cut for piece in pieces for cut in _piece_cuts(problem, piece, laid, frames))


def _piece_cuts(
    problem: Problem, piece: Piece, laid: Laid, frames: dict[str, Frame]
) -> Iterable[Cut]:
    rules = problem.rules_of(piece.profile)
    for number, stretch in enumerate(stretches(piece, rules)):
        rails = [
            RailCut(name, index, frames[name].rails[index])
            for name, index in laid.get((piece.id, number), ())
        ]
        rails.sort(key=lambda rail: -rail.length)
        taken = sum(rail.length + rules.cut_allowance for rail in rails)
        left = max(0, stretch.length - taken)
        yield Cut(piece.id, number, tuple(rails), left, left >= rules.keep and left > 0)


def score_of(problem: Problem, cuts: tuple[Cut, ...]) -> Score:
    """The first three aims as reached by these cuts."""
    pieces = {p.id: p for p in problem.pieces}
    worths = {p: worth_of(problem, p) for p in {pieces[c.piece].profile for c in cuts}}
    used = {c.piece for c in cuts}
    sticks = [pieces[name] for name in used if pieces[name].kind == "stick"]
    before: dict[str, int] = defaultdict(int)
    for name in used - {p.id for p in sticks}:
        piece = pieces[name]
        for stretch in stretches(piece, problem.rules_of(piece.profile)):
            before[name] += worths[piece.profile](stretch.length)
    left = sum(worths[pieces[c.piece].profile](c.leftover) for c in cuts)
    cut = len({rail.frame for c in cuts for rail in c.rails})
    return Score(cut, sum(p.length for p in sticks), left - sum(before.values()))
