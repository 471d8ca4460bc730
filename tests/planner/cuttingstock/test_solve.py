"""The fewest stocks of one length: textbook problems, built problems, an independent model."""

import random
from fractions import Fraction
from itertools import chain, repeat
from unittest.mock import patch

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from planner.cuttingstock import CspLimits, solve
from planner.cuttingstock.check import faults
from planner.cuttingstock.column_generation import generate, whole_worths
from planner.cuttingstock.fills import best_fills
from planner.cuttingstock.heuristics import fullest
from planner.cuttingstock.master import Master
from planner.cuttingstock.values import Ints, demand_of
from planner.stop import OutOfTime, Stop

Items = list[tuple[int, int]]


def counts_up_to(wanted: Ints) -> Ints:
    """Every way to take some copies, or none, of each length."""
    every = np.indices(tuple(int(copies) + 1 for copies in wanted))
    return every.reshape(len(wanted), -1).T.astype(np.int64)


def items(text: str, scale: int = 1) -> Items:
    """The items of a text such as "45:97 36:610"; lengths times ``scale`` are whole."""
    pairs = (item.split(":") for item in text.split())
    return [(int(Fraction(length) * scale), int(copies)) for length, copies in pairs]


# Where a value is "computed here", the data are published and the optimum is this project's own.
PUBLISHED = {
    "paper machine, an encyclopaedia's example of cutting stock": (
        5600,
        "1380:22 1520:25 1560:12 1710:14 1820:18 1880:18 1930:20 2000:10 2050:12 2100:14"
        " 2140:16 2150:18 2200:20",
        1,
        73,
    ),
    "Chvatal, Linear Programming (1983), chapter 13": (100, "45:97 36:610 31:395 14:211", 1, 453),
    "JuMP's tutorial on column generation": (
        1000,
        "75:189 53.8:33 53:36 51:41 50.2:35 32.2:37 30.8:44 29.8:49 20.1:37 16.2:36 14.5:42"
        " 11:33 8.6:47 8.2:35 6.6:49 5.1:42",
        10,
        334,
    ),
    "after Winston (computed here)": (17, "3:25 5:20 9:15", 1, 19),
    "AMPL book (computed here)": (110, "20:48 45:35 50:24 55:10 75:8", 1, 47),
    "three lengths of 25 (computed here)": (25, "7:5000 9:1200 11:300", 1, 2167),
    "four lengths of 20 (computed here)": (20, "3:50 4:25 8:15 10:70", 1, 54),
    "six lengths of 30 (computed here)": (30, "6:130 9:70 12:48 15:36 20:15 24:20", 1, 111),
    "three lengths of 2000 (computed here)": (2000, "255:10 750:7 550:13", 1, 9),
}


@pytest.mark.parametrize("source", PUBLISHED)
def test_a_textbook_problem_takes_the_stocks_its_source_says(source: str) -> None:
    capacity, text, scale, fewest = PUBLISHED[source]
    result = solve(capacity, items(text, scale))
    assert (result.value, result.bound, result.proof) == (fewest, fewest, "proven")


@pytest.mark.parametrize("seed", range(6))
def test_stocks_cut_up_without_waste_are_put_together_again(seed: int) -> None:
    rng = random.Random(seed)
    pieces: list[int] = []
    for _ in range(25):
        cuts = sorted(rng.sample(range(60, 940), rng.randint(1, 3)))
        pieces += [b - a for a, b in zip([0, *cuts], [*cuts, 1000], strict=True) if b > a]
    result = solve(1000, [(length, 1) for length in pieces], CspLimits(seconds=60))
    assert (result.value, result.bound) == (25, 25)


@st.composite
def small(draw: st.DrawFn) -> tuple[int, Items]:
    capacity = draw(st.integers(5, 60))
    lengths = draw(st.lists(st.integers(1, capacity), min_size=1, max_size=6, unique=True))
    return capacity, [(length, draw(st.integers(1, 4))) for length in lengths]


def assigned(capacity: int, wanted: Items) -> int:
    """The fewest stocks by another model: which piece goes to which stock, solved by SciPy."""
    pieces = [length for length, copies in wanted for _ in range(copies)]
    n = len(pieces)
    cost = np.concatenate([np.ones(n), np.zeros(n * n)])
    room = np.hstack([-capacity * np.eye(n), np.kron(np.eye(n), np.array(pieces))])
    once = np.hstack([np.zeros((n, n)), np.kron(np.ones(n), np.eye(n))])
    order = np.zeros((n - 1, n + n * n))
    for row in range(n - 1):
        order[row, [row, row + 1]] = 1, -1
    rules = [LinearConstraint(room, -np.inf, 0), LinearConstraint(once, 1, 1)]
    if n > 1:
        rules.append(LinearConstraint(order, 0, np.inf))
    found = milp(cost, constraints=rules, integrality=np.ones(len(cost)), bounds=Bounds(0, 1))
    return int(np.rint(found.fun))


