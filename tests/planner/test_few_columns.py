"""Few columns by CP-SAT: what it proves where no branch is looked at is what branches prove."""

from datetime import date
from unittest.mock import patch

from hypothesis import given, settings
from hypothesis import strategies as st

import planner
from planner.branching.few_columns import best_of_few
from planner.search import aims, dive, narrowing
from planner.values import Frame, Limits, Piece, Problem, Rules

MM = 1_000
RULES = Rules(5_026, 8_000, 250_000, margin=3_175)


@st.composite
def small(draw: st.DrawFn) -> Problem:
    """Frames of one or two small sizes, many of each, sticks of one length and a few offcuts."""
    side = st.integers(90, 400)
    sizes = draw(st.lists(st.tuples(side, side), min_size=1, max_size=2))
    frames = tuple(
        Frame(f"F{n}", "A", tuple(one * MM for one in sizes[n % len(sizes)] * 2))
        for n in range(draw(st.integers(3, 9)))
    )
    offcuts = [
        Piece(f"O{n}", "A", "b1", "offcut", length * MM)
        for n, length in enumerate(draw(st.lists(st.integers(250, 1_400), max_size=4)))
    ]
    sticks = [Piece(f"S{n}", "A", "b1", "stick", 2_440 * MM) for n in range(8)]
    rules = Rules(5_000, 10_000, draw(st.sampled_from([0, 150_000, 300_000])))
    return Problem(rules, (*offcuts, *sticks), frames, limits=Limits(60))


@settings(max_examples=25, deadline=None)
@given(small())
def test_without_a_branch_cp_sat_proves_what_branches_do(problem: Problem) -> None:
    branched = planner.plan(problem)
    with patch.object(narrowing, "BRANCHES", 0), patch.object(dive, "BRANCHES", 0):
        by_cp_sat = planner.plan(problem)
    assert branched.proof == by_cp_sat.proof == "optimal"
    assert by_cp_sat.reached == branched.reached == by_cp_sat.bounds
    assert not planner.faults(problem, by_cp_sat)


def test_a_job_of_few_sizes_many_times_over_is_proven() -> None:
    """A tree goes through 39,000 branches of the last 108 columns, and is not at its end."""
    frames = [Frame(f"A{n}", "A", (327_025, 428_625) * 2, date(2026, 11, 28)) for n in range(2)]
    frames += [Frame(f"B{n}", "A", (123_825, 174_625) * 2, date(2026, 12, 1)) for n in range(12)]
    offcuts = [825_500, 650_875, 1_082_675]
    sticks = [2_439_987, 2_441_575, *[2_436_812] * 8]
    pieces = [Piece(f"O{n}", "A", "b1", "offcut", um) for n, um in enumerate(offcuts)]
    pieces += [Piece(f"S{n}", "A", "b1", "stick", um) for n, um in enumerate(sticks)]
    problem = Problem(RULES, tuple(pieces), tuple(frames), limits=Limits(60))
    with patch.object(aims, "best_of_few", wraps=best_of_few) as asked:
        plan = planner.plan(problem)
    assert asked.call_count
    assert plan.proof == "optimal"
