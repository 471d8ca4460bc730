"""From rails laid on stretches to the plan that is handed over: cuts, leftovers and the score."""

from collections.abc import Collection, Iterable
from dataclasses import replace
from datetime import date

from planner.sorting import by_due, fetch_order
from planner.stretches import stretches
from planner.values import Cut, Frame, Piece, Plan, Problem, RailCut, Rules, Score
from planner.worth import worth_of

__all__ = ["Laid", "clear_left", "cut_by_due", "cuts_of", "offcut_left", "reached_by", "score_of"]

# Which rails lie on which stretch: (piece id, stretch number) -> (frame id, rail number).
Laid = dict[tuple[str, int], list[tuple[str, int]]]


def cuts_of(problem: Problem, laid: Laid) -> tuple[Cut, ...]:
    """The cuts in fetching order, one for every stretch of a used piece, longest rails first.

    An untouched stretch stays whole.
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
        left, clear = stretch.leftover([rail.length for rail in rails])
        yield Cut(piece.id, number, tuple(rails), left, clear >= rules.keep and clear > 0)


def clear_left(piece: Piece, rules: Rules, cut: Cut) -> int:
    """What of a cut's leftover is clear of the trims that its ends still want, um."""
    run = stretches(piece, rules)[cut.stretch]
    return run.leftover([rail.length for rail in cut.rails])[1]


def offcut_left(piece: Piece, rules: Rules, cut: Cut) -> Piece:
    """A cut's leftover as the offcut that goes back, its first end the one that is cut next."""
    run, rails = stretches(piece, rules)[cut.stretch], [rail.length for rail in cut.rails]
    return replace(
        piece, kind="offcut", length=cut.leftover, flaws=(), ends=run.left_ends(rails),
        motif=run.left_motif(rails),
    )  # fmt: skip


def cut_by_due(problem: Problem, cut: Collection[str]) -> dict[date, int]:
    """How many of each due date are among the frames cut, the earliest date first."""
    counts = dict.fromkeys(sorted({by_due(frame)[0] for frame in problem.frames}), 0)
    for frame in problem.frames:
        counts[by_due(frame)[0]] += frame.stands_for if frame.id in cut else 0
    return counts


def reached_by(problem: Problem, plans: Collection[Plan]) -> tuple[int, ...]:
    """What plans reach together in each aim, as numbers that are to be as great as can be.

    Frames of each due date, then less stick, then more worth; the two in one where weighed.
    """
    cut = {rail.frame for plan in plans for one in plan.cuts for rail in one.rails}
    opened = sum(plan.reached.stick_opened for plan in plans)
    worth = sum(plan.reached.worth for plan in plans)
    aims = (worth - opened,) if problem.aims == "weighed" else (-opened, worth)
    return *cut_by_due(problem, cut).values(), *aims


def score_of(problem: Problem, cuts: tuple[Cut, ...]) -> Score:
    """The first three aims as reached by these cuts."""
    pieces = {p.id: p for p in problem.pieces}
    used = [pieces[name] for name in sorted({c.piece for c in cuts})]
    worths = {profile: worth_of(problem, profile) for profile in {p.profile for p in used}}
    gained = 0
    for cut in cuts:
        piece = pieces[cut.piece]
        gained += worths[piece.profile](clear_left(piece, problem.rules_of(piece.profile), cut))
    for piece in used:
        if piece.kind == "offcut":
            runs = stretches(piece, problem.rules_of(piece.profile))
            gained -= sum(worths[piece.profile](run.clear) for run in runs)
    count = {f.id: f.stands_for for f in problem.frames}
    frames = sum(count.get(name, 1) for name in {rail.frame for c in cuts for rail in c.rails})
    return Score(frames, sum(p.length for p in used if p.kind == "stick"), gained)
