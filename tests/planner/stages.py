"""The last aim of random days, as the hand rule leaves it, and its best solution without rows."""

from functools import cache

import numpy as np
import numpy.typing as npt

from planner.bound import proven_bound
from planner.engine import MOST_COLUMNS, aims_of
from planner.hand import hand_laid
from planner.model import model_of
from planner.pool import pool_of
from planner.prices import prices_of
from planner.rows import Held, rows_of
from planner.solution import chosen_of
from planner.stage import Chosen, Stage
from planner.stop import Stop
from planner.sweep import Sweep
from tests.planner.rack import random_day

__all__ = ["best_of", "last_stage"]

Floats = npt.NDArray[np.float64]


def last_stage(seed: int) -> tuple[Stage, Floats, Chosen, int]:
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
def best_of(seed: int) -> tuple[Chosen, int]:
    """The best solution of that aim, found without any rows added, and what it reaches."""
    stage, prices, start, _ = last_stage(seed)
    found = Sweep(stage, prices, stage.value(start), (10**6, 10**8, Stop(60)), False)
    best = found.best()
    assert found.whole
    assert best is not None
    return best, stage.value(best)
