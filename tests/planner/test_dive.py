"""A dive over the columns that lose least: no worse than before, the best where none is missing."""

from dataclasses import replace

import pytest

from planner.columns.pricing import seeded
from planner.model.subproblem import Chosen, Stage
from planner.search import dive
from planner.search.dive import dived
from planner.stop import Stop
from tests.planner.stages import best_of, last_stage


def few(stage: Stage, start: Chosen) -> Stage:
    """The stage with the columns of a solution alone."""
    return replace(stage, pool=seeded(stage.rows, start))


@pytest.mark.parametrize("seed", range(20))
def test_with_all_columns_of_better_plans_the_best_is_found(seed: int) -> None:
    stage, prices, start, bound = last_stage(seed)
    within, found = dived(few(stage, start), prices, (start, bound), Stop(60))
    assert within.value(found) == stage.value(found) == best_of(seed)[1]


@pytest.mark.parametrize("most", [0, 5, 40])
@pytest.mark.parametrize("seed", range(6))
def test_with_few_of_them_what_is_found_is_no_worse(
    seed: int, most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(dive, "MOST", most)
    stage, prices, start, bound = last_stage(seed)
    within, found = dived(few(stage, start), prices, (start, bound), Stop(60))
    assert stage.value(start) <= within.value(found) <= best_of(seed)[1]
    assert len(within.pool.numbers(found.uses)) == len(found.uses)


def test_time_that_is_over_leaves_what_is_known() -> None:
    stage, prices, start, bound = last_stage(0)
    within, found = dived(few(stage, start), prices, (start, bound), Stop(0))
    assert within.value(found) == stage.value(start)
