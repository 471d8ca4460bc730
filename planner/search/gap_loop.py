"""The best solution for one aim, sought within a gap below the bound that grows until it is there.

What was gone through without finding any lowers the bound, in whole numbers.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planner.columns.enumeration import Near
from planner.columns.pricing import holding
from planner.labels.frame_choices import many_choices
from planner.labels.sweep import Sweep
from planner.lp.dual_bound import Bound
from planner.model.patterns import TooMany
from planner.model.pool import Pool
from planner.model.profile_model import Model
from planner.model.subproblem import Chosen, Stage
from planner.search.narrowing import Narrowing
from planner.stop import Stop

__all__ = ["LAST", "MOST", "WIDTHS", "WORK", "Swept", "swept", "too_large", "too_many"]

Floats = npt.NDArray[np.float64]
# Above so many pieces in all, or alike, or sets of rails that could be asked for, it is left to
# others: pieces are taken one by one here, and branching takes all that are alike at once.
PIECES, ALIKE, ASKED = 400, 32, 2**56
# States that a sweep keeps at once: first, and where nothing was found with so many.
WIDTHS = (10_000, 100_000, 1_000_000)
# Sums after which no other sweep begins, and at most in all: the same problem ends alike anywhere.
WORK, LAST = 30_000_000, 60_000_000
# Sums in one sweep, above which adding rows is quicker.
ONCE = 3_000_000
# So much of the time that is left is for the last aim's proof, the rest for any better plan.
PART = 0.9
# Ways to cut a piece, about, within the gap that is looked at first.
FEW = 3
# Columns that are listed at most.
MOST = 60_000
# A sweep of fewer sums for each column is quicker than adding rows.
EASY = 200


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
    if too_many(stage):
        return Swept(chosen, known[1], False, stage.pool)
    part = stop.within(stop.left() * (PART if fetched else 1))
    closing = _Closing(stage, prices, chosen, known, part, fetched)
    while closing.goes_on():
        pass
    return closing.result()


class _Closing:
    """Sweeps of one aim: ``best`` is proven, ``reached`` known, ``gap`` looked at below the bound.

    ``near`` has all columns of solutions that reach ``floor``. Once a sweep was ``hard``, rows are
    added to what is near.
    """

    def __init__(
        self,
        stage: Stage,
        prices: Floats,
        chosen: Chosen,
        known: tuple[Bound, int],
        stop: Stop,
        fetched: bool,
    ) -> None:
        self.stage, self.prices, self.chosen, self.stop = stage, prices, chosen, stop
        (self.bound, self.best), self.fetched = known, fetched
        self.top, self.reached = self.best, stage.value(chosen)
        self.step = stage.step if stage.pool.complete else 1
        self.widths, self.sums, self.whole = list(WIDTHS), 0, False
        self.hard = many_choices(stage.rows)
        self.lister, self.near, self.floor = Near(stage, prices, MOST), stage, self.best + 1
        few = len(np.unique(stage.pool.kind)) * (FEW if stage.pool.complete else 1)
        self.gap = 1 + max(_gap_of(self.bound, few), (self.best - self.reached) // 64)

    def goes_on(self) -> bool:
        """Look within the gap once; whether there is more to be looked at."""
        least = self.reached + (0 if self.fetched else self.step)
        if self.best < least:
            self.whole = True
        if self.whole or not self.widths or self.sums >= WORK or self.stop.over():
            return False
        floor = max(least, self.top - self.gap)
        if floor < self.floor:
            try:
                self.near, self.floor = replace(self.stage, pool=self._columns(floor)), floor
            except TooMany:
                return False
        if not self.hard:
            self._sweep(floor)
        if self.hard:
            self._narrow()
        return not self.hard

    def _columns(self, floor: int) -> Pool:
        if self.stage.pool.complete:
            return self.stage.pool.only(self.bound.within(floor))
        return self.lister.pool(floor, self.stop)

    def _sweep(self, aim: int) -> None:
        limits = self.widths[0], min(ONCE, LAST - self.sums), self.stop
        before = self.reached
        sweep = Sweep(self.near, self.prices, aim, limits, self.fetched)
        found = sweep.best()
        self.sums += sweep.sums
        if found:
            self.chosen, self.reached = found, self.near.value(found)
        if found and sweep.whole:
            self.best, self.whole = self.reached, True
        elif sweep.whole:
            self._ruled_out(aim)
        elif 4 * (self.reached - max(before, aim)) >= self.best - aim:
            return  # much less is left to be looked at
        elif sweep.hopeless or sweep.sums >= min(ONCE, EASY * len(self.near.pool)):
            self.hard = True
        else:
            self.widths = self.widths[1:]

    def _ruled_out(self, aim: int) -> None:
        """No solution reaches the aim: look further."""
        self.best = (aim - 1) // self.step * self.step
        if aim <= self.floor:
            slow, complete = len(self.widths) < len(WIDTHS), self.stage.pool.complete
            self.gap = _next_gap(self.bound, self.gap, slow, complete)

    def _narrow(self) -> None:
        """Go on with rows added and branches, which tell more of what is near."""
        known = self.chosen, self.reached, self.best, self.top - self.floor
        narrowing = Narrowing(
            self.stage, self.prices, self._columns, known, self.stop, self.fetched
        )
        narrowing.run()
        self.chosen, self.best, self.reached = narrowing.chosen, narrowing.best, narrowing.reached
        self.near, self.floor, self.whole = narrowing.near, narrowing.floor, narrowing.whole

    def result(self) -> Swept:
        """What was found and proven, with the columns of solutions as good."""
        if self.fetched and self.best == self.reached and self.floor <= self.reached:
            return Swept(self.chosen, self.best, self.whole, self.near.pool)
        pool = holding(self.stage.rows, self.stage.pool, self.chosen)
        return Swept(self.chosen, self.best, self.whole, pool)


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
