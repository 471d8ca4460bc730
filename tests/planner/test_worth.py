"""What a leftover is worth."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.worth import Worth, default_worth, points_worth

MM = 1000
POINTS = ((300 * MM, 130 * MM), (600 * MM, 540 * MM), (3000 * MM, 2900 * MM))


@pytest.mark.parametrize("length", [300, 301, 350, 450, 600, 1000, 2440])
def test_the_default_follows_its_formula(length: int) -> None:
    # Computed here in floating point from the formula of the design, not a published figure.
    k = 300
    value = 0.97 * length - k / 2 * math.exp(-(length - k) / k) - k / 30
    assert default_worth(length * MM, k * MM) == math.floor(value * MM)


def test_nothing_under_the_keep_length_is_worth_anything() -> None:
    assert default_worth(300 * MM - 1, 300 * MM) == 0
    assert points_worth(300 * MM - 1, 300 * MM, POINTS) == 0


def test_without_a_keep_length_the_curve_is_a_straight_line() -> None:
    assert default_worth(1000 * MM, 0) == 970 * MM
    assert default_worth(0, 0) == 0


@given(st.integers(0, 10**7), st.integers(0, 10**6))
def test_a_longer_leftover_is_never_worth_less(length: int, keep: int) -> None:
    assert 0 <= default_worth(length, keep) <= default_worth(length + 1, keep) <= length + 1
    assert points_worth(length, keep, POINTS) <= points_worth(length + 1, keep, POINTS)


@pytest.mark.parametrize(
    ("length", "worth"),
    [
        (300, 130),
        (450, 335),
        (600, 540),
        (1800, 1720),
        (3000, 2900),
        (3240, 3136),
        (205, 0.166),
        (204, 0),
    ],
)
def test_points_are_met_joined_and_carried_on(length: int, worth: float) -> None:
    assert points_worth(length * MM, 100 * MM, POINTS) == int(worth * MM)


def test_a_single_point_gives_worth_in_proportion() -> None:
    assert points_worth(500 * MM, 100 * MM, ((1000 * MM, 900 * MM),)) == 450 * MM


@given(
    st.lists(st.tuples(st.integers(1, 4_000), st.integers(0, 500)), min_size=1, max_size=6),
    st.lists(st.integers(0, 5_000), min_size=1, max_size=20),
    st.integers(0, 400),
)
def test_many_worths_are_those_of_each_alone(
    steps: list[tuple[int, int]], lengths: list[int], keep: int
) -> None:
    points = tuple((sum(a for a, _ in steps[: n + 1]), sum(b for _, b in steps[: n + 1]))
                   for n in range(len(steps)))  # fmt: skip
    many = Worth(keep, points).many(np.array(lengths, np.int64))
    assert many.tolist() == [points_worth(length, keep, points) for length in lengths]
