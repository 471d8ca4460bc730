"""Rows rounded down: whole uses keep them, and the bound they prove is never beaten."""

from dataclasses import replace
from functools import cache

import numpy as np
import numpy.typing as npt
import pytest

from demo.bench import sizes
from planner import plan
from planner.bound import proven_bound
from planner.engine import MOST_COLUMNS, aims_of
from planner.hand import hand_laid
from planner.model import model_of
from planner.pool import pool_of
from planner.prices import prices_of
from planner.rounding import new_rows, rounded
from planner.rows import Held, rows_of
from planner.solution import chosen_of
from planner.stage import Chosen, Stage
from planner.stop import Stop
from planner.sweep import Sweep
from planner.table import table_of
from planner.tree import Tree
from tests.planner.rack import random_day

Floats = npt.NDArray[np.float64]


def _stage(seed: int) -> tuple[Stage, Floats, Chosen, int]:
    """The last aim of a random day as the hand rule leaves it, its prices and their bound."""
    problem = random_day(seed)
    model = model_of(problem)
    rows, aims = rows_of(model), aims_of(model)
    pool, start = pool_of(model, MOST_COLUMNS), chosen_of(rows, hand_laid(problem))
    held = tuple(Held(aim, Stage(rows, pool, aim, ()).value(start)) for aim in aims[:-1])
    stage = Stage(rows, pool, aims[-1], held)
    prices, _ = prices_of(stage, start, Stop(60))
    bound = proven_bound(stage, prices)
    assert bound.whole is not None
    return stage.only(bound.within(stage.value(start))), prices, start, bound.whole


@cache
def _best(seed: int) -> tuple[Chosen, int]:
    """The best solution of that aim, found without any rows added, and what it reaches."""
    stage, prices, start, _ = _stage(seed)
    found = Sweep(stage, prices, stage.value(start), (10**6, 10**8, Stop(60)), False)
    best = found.best()
    assert found.whole
    assert best is not None
    return best, stage.value(best)


@pytest.mark.parametrize("seed", range(40))
def test_no_solution_beats_the_sharpened_bound_or_uses_other_columns(seed: int) -> None:
    stage, _, start, bound = _stage(seed)
    best, least = _best(seed)
    found = rounded(stage, start, bound, stage.value(start) + stage.step, Stop(60))
    assert stage.value(start) <= stage.value(found.chosen) <= found.bound <= bound
    assert least <= found.bound
    if least > stage.value(found.chosen):
        assert all(found.stage.pool.number(key) is not None for key in best.uses)


@pytest.mark.parametrize("seed", range(40))
def test_the_best_solution_keeps_all_rows_that_were_added(seed: int) -> None:
    stage, _, start, bound = _stage(seed)
    best, least = _best(seed)
    near = rounded(stage, start, bound, least, Stop(60)).stage
    columns = np.array(near.pool.numbers(best.uses), np.int64)
    assert near.added is not None
    assert near.fits(columns, np.array([*best.uses.values()], np.int64), best.extras)
    tree = Tree(near, start, least - 1)
    tree.grow(1_000, Stop(60))
    assert tree.reached == tree.bound == near.value(tree.chosen) == least


@pytest.mark.parametrize("seed", range(40))
def test_what_is_spent_by_sharper_prices_leaves_the_best_solution_in(seed: int) -> None:
    stage, prices, start, bound = _stage(seed)
    _, least = _best(seed)
    sharp = rounded(stage, start, bound, least, Stop(60))
    assert sharp.bound >= least
    near, losses = replace(sharp.stage, added=None), None
    if sharp.priced:
        losses = sharp.priced.losses(near, least)
        assert losses.budget >= 0
    found = Sweep(near, prices, least, (10_000, 10**7, Stop(60)), True, losses).best()
    assert found is not None
    assert near.value(found) == least


@pytest.mark.parametrize("seed", range(40))
def test_a_rounded_row_holds_for_every_whole_solution_known(seed: int) -> None:
    stage, _, start, _ = _stage(seed)
    table = table_of(stage)
    uses = np.zeros(len(stage.pool), np.int64)
    uses[stage.pool.numbers(start.uses)] = list(start.uses.values())
    known = np.concatenate([uses, stage.rows.most - start.extras])
    for _ in range(5):
        program = table.program()
        found = program.solve(Stop(60))
        sums, rows = new_rows(table, stage, program, found.values)
        assert (rows @ known <= sums.high).all()
        assert (rows @ found.values > sums.high).all()
        table = table.with_rows(table.leaning(found.values), rows, sums.high)


def test_a_contract_is_proven_in_whole_numbers_where_branching_alone_is_not() -> None:
    found = plan(sizes.contract(0, 400, 60.0))
    assert found.proof == "optimal"
    assert found.reached == found.bounds
