"""Rows rounded down: whole uses keep them, and the bound they prove is never beaten."""

import numpy as np
import numpy.typing as npt
import pytest

from demo.bench import sizes
from planner import plan
from planner.bound import proven_bound
from planner.closing import swept
from planner.engine import MOST_COLUMNS, aims_of
from planner.hand import hand_laid
from planner.model import model_of
from planner.pool import pool_of
from planner.prices import prices_of
from planner.rounding import _table_of, rounded
from planner.rows import Held, rows_of
from planner.solution import chosen_of
from planner.stage import Chosen, Stage
from planner.stop import Stop
from planner.sweep import Sweep
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


@pytest.mark.parametrize("seed", range(40))
def test_no_solution_beats_the_sharpened_bound_or_uses_other_columns(seed: int) -> None:
    stage, prices, start, bound = _stage(seed)
    found = rounded(stage, start, bound, Stop(60))
    assert stage.value(start) <= stage.value(found.chosen) <= found.bound <= bound
    known = proven_bound(stage, prices), bound
    best = swept(stage, prices, start, known, Stop(60), fetched=False)
    assert stage.value(best.chosen) <= found.bound
    if stage.value(best.chosen) >= stage.value(found.chosen):
        near = stage.only(found.within).pool
        assert all(near.number(key) is not None for key in best.chosen.uses)


@pytest.mark.parametrize("seed", range(40))
def test_what_is_spent_by_sharper_prices_leaves_the_best_solution_in(seed: int) -> None:
    stage, prices, start, bound = _stage(seed)
    known = proven_bound(stage, prices), bound
    best = swept(stage, prices, start, known, Stop(60), fetched=False)
    least = stage.value(best.chosen)
    sharp = rounded(stage, start, bound, Stop(60), least, 4)
    assert sharp.bound >= least
    near, losses = stage.only(sharp.within), None
    if sharp.priced:
        losses = sharp.priced.losses(near, least)
        assert losses.budget >= 0
    found = Sweep(near, prices, least, (10_000, 10**7, Stop(60)), True, losses).best()
    assert found is not None
    assert near.value(found) == least


@pytest.mark.parametrize("seed", range(40))
def test_a_rounded_row_holds_for_every_whole_solution_known(seed: int) -> None:
    stage, _, start, _ = _stage(seed)
    table = _table_of(stage)
    uses = np.zeros(len(stage.pool), np.int64)
    uses[stage.pool.numbers(start.uses)] = list(start.uses.values())
    known = np.concatenate([uses, stage.rows.most - start.extras])
    for _ in range(5):
        program = table.program()
        found = program.solve(Stop(60))
        rows = table.rounded_rows(found, program)
        for row, high in rows:
            assert row @ known <= high
            assert row @ found.values > high
        table = table.with_rows(rows, found.values)


def test_a_contract_is_proven_in_whole_numbers_where_branching_alone_is_not() -> None:
    found = plan(sizes.contract(0, 400, 60.0))
    assert found.proof == "optimal"
    assert found.reached == found.bounds