@given(small().filter(lambda problem: sum(copies for _, copies in problem[1]) <= 9))
@settings(max_examples=60)
def test_small_problems_take_as_many_stocks_as_an_independent_model_says(
    problem: tuple[int, Items],
) -> None:
    capacity, wanted = problem
    result = solve(capacity, wanted)
    assert result.value == result.bound == assigned(capacity, wanted)


@given(small(), st.randoms(use_true_random=False))
@settings(max_examples=40)
def test_neither_the_order_nor_the_unit_of_the_lengths_changes_the_answer(
    problem: tuple[int, Items], rng: random.Random
) -> None:
    capacity, wanted = problem
    first = solve(capacity, wanted)
    mixed = rng.sample(wanted, len(wanted))
    again = solve(capacity, mixed)
    assert (first.value, first.bound, first.patterns) == (again.value, again.bound, again.patterns)
    doubled = solve(2 * capacity, [(2 * length, copies) for length, copies in mixed])
    assert (doubled.value, doubled.bound) == (first.value, first.bound)


@given(small())
@settings(max_examples=60)
def test_the_best_fill_is_the_best_of_all_fills(problem: tuple[int, Items]) -> None:
    demand = demand_of(*problem)
    duals = np.sqrt(demand.lengths) + np.arange(len(demand.lengths), dtype=np.float64) % 3.0
    worths = whole_worths(demand, duals)
    fills = best_fills(demand, worths, Stop(60))
    counts = counts_up_to(demand.wanted)
    every = counts[counts @ demand.lengths <= demand.capacity]
    assert fills.best == (every @ worths).max()
    assert (fills.patterns @ demand.lengths <= demand.capacity).all()
    assert (fills.patterns <= demand.wanted).all()
    assert (fills.patterns @ worths == fills.worths).all()


@given(small())
@settings(max_examples=60, deadline=None)
def test_each_stock_filled_by_hand_is_the_fullest_around_its_longest_piece(
    problem: tuple[int, Items],
) -> None:
    demand = demand_of(*problem)
    for stocks in fullest(demand):
        left = demand.wanted.copy()
        for stock in stocks:
            longest = int(np.flatnonzero(left)[0])
            counts = counts_up_to(left)
            sums = counts[counts[:, longest] > 0] @ demand.lengths
            assert stock[longest] > 0
            assert stock @ demand.lengths == sums[sums <= demand.capacity].max()
            left -= stock
        assert not left.any()


@pytest.mark.parametrize("seconds", [0.0, 0.02, 0.2])
def test_out_of_time_the_answer_still_holds_and_its_bound_is_not_above_it(seconds: float) -> None:
    rng = random.Random(7)
    wanted = [(rng.randint(20_000, 35_000), 1) for _ in range(150)]
    result = solve(100_000, wanted, CspLimits(seconds=seconds))
    assert faults(100_000, wanted, result.value, result.patterns) == []
    assert -(-sum(length for length, _ in wanted) // 100_000) <= result.bound <= result.value
    assert (result.proof == "open") == (result.bound < result.value)


def test_pricing_is_given_up_where_time_is_over_and_the_search_hands_back_what_it_has() -> None:
    demand = demand_of(60, [(31, 2), (17, 3), (11, 4)])
    with pytest.raises(OutOfTime):
        best_fills(demand, whole_worths(demand, np.sqrt(demand.lengths)), Stop(0))
    master = Master(demand)
    root = generate(master, Stop(60))
    assert root.proof is not None
    with patch("planner.stop.Stop.over", side_effect=chain([False, False], repeat(True))):
        given_up = generate(Master(demand), Stop(60))
    assert given_up.proof is None


@pytest.mark.parametrize(
    ("wanted", "stocks", "patterns", "said"),
    [
        ([(6, 1), (5, 1)], 1, [(((6, 1), (5, 1)), 1)], "is 11 long; the stock is 10"),
        ([(6, 2)], 1, [(((6, 1),), 1)], "length 6: wanted 2, given 1"),
        ([(6, 1)], 1, [(((6, 1), (3, 1)), 1)], "length 3: wanted 0, given 1"),
        ([(6, 1)], 2, [(((6, 1),), 1)], "1 stocks are cut; the answer says 2"),
        ([(6, 1)], 1, [(((6, 1),), 1), (((6, 1),), 0)], "a count below 1"),
    ],
)
def test_each_fault_of_a_cutting_list_is_named(
    wanted: Items, stocks: int, patterns: list[tuple[tuple[tuple[int, int], ...], int]], said: str
) -> None:
    assert any(said in fault for fault in faults(10, wanted, stocks, patterns))


@pytest.mark.parametrize(
    ("capacity", "wanted", "said"),
    [
        (10, [(11, 1)], "length 11 is longer than the stock of 10"),
        (10, [(0, 1)], "length 0 is wanted 1 times"),
        (10, [(5, -1)], "length 5 is wanted -1 times"),
        (0, [], "the stock is 0 long"),
    ],
)
def test_nonsense_is_refused_with_its_reason(capacity: int, wanted: Items, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        solve(capacity, wanted)


def test_nothing_wanted_takes_no_stock() -> None:
    result = solve(10, [])
    assert (result.value, result.bound, result.patterns) == (0, 0, ())
