"""Worth learned from jobs, held against cases that can be reasoned by hand."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.values import Rules
from planner.worth import Worth, points_worth
from stockroom.worth.by_fill import ENOUGH, fill_worth, learn_worth

MM = 1_000
RULES = Rules(cut_allowance=5 * MM, end_trim=10 * MM, keep=300 * MM)
STICK = 3_000 * MM
SQUARE = (600 * MM,) * 4


def test_with_demand_for_one_length_a_leftover_is_worth_a_whole_number_of_rails() -> None:
    fills = fill_worth([SQUARE] * 20, RULES, STICK, whole=False, ahead=2)
    for length in range(0, 3_001, 50):
        # n rails and n - 1 allowances must fit; each rail counts with its own allowance.
        rails = (length + 5) // 605
        assert fills[length] == min(length, 605 * rails)
    assert (fills[599], fills[600], fills[1204], fills[1205]) == (0, 600, 605, 1205)


def test_where_frames_must_match_a_leftover_short_of_a_whole_frame_is_worth_nothing() -> None:
    fills = fill_worth([SQUARE] * 20, RULES, STICK, whole=True, ahead=3)
    assert fills[2414] == 0
    assert fills[2415] == 2415
    assert fills[3000] == 2420


def test_no_more_rails_count_than_the_next_frames_have() -> None:
    fills = fill_worth([(200 * MM,) * 4] * 20, RULES, STICK, whole=False, ahead=1)
    assert fills[3000] == 4 * 205


def test_two_kinds_of_demand_weigh_as_often_as_they_come() -> None:
    # Windows of one frame, half of them with rails of 400 mm, half with rails of 700 mm.
    fills = fill_worth([(400 * MM,) * 4, (700 * MM,) * 4] * 10, RULES, STICK, whole=False, ahead=1)
    assert fills[699] == pytest.approx(405 / 2)
    assert fills[700] == pytest.approx((405 + 700) / 2)


def test_without_history_the_worth_is_the_default() -> None:
    learnt = learn_worth([], RULES, STICK, whole=False)
    assert (learnt.frames, learnt.share) == (0, 0.0)
    default = Worth(RULES.keep, None)
    for length in range(300 * MM, STICK + 1, 37 * MM):
        assert abs(points_worth(length, RULES.keep, learnt.points) - default(length)) <= 2_001


def test_the_share_of_the_history_grows_with_its_frames() -> None:
    shares = [learn_worth([SQUARE] * n, RULES, STICK, whole=False).share for n in (4, 40, 360)]
    assert shares == [4 / (4 + ENOUGH), 0.5, 0.9]


@given(st.lists(st.tuples(st.integers(200, 900), st.integers(200, 900)), max_size=30),
       st.booleans(), st.integers(1, 6))  # fmt: skip
@settings(max_examples=40)
def test_a_learned_curve_rises_and_never_exceeds_the_length(
    sides: list[tuple[int, int]], whole: bool, ahead: int
) -> None:
    frames = [(a * MM, b * MM) * 2 for a, b in sides]
    points = learn_worth(frames, RULES, STICK, whole=whole, ahead=ahead).points
    assert points[0][0] == RULES.keep
    assert points[-1][0] == STICK
    for (x0, w0), (x1, w1) in itertools.pairwise(points):
        assert x0 < x1
        assert w0 <= w1 <= x1


def test_a_span_without_lengths_is_refused() -> None:
    with pytest.raises(ValueError, match="no worth"):
        learn_worth([], RULES, RULES.keep, whole=False)
