"""Rows and branches within a growing gap: the best solution, and all columns of those as good."""

import numpy as np
import pytest

from planner.search.narrowing import narrowed
from planner.stop import Stop
from tests.planner.stages import best_of, last_stage


@pytest.mark.parametrize("few", [1, 1_000])
@pytest.mark.parametrize("seed", range(30))
def test_the_best_solution_is_found_and_proven(
    seed: int, few: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("planner.search.narrowing.FEW", few)
    stage, prices, start, bound = last_stage(seed)
    found = narrowed(stage, prices, start, bound, Stop(60))
    best, reached = best_of(seed)
    assert found.bound == stage.value(found.chosen) == reached
    assert len(found.pool.numbers(best.uses)) == len(best.uses)


def test_time_that_is_over_leaves_what_is_known() -> None:
    stage, prices, start, best = last_stage(0)
    found = narrowed(stage, prices, start, best, Stop(0))
    assert found.chosen is start
    assert found.bound == best


def test_more_columns_than_are_looked_at_leave_the_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("planner.search.narrowing.MOST", 3)
    stage, prices, start, best = last_stage(1)
    found = narrowed(stage, prices, start, best, Stop(60))
    assert stage.value(start) <= stage.value(found.chosen) <= best_of(1)[1] <= found.bound <= best
    assert np.isin(found.pool.numbers(found.chosen.uses), np.arange(len(found.pool))).all()
