"""Demand by week: counted with its zeros, sorted into patterns, foretold by published methods."""

import random
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.buying.forecast import by_week, croston, forecast, lately, pattern_of, sba, tsb
from tests.stockroom.conftest import told

PUBLISHED = (0, 0, 5, 0, 0, 3, 0, 0, 0, 4, 0, 6)
TODAY = date(2026, 11, 23)
counts_of_weeks = st.lists(st.integers(0, 9), min_size=2, max_size=120).filter(any)


def test_croston_and_its_correction_on_a_worked_series() -> None:
    # The methods: R. J. Hyndman's forecast documentation; the values were computed from them.
    assert croston(PUBLISHED) == pytest.approx(1.621405, abs=1e-6)
    assert sba(PUBLISHED) == pytest.approx(1.540334, abs=1e-6)
    assert croston(PUBLISHED, start=(5, 3)) == croston(PUBLISHED)


def test_the_fading_method_depends_on_where_its_chance_begins() -> None:
    assert tsb(PUBLISHED) == pytest.approx(1.322952, abs=1e-6)
    assert tsb(PUBLISHED, chance=1 / 3) > tsb(PUBLISHED)


@given(counts_of_weeks)
def test_another_package_gives_the_same_forecasts(counts: list[int]) -> None:
    # It is loaded by the one process that needs it: it takes three seconds.
    from statsforecast.models import TSB, CrostonClassic, CrostonSBA

    series = np.array(counts, dtype=float)
    for ours, theirs in (
        (croston(counts), CrostonClassic()),
        (sba(counts), CrostonSBA()),
        (tsb(counts), TSB(0.1, 0.1)),
    ):
        assert ours == pytest.approx(float(theirs.forecast(series, 1)["mean"][0]), rel=1e-5)


def test_weeks_without_demand_are_counted() -> None:
    asked = [(TODAY, "a"), (TODAY, "b"), (TODAY - timedelta(6), "c"), (TODAY - timedelta(21), "d")]
    assert by_week(asked, TODAY - timedelta(34), TODAY) == [
        (), ("d",), (), (), ("a", "b", "c"),
    ]  # fmt: skip
    assert by_week((), TODAY, TODAY) == [()]


@given(st.lists(st.dates(date(2025, 1, 1), TODAY), max_size=30))
def test_no_frame_is_lost_or_counted_twice(days: list[date]) -> None:
    asked = list(enumerate(days))
    weeks = by_week([(day, number) for number, day in asked], date(2025, 1, 1), TODAY)
    assert sorted(number for week in weeks for number in week) == [number for number, _ in asked]


def test_a_demand_that_doubled_is_taken_as_it_is_since_then() -> None:
    quiet, busy = (3, 4, 2, 3, 4) * 8, (8, 7, 9, 8, 7, 8)
    assert lately(quiet) == len(quiet)
    assert lately(quiet + busy) == len(busy)
    found = forecast(quiet + busy)
    assert told(found.method) == "changed 6 weeks ago"
    assert found.rate == pytest.approx(47 / 6)


def test_one_large_job_is_no_change_of_demand() -> None:
    counts = (3, 4, 2, 3, 4) * 10 + (15,)
    assert lately(counts) == len(counts)
    assert told(forecast(counts).method) == "busy"
    assert not forecast(counts).seldom


def test_a_steady_demand_is_seldom_taken_for_a_changed_one() -> None:
    dice = random.Random(11)
    false = sum(lately([sum(dice.random() < 0.03 for _ in range(100)) for _ in range(52)]) < 52
                for _ in range(100))  # fmt: skip
    assert false <= 4


@pytest.mark.parametrize(
    ("counts", "pattern"),
    [
        ((0,) * 52, "none"),
        ((3, 4, 3, 5) * 13, "smooth"),
        ((1, 1, 1, 12) * 13, "erratic"),
        ((0, 2, 0, 2) * 13, "intermittent"),
        ((0, 1, 0, 14) * 13, "lumpy"),
        ((0, 2, 0, 2) * 13 + (0,) * 20, "stopped"),
    ],
)
def test_a_demand_is_sorted_by_how_far_apart_and_how_uneven_it_is(
    counts: tuple[int, ...], pattern: str
) -> None:
    assert pattern_of(counts) == pattern
    assert forecast(counts).pattern == pattern


def test_a_profile_without_history_is_bought_for_open_jobs_only() -> None:
    found = forecast((0,) * 30)
    assert found.rate == 0
    assert told(found.method, found.evidence) == "open jobs only; in none of 30 weeks"
    assert (found.chance, found.recent) == (0, 30)


def test_one_sale_in_two_years_is_no_reason_to_keep_a_stick() -> None:
    for at in (0, 52, 103):
        counts = [0] * 104
        counts[at] = 1
        found = forecast(counts)
        assert found.rate < 0.02
        assert "thin" in told(found.evidence)
        assert found.seldom


def test_a_demand_that_stops_fades_with_each_week() -> None:
    busy = (2, 3, 2) * 20
    rates = [forecast(busy + (0,) * weeks).rate for weeks in (13, 20, 30, 45)]
    assert rates == sorted(rates, reverse=True)
    assert rates[-1] < 0.05
    assert "last 45 wk ago" in told(forecast(busy + (0,) * 45).evidence)


@given(counts_of_weeks)
def test_the_rate_is_a_weeks_chance_times_its_size(counts: list[int]) -> None:
    found = forecast(counts)
    sizes = [count for count in counts[-found.recent :] if count]
    mean = sum(sizes) / len(sizes)
    assert found.rate == pytest.approx(found.chance * mean) or found.chance == 1
