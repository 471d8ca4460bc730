"""Pairs of pieces put into one stock or kept apart: plans found, or none, without any list."""

import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.cuttingstock import CspLimits, solve
from planner.cuttingstock.branch_pairs import Choice, paired
from planner.cuttingstock.bundles import Bundles, single
from planner.cuttingstock.column_generation import whole_worths
from planner.cuttingstock.heuristics import best_fit
from planner.cuttingstock.joined_branch import Branch
from planner.cuttingstock.partial_patterns import no_parts
from planner.cuttingstock.values import Demand, Ints, demand_of
from planner.stop import Stop
from tests.planner.cuttingstock.test_solve import Items, assigned, counts_up_to


def by_pairs(demand: Demand, stocks: int, solves: int = 2_000, tight: bool = True) -> Choice:
    """A plan of so many stocks, from the hand rule's fills alone."""
    return paired(demand, best_fit(demand), stocks, Stop(60), solves, tight)


def holds(demand: Demand, choice: Choice, stocks: int) -> bool:
    """It is a plan of at most so many stocks."""
    assert choice.stocks is not None
    fits = (choice.stocks @ demand.lengths <= demand.capacity).all()
    given_ = (choice.stocks.sum(axis=0) >= demand.wanted).all()
    return bool(fits and given_ and len(choice.stocks) <= stocks)


