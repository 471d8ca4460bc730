"""The worth of waiting, held against cases that can be reasoned by hand."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.values import Rules
from planner.worth import Worth, points_worth
from stockroom.worth.by_waiting import ENOUGH, learn_waiting, waiting_worth

MM = 1_000
RULES = Rules(cut_allowance=5 * MM, end_trim=10 * MM, keep=300 * MM)
STICK = 3_000 * MM
SQUARE = (600 * MM,) * 4


def test_with_demand_for_one_length_a_leftover_is_worth_a_whole_number_of_rails() -> None:
    worths = waiting_worth([SQUARE] * 20, RULES, STICK, wait=10 * MM, known=2)
    for length in range(300, 3_001, 25):
        # n rails and n - 1 allowances must fit; each rail counts with its own allowance.
        rails = (length + 5) // 605
        assert worths[length] == pytest.approx(max(0, min(length, 605 * rails) - 10))


def test_a_leftover_that_serves_two_days_waits_twice() -> None:
    worths = waiting_worth([(400 * MM,) * 4] * 20, RULES, STICK, wait=10 * MM, known=1)
    # Four rails of 405 mm go at once; three more must wait for the next frame.
    assert worths[4 * 405] == pytest.approx(4 * 405 - 10)
    assert worths[7 * 405] == pytest.approx(7 * 405 - 20)


def test_what_suits_every_fourth_frame_waits_four_times_as_long() -> None:
    rare, common = (900 * MM,) * 4, (1_000 * MM,) * 4
    worths = waiting_worth([rare, common, common, common] * 10, RULES, STICK, 10 * MM, known=1)
    assert worths[950] == pytest.approx(905 - 4 * 10)


def test_a_patient_shop_holds_out_for_the_better_fill() -> None:
    frames = [(400 * MM,) * 4, (700 * MM,) * 4] * 10
    patient = waiting_worth(frames, RULES, STICK, wait=1 * MM, known=1)
    hurried = waiting_worth(frames, RULES, STICK, wait=200 * MM, known=1)
    # Every second frame has a rail of 700 mm: two waits of 1 mm, or what comes first.
    assert patient[700] == pytest.approx(700 - 2)
    assert hurried[700] == pytest.approx((405 + 700) / 2 - 200)


def test_without_history_the_worth_is_the_default() -> None:
    learnt = learn_waiting([], RULES, STICK)
    assert (learnt.frames, learnt.share) == (0, 0.0)
    default = Worth(RULES.keep, None)
    for length in range(300 * MM, STICK + 1, 37 * MM):
        assert abs(points_worth(length, RULES.keep, learnt.points) - default(length)) <= 2_001


def test_the_share_of_the_history_grows_with_its_frames() -> None:
    shares = [learn_waiting([SQUARE] * n, RULES, STICK).share for n in (1, 10, 90)]
    assert shares == [1 / (1 + ENOUGH), 0.5, 0.9]


@settings(max_examples=15)
@given(st.lists(st.tuples(st.integers(200, 900), st.integers(200, 900)), max_size=8))
def test_a_learned_curve_rises_and_never_exceeds_the_length(sides: list[tuple[int, int]]) -> None:
    points = learn_waiting([(a * MM, b * MM) * 2 for a, b in sides], RULES, STICK // 2).points
    assert points[0][0] == RULES.keep
    assert points[-1][0] == STICK // 2
    for (x0, w0), (x1, w1) in itertools.pairwise(points):
        assert x0 < x1
        assert w0 - 2 * MM <= w1 <= x1


def test_a_span_without_lengths_is_refused() -> None:
    with pytest.raises(ValueError, match="no worth"):
        learn_waiting([], RULES, RULES.keep)
