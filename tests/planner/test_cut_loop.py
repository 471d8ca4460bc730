"""Rows rounded down: whole uses keep them, and the bound they prove is never beaten."""

from fractions import Fraction

import numpy as np
import pytest

from demo.bench import sizes
from planner import plan
from planner.branching.tree import Tree
from planner.cuts.cut_loop import new_rows, rounded
from planner.cuts.cut_lp import Relaxed
from planner.cuts.table import table_of
from planner.stop import Stop
from tests.planner.stages import best_of, last_stage


@pytest.mark.parametrize("seed", range(40))
def test_no_solution_beats_the_sharpened_bound_or_uses_other_columns(seed: int) -> None:
    stage, _, start, bound = last_stage(seed)
    best, least = best_of(seed)
    found = rounded(stage, start, bound, stage.value(start) + stage.step, Stop(60))
    assert stage.value(start) <= stage.value(found.chosen) <= found.bound <= bound
    assert least <= found.bound
    if least > stage.value(found.chosen):
        assert all(found.stage.pool.number(key) is not None for key in best.uses)


@pytest.mark.parametrize("seed", range(40))
def test_the_best_solution_keeps_all_rows_that_were_added(seed: int) -> None:
    stage, _, start, bound = last_stage(seed)
    best, least = best_of(seed)
    near = rounded(stage, start, bound, least, Stop(60)).stage
    columns = np.array(near.pool.numbers(best.uses), np.int64)
    assert near.added is not None
    assert near.fits(columns, np.array([*best.uses.values()], np.int64), best.extras)
    tree = Tree(near, start, least - 1)
    tree.grow(1_000, Stop(60))
    assert tree.reached == tree.bound == near.value(tree.chosen) == least


@pytest.mark.parametrize("seed", range(40))
def test_a_rounded_row_holds_for_every_whole_solution_known(seed: int) -> None:
    stage, _, start, _ = last_stage(seed)
    table = table_of(stage)
    uses = np.zeros(len(stage.pool), np.int64)
    uses[stage.pool.numbers(start.uses)] = list(start.uses.values())
    known = np.concatenate([uses, stage.rows.most - start.extras])
    for _ in range(5):
        relaxed = Relaxed(table, np.arange(len(table.gains)))
        found = relaxed.solved(table, Stop(60))
        assert found is not None
        sums, rows = new_rows(table, stage, relaxed, found.values)
        assert (rows @ known <= sums.high).all()
        assert (rows @ found.values > sums.high).all()
        table = table.with_rows(table.leaning(found.values), rows, sums.high)


@pytest.mark.parametrize("seed", range(40))
@pytest.mark.parametrize("times", [1.0, 1e7, 1e16])
def test_what_prices_prove_in_floats_is_true_in_whole_numbers(seed: int, times: float) -> None:
    stage, _, start, _ = last_stage(seed)
    table, rng = table_of(stage), np.random.default_rng(seed)
    prices = rng.normal(0, times, len(table.table))
    priced = table.bound(prices)
    exact = [Fraction(round(price * priced.scale)) for price in prices.tolist()]
    for row, (low, high) in enumerate(zip(table.low, table.high, strict=True)):
        if (high if exact[row] > 0 else low) is None:
            exact[row] = Fraction(0)
    if times < 1e16:
        for column in rng.integers(0, len(table.gains), 20).tolist():
            entries = zip(exact, table.table[:, column].astype(int).tolist(), strict=True)
            cost = sum(price * entry for price, entry in entries)
            assert priced.left[column] == priced.scale * int(table.gains[column]) - cost
    assert priced.total >= priced.scale * max(stage.value(start), best_of(seed)[1])


@pytest.mark.parametrize("seed", range(60))
def test_few_columns_at_first_have_the_optimum_of_all(seed: int) -> None:
    stage, _, _, _ = last_stage(seed)
    table, extras = table_of(stage), len(stage.rows.most)
    count = len(stage.pool)
    few = Relaxed(table, np.concatenate([[0], np.arange(count, count + extras)]))
    every = Relaxed(table, np.arange(count + extras))
    rng = np.random.default_rng(seed)
    for _ in range(4):
        one, two = few.solved(table, Stop(60)), every.solved(table, Stop(60))
        assert one is not None
        assert two is not None
        assert table.gains @ one.values == pytest.approx(table.gains @ two.values, abs=1.0)
        sums, rows = new_rows(table, stage, few, one.values)
        kept = table.leaning(one.values)
        table = table.with_rows(kept, rows, sums.high)
        near = np.append(rng.uniform(size=count) < 0.9, np.ones(extras, bool))
        near |= one.values > 0
        for relaxed in (few, every):
            relaxed.change_rows(kept, rows, sums.high)
            relaxed.keep_columns(near)
        table, stage = table.only(near[:count]), stage.only(near[:count])
        count = len(stage.pool)


def test_a_contract_is_proven_in_whole_numbers_where_branching_alone_is_not() -> None:
    found = plan(sizes.contract(0, 400, 60.0))
    assert found.proof == "optimal"
    assert found.reached == found.bounds