@st.composite
def cut_up(draw: st.DrawFn) -> tuple[int, Items]:
    """Pieces of stocks that waste little, moved about a little: hard for their number."""
    capacity = draw(st.integers(30, 90))
    pieces = []
    for _ in range(3):
        first = draw(st.integers(capacity // 5, capacity // 2))
        second = draw(st.integers(capacity // 6, capacity // 3))
        pieces += [first, second, capacity - first - second]
    for _ in range(draw(st.integers(0, 3))):
        more, less = draw(st.permutations(range(9)))[:2]
        if pieces[less] > 1 and pieces[more] < capacity:
            pieces[more] += 1
            pieces[less] -= 1
    return capacity, [(length, 1) for length in pieces]


@given(cut_up(), st.booleans())
@settings(max_examples=40, deadline=None)
def test_by_pairs_a_plan_is_found_or_refuted_as_an_independent_model_says(
    problem: tuple[int, Items], tight: bool
) -> None:
    demand, fewest = demand_of(*problem), assigned(*problem)
    choice = by_pairs(demand, fewest, tight=tight)
    assert choice.answer in ("found", "open")
    assert choice.answer == "open" or holds(demand, choice, fewest)
    if demand.wanted.max() == 1:
        assert choice.answer == "found"
    assert by_pairs(demand, fewest - 1, tight=tight).answer in ("refuted", "open")


def gap(first: int, second: int, third: int) -> Demand:
    """So many of 44, 33 and 12 in stocks of 132, the longer ones made unlike by a little.

    They need a stock more than their fractional optimum says (Marcotte, 1986). No fill that is too
    long becomes short enough.
    """
    longer = [(880 - n, 1) for n in range(first)] + [(660 - n, 1) for n in range(second)]
    return demand_of(2640, [*longer, (240, third)])


@pytest.mark.parametrize(("demand", "stocks"), [(gap(5, 7, 17), 5), (gap(8, 7, 17), 6)])
def test_a_stock_more_than_the_fractional_optimum_is_proven_by_pairs(
    demand: Demand, stocks: int
) -> None:
    assert by_pairs(demand, stocks).answer == "refuted"
    assert holds(demand, by_pairs(demand, stocks + 1), stocks + 1)
    items = [*zip(demand.lengths.tolist(), demand.wanted.tolist(), strict=True)]
    result = solve(demand.capacity, items, CspLimits(seconds=60))
    assert (result.value, result.bound, result.proof) == (stocks + 1, stocks + 1, "proven")


@pytest.mark.parametrize("solves", range(1, 20, 6))
def test_out_of_work_the_question_stays_open(solves: int) -> None:
    assert by_pairs(gap(5, 7, 17), 5, solves).answer == "open"


def built(seed: int) -> tuple[int, Items]:
    """Stocks cut in three without waste, most cuts odd: many fills, and few plans among them."""
    rng = random.Random(seed)
    pieces: list[int] = []
    for n in range(30):
        first = rng.randrange(500, 900) | 1 if n % 3 else 2 * rng.randrange(250, 450)
        third = 2 * round((1000 - first) / 12)
        pieces += [first, 1000 - first - third, third]
    return 1000, [(length, 1) for length in pieces]


@pytest.mark.parametrize("seed", range(3))
def test_of_a_plan_with_no_waste_little_is_needed_to_find_it(seed: int) -> None:
    demand = demand_of(*built(seed))
    choice = by_pairs(demand, 30)
    assert choice.answer == "found"
    assert holds(demand, choice, 30)


@st.composite
def halved(draw: st.DrawFn) -> tuple[Demand, list[int], int]:
    """A small demand, some of its lengths, and a seed for what goes."""
    capacity = draw(st.integers(10, 50))
    lengths = draw(st.lists(st.integers(1, capacity), min_size=2, max_size=5, unique=True))
    items = [(length, draw(st.integers(1, 3))) for length in lengths]
    listed = draw(st.lists(st.integers(0, len(lengths) - 1), unique=True, max_size=3))
    return demand_of(capacity, items), listed, draw(st.integers(0, 1000))


@given(halved())
@settings(max_examples=150, deadline=None)
def test_the_best_fill_with_a_part_is_the_best_of_all_such_fills(
    case: tuple[Demand, list[int], int],
) -> None:
    demand, listed, seed = case
    dice = np.random.default_rng(seed)
    parts = no_parts(demand)
    for item in listed:
        parts = parts.lifted(item)
    # Some parts go, as if a decision had ruled them out; at least one stays.
    stays = dice.random(len(parts.rows)) < 0.6
    stays[dice.integers(len(stays))] = True
    parts = parts.of(stays)
    worths = whole_worths(demand, dice.random(len(demand.lengths)) + 0.01)

    fills = parts.price(worths, Stop(60))
    every = counts_up_to(demand.wanted)
    every = every[every @ demand.lengths <= demand.capacity]
    left = {row.tobytes() for row in parts.rows}
    hidden = every.copy()
    hidden[:, np.setdiff1d(np.arange(len(worths)), listed)] = 0
    allowed = every[[row.tobytes() in left for row in hidden]]
    assert fills.best == max(1, (allowed @ worths).max())
    assert {row.tobytes() for row in fills.patterns} <= {row.tobytes() for row in allowed}
    assert (fills.patterns @ worths == fills.worths).all()
    assert fills.worths.max() == (allowed @ worths).max()


def fills_of(demand: Demand) -> Ints:
    """Every fill of a small demand."""
    every = counts_up_to(demand.wanted)
    return every[(every @ demand.lengths <= demand.capacity) & every.any(axis=1)]


def planned(demand: Demand, stocks: int) -> bool:
    """Whether so many fills, or fewer, give just what is wanted, by going through all of them."""
    if not demand.wanted.any():
        return True
    rows = fills_of(demand)
    rows = rows[(rows <= demand.wanted).all(axis=1)]
    first = int(np.flatnonzero(demand.wanted)[0])
    return stocks > 0 and any(
        planned(demand.left(demand.wanted - row), stocks - 1) for row in rows[rows[:, first] > 0]
    )


@given(cut_up(), st.integers(0, 1000))
@settings(max_examples=15, deadline=None)
def test_a_plan_is_left_of_what_is_joined_wherever_there_is_one(
    problem: tuple[int, Items], seed: int
) -> None:
    demand, stocks = demand_of(*problem), 3
    dice = np.random.default_rng(seed)
    # Any worths prove something; the lengths themselves are the best where nothing is wasted.
    worths = whole_worths(
        demand, demand.lengths + dice.integers(0, 2) * dice.random(len(demand.lengths))
    )
    best = int((fills_of(demand) @ worths).max())
    branch = Branch(single(demand), no_parts(demand), fills_of(demand), worths, best)
    joined = branch.forced(stocks, Stop(60))
    # Bundles as long take each other's place, so that not every plan is left.
    left = joined is not None and planned(joined.bundles.demand, stocks - len(joined.bundles.full))
    assert planned(demand, stocks) == left


@given(halved(), st.integers(0, 1000))
@settings(max_examples=50, deadline=None)
def test_bundles_are_opened_to_what_they_are_made_of(
    case: tuple[Demand, list[int], int], seed: int
) -> None:
    demand, _, _ = case
    dice = np.random.default_rng(seed)
    bundles: Bundles = single(demand)
    for _ in range(6):
        kinds = bundles.kinds
        if len(kinds) > 1:
            a, b = (kinds[at] for at in dice.choice(len(kinds), 2, replace=False))
            made = bundles.joined(a, b, [kinds[dice.integers(len(kinds))]])
            bundles = made[0] if made else bundles
    each = np.repeat(np.eye(len(bundles.kinds), dtype=np.int64), bundles.demand.wanted, axis=0)
    opened = bundles.opened(each)
    assert (opened.sum(axis=0) == demand.wanted).all()
    assert (opened @ demand.lengths <= demand.capacity).all()
    lengths = [*(each @ bundles.demand.lengths), *[demand.capacity] * len(bundles.full)]
    assert (opened @ demand.lengths == lengths).all()
