"""Demand by week: counted with its zeros, sorted into patterns, foretold by published methods."""

import random
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsforecast.models import TSB, CrostonClassic, CrostonSBA

from stockroom.demand import croston, forecast, pattern_of, sba, tsb, weekly

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
    series = np.array(counts, dtype=float)
    for ours, theirs in (
        (croston(counts), CrostonClassic()),
        (sba(counts), CrostonSBA()),
        (tsb(counts), TSB(0.1, 0.1)),
    ):
        assert ours == pytest.approx(float(theirs.forecast(series, 1)["mean"][0]), rel=1e-5)


def test_weeks_without_demand_are_counted() -> None:
    wanted = {TODAY: 2, TODAY - timedelta(6): 1, TODAY - timedelta(21): 4}
    assert weekly(wanted, TODAY - timedelta(34), TODAY) == (0, 4, 0, 0, 3)
    assert weekly({}, TODAY, TODAY) == (0,)


@given(st.dictionaries(st.dates(date(2025, 1, 1), TODAY), st.integers(0, 5), max_size=30))
def test_no_frame_is_lost_or_counted_twice(wanted: dict[date, int]) -> None:
    assert sum(weekly(wanted, date(2025, 1, 1), TODAY)) == sum(wanted.values())


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
    assert (found.rate, found.method) == (0, "open jobs only")
    assert found.evidence == "not asked for in 30 weeks"
    assert found.week(random.Random(1)) == 0


def test_one_sale_in_two_years_is_no_reason_to_keep_a_stick() -> None:
    for at in (0, 52, 103):
        counts = [0] * 104
        counts[at] = 1
        found = forecast(counts)
        assert found.rate < 0.02
        assert "thin" in found.evidence


def test_a_demand_that_stops_fades_with_each_week() -> None:
    busy = (2, 3, 2) * 20
    rates = [forecast(busy + (0,) * weeks).rate for weeks in (13, 20, 30, 45)]
    assert rates == sorted(rates, reverse=True)
    assert rates[-1] < 0.05
    assert "last 45 wk ago" in forecast(busy + (0,) * 45).evidence


@given(counts_of_weeks)
def test_simulated_weeks_come_at_the_forecast_rate(counts: list[int]) -> None:
    found = forecast(counts)
    dice = random.Random(7)
    mean = sum(found.week(dice) for _ in range(4000)) / 4000
    assert mean == pytest.approx(found.chance * sum(found.sizes) / len(found.sizes), abs=0.45)
    assert mean == pytest.approx(found.rate, abs=0.45) or found.chance == 1
