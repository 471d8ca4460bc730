"""The best solution for one aim, sought within a gap below the bound that grows until it is there.

What was gone through without finding any lowers the bound, in whole numbers.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planner.bound import Bound
from planner.generation import holding
from planner.listing import Near
from planner.model import Model
from planner.patterns import TooMany
from planner.pool import Pool
from planner.stage import Chosen, Stage
from planner.stop import Stop
from planner.sweep import Sweep

__all__ = ["LAST", "MOST", "WIDTHS", "WORK", "Swept", "swept", "too_large", "too_many"]

Floats = npt.NDArray[np.float64]
# Above so many pieces in all, or alike, or sets of rails that could be asked for, it is left to
# others: pieces are taken one by one here, and branching takes all that are alike at once.
PIECES, ALIKE, ASKED = 400, 32, 2**42
# States that a sweep keeps at once: first, and where nothing was found with so many.
WIDTHS = (10_000, 100_000, 1_000_000)
# Sums after which no other sweep begins, and at most in all: the same problem ends alike anywhere.
WORK, LAST = 30_000_000, 60_000_000
# So much of the time that is left is for sweeps in the last aim, the rest for branching.
PART = 0.5
# Ways to cut a piece, about, within the gap that is looked at first.
FEW = 3
# Columns that are listed at most.
MOST = 60_000


def too_large(model: Model) -> bool:
    """Whether what may be asked of the pieces is too much to be gone through."""
    return math.prod(asked + 1 for asked in model.item_asked) > ASKED


def too_many(stage: Stage) -> bool:
    """Whether a stage's pieces, or what is asked of them, are too many to be gone through."""
    caps = stage.rows.caps[np.unique(stage.pool.kind)]
    many = caps.sum() > PIECES or caps.max(initial=0) > ALIKE
    return bool(many) or too_large(stage.rows.model)


@dataclass(frozen=True, slots=True)
class Swept:
    """The best solution from a known one, and what is proven to be no better than ``bound``.

    ``whole`` if it is proven best, of the fewest and oldest pieces where those were asked for.
    ``pool`` has all columns of solutions as good.
    """

    chosen: Chosen
    bound: int
    whole: bool
    pool: Pool


def swept(
    stage: Stage,
    prices: Floats,
    chosen: Chosen,
    known: tuple[Bound, int],
    stop: Stop,
    fetched: bool,
) -> Swept:
    """The best solution for one aim, sought within a growing gap below the bound.

    ``known`` is the bound of the pool's columns, and that of all ways to cut. With ``fetched``,
    of the best the one of fewest and oldest pieces.
    """
    bound, best = known
    kinds, reached = np.unique(stage.pool.kind), stage.value(chosen)
    few = len(kinds) * (FEW if stage.pool.complete else 1)
    gap, widths, top, sums = _gap_of(bound, few), list(WIDTHS), best, 0
    gap = 1 + max(gap, (best - reached) // 64)
    if too_many(stage):
        return Swept(chosen, best, False, stage.pool)
    stop, near, listed = stop.within(stop.left() * (PART if fetched else 1)), stage, top + 1
    lister = Near(stage, prices, MOST)
    while widths and sums < WORK and not stop.over():
        least = reached + (0 if fetched else stage.step)
        aim = max(least, top - gap) if best >= least else reached
        try:
            if aim != listed and not stage.pool.complete:
                near, listed = replace(stage, pool=lister.pool(aim, stop)), aim
        except TooMany:
            break
        if best < least:
            return Swept(chosen, best, True, near.pool)
        sweep = Sweep(near, prices, aim, (widths[0], LAST - sums, stop), fetched)
        found, before = sweep.best(), reached
        sums += sweep.sums
        if found:
            chosen, reached = found, near.value(found)
            if sweep.whole:
                return Swept(chosen, reached, True, near.pool)
        if sweep.whole:
            best = min(best, aim - 1) // stage.step * stage.step
            gap = _next_gap(bound, gap, len(widths) < len(WIDTHS), stage.pool.complete)
        elif reached == before:
            widths = [] if sweep.hopeless else widths[1:]
    return Swept(chosen, best, False, holding(stage.rows, stage.pool, chosen))


def _next_gap(bound: Bound, gap: int, slow: bool, complete: bool) -> int:
    """A wider gap, with more columns in it."""
    if slow:
        return 1 + gap * 3 // 2
    within = int((bound.loss >= -gap * bound.scale).sum())
    return 1 + max(2 * gap, _gap_of(bound, 2 * within) if complete else 0)


def _gap_of(bound: Bound, count: int) -> int:
    """The gap that so many columns are within."""
    at = min(len(bound.loss) - 1, count)
    return int(np.partition(-bound.loss, at)[at]) // bound.scale if at >= 0 else 0
