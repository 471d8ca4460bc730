"""Frames tied to batches: sticks proven batch by batch are those proven over all ways to cut."""

from unittest.mock import patch

from hypothesis import given, settings
from hypothesis import strategies as st

import planner
from planner.search import aims, batch_by_batch, profile
from planner.values import Frame, Limits, Piece, Problem, Rules

RULES = Rules(cut_allowance=5_000, end_trim=10_000, keep=300_000)
MM = 1_000


def _sides(sides: tuple[int, int]) -> tuple[int, ...]:
    return tuple(side * MM for side in sides * 2)


@st.composite
def tied(draw: st.DrawFn) -> Problem:
    """A few frames, most of one batch, some of one piece, and pieces of up to three batches."""
    side = st.integers(150, 700)
    frames = []
    for n in range(draw(st.integers(2, 4))):
        rails = _sides(draw(st.tuples(side, side)))
        bound, whole = draw(st.booleans()) or n < 2, n == 3 and draw(st.booleans())
        frames.append(Frame(f"F{n}", "A", rails, one_batch=bound, one_piece=whole))
    batches = st.sampled_from(["b1", "b2", "b3"])
    offcuts = [
        Piece(f"O{n}", "A", draw(batches), "offcut", draw(st.integers(300, 1_500)) * MM)
        for n in range(draw(st.integers(0, 6)))
    ]
    sticks = [
        Piece(
            f"S{n}", "A", f"b{n % 3 + 1}", "stick", draw(st.sampled_from([2440, 2745, 3050])) * MM
        )
        for n in range(9)
    ]
    return Problem(RULES, (*offcuts, *sticks), tuple(frames), limits=Limits(60))


@settings(max_examples=15, deadline=None)
@given(tied())
def test_batch_by_batch_opens_what_all_ways_to_cut_prove(problem: Problem) -> None:
    listed = planner.plan(problem)
    # Without rows and branches worth is CP-SAT's alone.
    by_cp_sat = patch.multiple(
        aims, MOST_COLUMNS=0, BRIEF=(0.0, 0.0), NARROW=0.0, WORTH=0.02, KEPT=99
    )
    with by_cp_sat, patch.multiple(profile, SOME=2**999, THOROUGH=0):
        called = planner.plan(problem)
    assert listed.proof == "optimal"
    assert called.reached.frames_cut == listed.reached.frames_cut
    opened = listed.reached.stick_opened
    assert called.bounds.stick_opened == called.reached.stick_opened == opened
    worth = listed.reached.worth
    assert called.reached.worth <= worth <= called.bounds.worth
    assert not planner.faults(problem, called)


def test_offcuts_that_hold_half_of_a_frame_in_each_batch_are_known_to_be_none() -> None:
    """Three offcuts of a batch hold three rails of a frame, so each frame opens a stick.

    Two frames of one batch leave five rails over the offcuts, 2,541 mm and more without the cuts;
    all three leave nine, and four fill a stick. Of fractions of frames less would do.
    """
    frames = tuple(
        Frame(f"F{n}", "A", _sides((600 + 7 * n, 500 - 11 * n)), one_batch=True) for n in range(3)
    )
    offcuts = [
        Piece(f"O{b}{n}", "A", f"b{b}", "offcut", 640 * MM) for b in range(3) for n in range(3)
    ]
    sticks = [
        Piece(f"S{b}{n}", "A", f"b{b}", "stick", 2_440 * MM) for b in range(3) for n in range(4)
    ]
    problem = Problem(RULES, (*offcuts, *sticks), frames, limits=Limits(60))
    asked = []

    def counted(*args: object) -> object:
        asked.append(args)
        return fewest(*args)  # type: ignore[arg-type]

    fewest = batch_by_batch.fewest_by_batch
    with patch.multiple(aims, MOST_COLUMNS=0, BRIEF=(0.0, 0.0), fewest_by_batch=counted):
        plan = planner.plan(problem)
    assert asked
    assert plan.reached.stick_opened == plan.bounds.stick_opened == 3 * 2_440 * MM
