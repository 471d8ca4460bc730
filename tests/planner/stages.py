"""The last aim of random days, as the hand rule leaves it, and its best solution without rows."""

from functools import cache
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.optimize import Bounds, LinearConstraint, milp

from planner.columns.enumeration import pool_of
from planner.columns.restricted_master import prices_of
from planner.heuristics.best_fit import hand_laid
from planner.lp.dual_bound import proven_bound
from planner.model.profile_model import model_of
from planner.model.rows import Held, rows_of
from planner.model.subproblem import Chosen, Stage
from planner.model.translate import chosen_of
from planner.search.aims import MOST_COLUMNS
from planner.search.profile import aims_of
from planner.stop import Stop
from tests.planner.rack import random_day

__all__ = ["best_of", "last_stage"]

Floats = npt.NDArray[np.float64]


def last_stage(seed: int) -> tuple[Stage, Floats, Chosen, int]:
    """The last aim of a random day as the hand rule leaves it, its prices and their bound."""
    problem = random_day(seed)
    model = model_of(problem)
    rows, aims = rows_of(model), aims_of(model)
    pool, start = pool_of(rows, MOST_COLUMNS, Stop(60)), chosen_of(rows, hand_laid(problem))
    held = tuple(Held(aim, Stage(rows, pool, aim, ()).value(start)) for aim in aims[:-1])
    stage = Stage(rows, pool, aims[-1], held)
    prices, _ = prices_of(stage, start, Stop(60))
    bound = proven_bound(stage, prices)
    assert bound.whole is not None
    return stage.only(bound.within(stage.value(start))), prices, start, bound.whole


@cache
def best_of(seed: int) -> tuple[Chosen, int]:
    """The best solution of that aim, found by SciPy over all columns, and what it reaches."""
    stage, _, _, _ = last_stage(seed)
    kinds = np.zeros((len(stage.rows.caps), len(stage.pool)))
    kinds[stage.pool.kind, np.arange(len(stage.pool))] = 1
    none = np.zeros((len(kinds), len(stage.rows.most)))
    table = np.block([[stage.extra_block, stage.block()], [none, kinds]])
    low = [*stage.low, *[0] * len(kinds)]
    high = [*stage.high, *stage.rows.caps]
    most = np.concatenate([stage.rows.most, stage.rows.caps[stage.pool.kind]])
    found: Any = milp(
        -np.concatenate([stage.extra_gains, stage.gains]).astype(float),
        constraints=LinearConstraint(table, low, high), bounds=Bounds(0, most),
        integrality=np.ones(len(most)), options={"mip_rel_gap": 0},
    )  # fmt: skip
    assert found.status == 0, found.message
    values = np.rint(found.x).astype(np.int64)
    extras, uses = values[: len(stage.rows.most)], values[len(stage.rows.most) :]
    used = np.flatnonzero(uses)
    assert stage.fits(used, uses[used], extras)
    best = stage.chosen(used, uses[used], extras)
    return best, stage.value(best)
