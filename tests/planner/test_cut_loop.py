"""Rows rounded down: whole uses keep them, and the bound they prove is never beaten."""

import numpy as np
import numpy.typing as npt
import pytest

from demo.bench import sizes
from planner import plan
from planner.branching.tree import Tree
from planner.columns.restricted_master import RestrictedMaster
from planner.cuts.cut_loop import new_rows, rounded
from planner.cuts.table import table_of
from planner.lp.dual_bound import in_whole_numbers, proven_bound
from planner.model.subproblem import Added, Stage
from planner.stop import Stop
from tests.planner.stages import best_of, last_stage

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]


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
    assert near.fits(columns, np.array([*best.uses.values()], np.int64), best.extras)
    tree = Tree(near, start, least - 1)
    tree.grow(1_000, Stop(60))
    assert tree.reached == tree.bound == near.value(tree.chosen) == least


@pytest.mark.parametrize("seed", range(40))
def test_a_rounded_row_holds_for_every_whole_solution_known(seed: int) -> None:
    stage, _, start, _ = last_stage(seed)
    uses = np.zeros(len(stage.pool), np.int64)
    uses[stage.pool.numbers(start.uses)] = list(start.uses.values())
    known = np.concatenate([uses, stage.rows.most - start.extras])
    table, master = table_of(stage), RestrictedMaster(stage, np.arange(len(stage.pool)))
    for _ in range(5):
        extras, columns = np.split(master.solved(Stop(60)).values, [master.extras])
        values = np.append(columns, stage.rows.most - extras)
        sums, rows = new_rows(table, stage, master, values)
        assert (rows @ known <= sums.high).all()
        assert (rows @ values > sums.high).all()
        kept = table.leaning(values)
        table = table.with_rows(kept, rows, sums.high)
        master.add_rows(kept[table.lasting :], _added(stage, rows, sums.high))


def _added(stage: Stage, rows: Floats, high: Ints) -> Added:
    lacks = rows[:, len(stage.pool) :].astype(np.int64)
    return Added(rows[:, : len(stage.pool)], -lacks, high - lacks @ stage.rows.most)


@pytest.mark.parametrize("seed", range(40))
@pytest.mark.parametrize("times", [1.0, 1e7, 1e16])
def test_prices_of_rows_added_prove_what_is_true_in_whole_numbers(seed: int, times: float) -> None:
    stage, _, start, bound = last_stage(seed)
    _, least = best_of(seed)
    stage = rounded(stage, start, bound, least, Stop(60)).stage
    rng = np.random.default_rng(seed)
    prices = rng.normal(0, times, len(stage.low))
    proven = proven_bound(stage, prices)
    if times < 1e16:
        exact, _ = in_whole_numbers(stage, prices, proven.scale)
        cost = exact.astype(object) @ stage.block().astype(object)
        assert stage.priced(exact.astype(np.float64)).tolist() == cost.tolist()
    assert proven.total is not None
    assert proven.total >= proven.scale * least


@pytest.mark.parametrize("seed", range(60))
def test_few_columns_at_first_have_the_optimum_of_all(seed: int) -> None:
    stage, _, _, _ = last_stage(seed)
    table, rng = table_of(stage), np.random.default_rng(seed)
    few = RestrictedMaster(stage, np.arange(len(stage.pool))[:1])
    every = RestrictedMaster(stage, np.arange(len(stage.pool)))
    for _ in range(4):
        one, two = few.solved(Stop(60)), every.solved(Stop(60))
        assert one.status == two.status == "optimal"
        assert one.value == pytest.approx(two.value, abs=1.0)
        stage = few.stage
        extras, columns = np.split(one.values, [few.extras])
        values = np.append(columns, stage.rows.most - extras)
        sums, rows = new_rows(table, stage, few, values)
        kept, added = table.leaning(values), _added(stage, rows, sums.high)
        table = table.with_rows(kept, rows, sums.high)
        near = (rng.uniform(size=len(stage.pool)) < 0.9) | (columns > 0)
        for master in (few, every):
            master.add_rows(kept[table.lasting :], added)
            master.keep_columns(near)
        table = table.only(near)


def test_a_contract_is_proven_in_whole_numbers_where_branching_alone_is_not() -> None:
    found = plan(sizes.contract(0, 400, 60.0))
    assert found.proof == "optimal"
    assert found.reached == found.bounds
