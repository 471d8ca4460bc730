"""What a change of the question must do to the answer, whatever the answer is."""

from dataclasses import replace
from datetime import date

import pytest

from planner import plan
from planner.values import Frame, Piece, Plan, Problem, Rules
from tests.planner.rack import MM, random_day

# A worth in proportion to length, so that no rounding stands between a day and its double.
PROPORTION = {"A": ((MM, MM),)}


def by_day(problem: Problem, answer: Plan) -> tuple[int, ...]:
    """Frames cut of each due date, earliest first, then the stick length saved."""
    short = {s.frame for s in answer.short}
    days = sorted({f.due or date.max for f in problem.frames})
    cut = [f.due or date.max for f in problem.frames if f.id not in short]
    return (*(cut.count(day) for day in days), -answer.reached.stick_opened)


@pytest.mark.parametrize("seed", range(1000, 1020))
def test_a_longer_offcut_never_hurts(seed: int) -> None:
    problem = replace(random_day(seed), aims="ordered")
    offcuts = [n for n, p in enumerate(problem.pieces) if p.kind == "offcut"]
    if not offcuts:
        problem = replace(problem, pieces=(*problem.pieces, Piece("X", "A", "b1", "offcut", MM)))
        offcuts = [len(problem.pieces) - 1]
    at = offcuts[seed % len(offcuts)]
    longer = replace(problem.pieces[at], length=problem.pieces[at].length + 400 * MM)
    pieces = (*problem.pieces[:at], longer, *problem.pieces[at + 1 :])
    better = replace(problem, pieces=pieces)
    assert by_day(better, plan(better)) >= by_day(problem, plan(problem))


@pytest.mark.parametrize("seed", range(1100, 1115))
def test_a_stick_more_never_costs_a_frame_nor_a_longer_stick(seed: int) -> None:
    problem = replace(random_day(seed), aims="ordered")
    more = Piece("X", "A", "b1", "stick", 1500 * MM)
    better = replace(problem, pieces=(*problem.pieces, more))
    assert by_day(better, plan(better)) >= by_day(problem, plan(problem))


@pytest.mark.parametrize("seed", range(1200, 1220))
def test_doubling_every_length_changes_nothing_but_lengths(seed: int) -> None:
    problem = replace(random_day(seed), worth=PROPORTION)
    one, two = plan(problem), plan(doubled(problem))
    assert two.reached.frames_cut == one.reached.frames_cut
    assert two.reached.stick_opened == 2 * one.reached.stick_opened
    assert two.reached.worth == 2 * one.reached.worth
    assert [s.frame for s in two.short] == [s.frame for s in one.short]
    assert two.proof == one.proof == "optimal"
    # Where rails may change places at no gain, either way will do; the pieces fetched are the same.
    assert {cut.piece for cut in two.cuts} == {cut.piece for cut in one.cuts}


def doubled(problem: Problem) -> Problem:
    """The same day on a workbench twice the size."""
    rules = problem.rules
    return replace(
        problem,
        rules=Rules(2 * rules.cut_allowance, 2 * rules.end_trim, 2 * rules.keep),
        pieces=tuple(_piece(p) for p in problem.pieces),
        frames=tuple(_frame(f) for f in problem.frames),
    )


def _piece(piece: Piece) -> Piece:
    flaws = tuple((2 * a, 2 * b) for a, b in piece.flaws)
    return replace(piece, length=2 * piece.length, flaws=flaws)


def _frame(frame: Frame) -> Frame:
    return replace(frame, rails=tuple(2 * r for r in frame.rails))
