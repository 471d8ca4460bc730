"""Rows, branches and sweeps together: the best solution, and of those the fewest pieces."""

import numpy as np
import pytest

from planner.labels.sweep import Sweep
from planner.lp.dual_bound import proven_bound
from planner.model.subproblem import Chosen, Stage
from planner.search.narrowing import Narrowing
from planner.stop import Stop
from tests.planner.stages import best_of, last_stage


def _narrowing(seed: int, gap: int, fetched: bool) -> tuple[Stage, Narrowing]:
    stage, prices, start, best = last_stage(seed)
    bound = proven_bound(stage, prices)
    known = start, stage.value(start), best, gap
    return stage, Narrowing(
        stage, prices, lambda floor: stage.pool.only(bound.within(floor)), known, Stop(60), fetched
    )


@pytest.mark.parametrize("gap", [1, 100_000])
@pytest.mark.parametrize("seed", range(60))
def test_the_best_solution_is_found_and_proven(seed: int, gap: int) -> None:
    stage, narrowing = _narrowing(seed, gap, fetched=False)
    narrowing.run()
    assert narrowing.best == narrowing.reached == stage.value(narrowing.chosen) == best_of(seed)[1]


def _fetching(stage: Stage, chosen: Chosen) -> tuple[int, int]:
    """How many pieces are used, and their places in age where the oldest of each kind are."""
    uses = np.zeros(len(stage.rows.caps), np.int64)
    for (kind, _), times in chosen.uses.items():
        uses[kind] += times
    used = zip(stage.rows.model.types, uses, strict=True)
    ranks = [rank for kind, count in used for rank in kind.ranks[:count]]
    return len(ranks), sum(ranks)


@pytest.mark.parametrize("seed", range(60))
def test_of_the_best_solutions_that_of_the_fewest_and_oldest_pieces_is_taken(seed: int) -> None:
    stage, narrowing = _narrowing(seed, 1, fetched=True)
    narrowing.run()
    _, prices, _, _ = last_stage(seed)
    best = best_of(seed)[1]
    every = Sweep(stage, prices, best, (10**6, 10**8, Stop(60)), True).best()
    assert every is not None
    assert narrowing.best == narrowing.reached == best
    assert narrowing.whole or stage.value(last_stage(seed)[2]) == best
    if narrowing.whole:
        assert _fetching(stage, narrowing.chosen) == _fetching(stage, every)


def test_time_that_is_over_leaves_what_is_known() -> None:
    stage, prices, start, best = last_stage(0)
    known = start, stage.value(start), best, 1
    narrowing = Narrowing(stage, prices, lambda _: stage.pool, known, Stop(0), True)
    narrowing.run()
    assert narrowing.chosen is start
    assert narrowing.best == best
