"""Something better soon: some branches over those columns, of too many, that lose least."""

from contextlib import suppress
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from planner.branching.tree import best_in_tree
from planner.columns.enumeration import Near
from planner.columns.patterns import TooMany
from planner.columns.pricing import holding
from planner.model.pool import Pool
from planner.model.subproblem import Chosen, Stage
from planner.stop import Stop

__all__ = ["dived"]

Floats = npt.NDArray[np.float64]
# Columns, and branches over them. With more columns fewer branches end at a solution.
MOST, BRANCHES = 3_000, 600


def dived(
    stage: Stage, prices: Floats, known: tuple[Chosen, int], stop: Stop
) -> tuple[Stage, Chosen]:
    """The stage with a better solution than a known one, of which a bound is known too.

    Columns are listed by what they lose at the ``prices``.
    """
    chosen, best = known
    stage = replace(stage, pool=holding(stage.rows, stage.pool, chosen))
    pool = _nearest(stage, prices, (stage.value(chosen), best), stop)
    near = replace(stage, pool=holding(stage.rows, pool, chosen))
    found = best_in_tree(near, chosen, stop, BRANCHES)[0]
    return replace(stage, pool=holding(stage.rows, stage.pool, found)), found


def _nearest(stage: Stage, prices: Floats, known: tuple[int, int], stop: Stop) -> Pool:
    """Not too many columns of better solutions, all that lose less than some part of the gap."""
    reached, best = known
    near, gap = Near(stage, prices, MOST), best - reached
    while gap and not stop.over():
        with suppress(TooMany):
            return near.pool(best - gap, stop)
        gap = gap * 3 // 4
    return stage.pool
