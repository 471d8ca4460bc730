"""Fills of stocks too long for a table of every room: the best is exact, and none is worth more."""

import random
from unittest.mock import patch

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.cuttingstock import CspLimits, solve
from planner.cuttingstock.coarse_knapsack import fills_worth, quick_fills, unit_of
from planner.cuttingstock.column_generation import whole_worths
from planner.cuttingstock.heuristics import best_fit
from planner.cuttingstock.values import Demand, Ints, demand_of
from planner.stop import Stop
from tests.planner.cuttingstock.test_solve import counts_up_to


@st.composite
def long_stocks(draw: st.DrawFn) -> tuple[Demand, Ints, int]:
    """A demand of a few lengths, a worth of each, and a coarser unit."""
    capacity = draw(st.integers(200, 1000))
    lengths = draw(st.lists(st.integers(20, capacity), min_size=1, max_size=5, unique=True))
    demand = demand_of(capacity, [(length, draw(st.integers(1, 4))) for length in lengths])
    worth = st.floats(0.1, 2)
    duals = np.array([length * draw(worth) for length in demand.lengths.tolist()])
    return demand, whole_worths(demand, duals), draw(st.integers(1, 10))


@given(long_stocks(), st.floats(0, 1))
@settings(max_examples=60, deadline=None)
def test_of_fills_worth_enough_the_best_through_each_length_are_given(
    case: tuple[Demand, Ints, int], share: float
) -> None:
    demand, worths, unit = case
    every = counts_up_to(demand.wanted)
    every = every[every @ demand.lengths <= demand.capacity]
    each = every @ worths
    least = int(share * each.max())
    fills = fills_worth(demand, worths, least, unit, Stop(60))
    assert fills.best == each.max()
    assert (fills.patterns @ demand.lengths <= demand.capacity).all()
    assert (fills.patterns <= demand.wanted).all()
    assert (fills.patterns @ worths == fills.worths).all()
    for item in range(len(worths)):
        through = each[every[:, item] > 0].max()
        if through >= max(least, 1):
            assert fills.worths[fills.patterns[:, item] > 0].max() == through
    assert fills_worth(demand, worths, int(each.max()) + 1, unit, Stop(60)).best > each.max()


@given(long_stocks())
@settings(max_examples=40, deadline=None)
def test_where_not_all_are_looked_at_what_is_found_fits_and_nothing_is_worth_more_than_said(
    case: tuple[Demand, Ints, int],
) -> None:
    demand, worths, unit = case
    every = counts_up_to(demand.wanted)
    best = (every @ worths)[every @ demand.lengths <= demand.capacity].max()
    with (
        patch("planner.cuttingstock.coarse_knapsack.WIDEST", 3),
        patch("planner.cuttingstock.coarse_knapsack.NARROW", 2),
    ):
        few = fills_worth(demand, worths, 1, unit, Stop(60))
    for fills in (few, quick_fills(demand, worths, unit, Stop(60))):
        assert fills.best >= best
        assert (fills.patterns @ demand.lengths <= demand.capacity).all()
        assert (fills.patterns <= demand.wanted).all()


@pytest.mark.parametrize(("shortest", "seed"), [(0.13, 1), (0.05, 2)])
def test_many_lengths_in_micrometres_are_planned_and_proven(shortest: float, seed: int) -> None:
    rng = random.Random(seed)
    capacity = 1_500_000
    lengths = [int(capacity * rng.uniform(shortest, 0.6)) for _ in range(50)]
    items = [(length, rng.randint(1, 20)) for length in lengths]
    demand = demand_of(capacity, items)
    assert unit_of(demand) > 1
    result = solve(capacity, items, CspLimits(seconds=120))
    assert result.proof == "proven"
    assert result.value < len(best_fit(demand))
