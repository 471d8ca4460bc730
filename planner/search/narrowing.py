"""The best solution for one aim, sought within a gap below the bound that grows until it is there.

All columns of solutions that reach a floor are listed, and rows that whole uses keep are added to
them: few columns are left, which are branched on. What is ruled out lowers the bound, in whole
numbers, and the floor goes down until the best is found.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planner.branching.tree import Tree
from planner.columns.enumeration import Near
from planner.columns.patterns import TooMany
from planner.columns.pricing import holding
from planner.cuts.cut_loop import rounded
from planner.lp.dual_bound import Bound, proven_bound
from planner.model.pool import Pool
from planner.model.subproblem import Chosen, Stage
from planner.stop import Stop

__all__ = ["Narrowed", "listing", "narrowed"]

Floats = npt.NDArray[np.float64]
# So many columns at most are looked at; of fewer than these there are to be more.
MOST, FEW = 60_000, 3_000
# Branches of one look.
BRANCHES = 1_000
# Ways to cut a piece, about, within the gap that is looked at first.
WAYS = 3


@dataclass(frozen=True, slots=True)
class Narrowed:
    """The best solution from a known one, and what is proven to be no better than ``bound``.

    ``pool`` has all columns of solutions as good, if it is complete.
    """

    chosen: Chosen
    bound: int
    pool: Pool


def listing(stage: Stage, prices: Floats, bound: Bound, stop: Stop) -> Callable[[int], Pool | None]:
    """What lists all columns of solutions that reach a floor; None where they are too many."""
    near = Near(stage, prices, MOST)

    def columns(floor: int) -> Pool | None:
        if stage.pool.complete:
            pool = stage.pool.only(bound.within(floor))
            return pool if len(pool) <= MOST else None
        try:
            return near.pool(floor, stop)
        except TooMany:
            return None

    return columns


def narrowed(stage: Stage, prices: Floats, chosen: Chosen, best: int, stop: Stop) -> Narrowed:
    """The best solution for one aim, where ``best`` is a bound of all ways to cut."""
    bound = proven_bound(stage, prices)
    columns = listing(stage, prices, bound, stop)
    narrowing = _Narrowing(stage, prices, columns, (chosen, best, _first_gap(stage, bound)), stop)
    narrowing.run()
    pool = narrowing.near.pool if narrowing.floor <= narrowing.reached else None
    if pool is None and narrowing.best == narrowing.reached:
        pool = columns(narrowing.reached)
    if pool is None:
        pool = holding(stage.rows, stage.pool, narrowing.chosen)
    return Narrowed(narrowing.chosen, narrowing.best, pool)


def _first_gap(stage: Stage, bound: Bound) -> int:
    """The gap that a few ways to cut each kind of piece are within."""
    few = len(np.unique(stage.pool.kind)) * (WAYS if stage.pool.complete else 1)
    at = min(len(bound.loss) - 1, few)
    return 1 + (int(np.partition(-bound.loss, at)[at]) // bound.scale if at >= 0 else 0)


class _Narrowing:
    """``best`` is proven, ``reached`` known; ``near`` has all columns that reach ``floor``."""

    def __init__(
        self,
        stage: Stage,
        prices: Floats,
        columns: Callable[[int], Pool | None],
        known: tuple[Chosen, int, int],
        stop: Stop,
    ) -> None:
        """``columns`` of solutions that reach a floor; ``known``: a solution, a bound and a gap."""
        self.stage, self.prices, self.columns, self.stop = stage, prices, columns, stop
        self.chosen, self.best, self.gap = known
        self.top, self.reached = self.best, stage.value(self.chosen)
        self.gap = max(self.gap, 1 + (self.best - self.reached) // 64)
        self.step = stage.step if stage.pool.complete else 1
        self.near, self.floor = stage, self.best + 1
        self.listed = 0

    def run(self) -> None:
        """Look further and further down, until the best is found or it is too much."""
        while self.best > self.reached and not self.stop.over():
            if not self._list() or not self._looked_through():
                return

    def _list(self) -> bool:
        """List the columns of all solutions that reach the next floor; whether there are some.

        They are neither few nor too many.
        """
        least, high = self.reached + self.step, self.best
        floor = max(least, self.top - self.gap)
        pool = self.columns(floor)
        while pool is not None and len(pool) < FEW and floor > least:
            self.gap *= 2
            floor = max(least, self.top - self.gap)
            pool = self.columns(floor)
        if pool is not None and 10 * len(pool) < 11 * self.listed and floor > least:
            # Hardly more than before: nearly all there are, and a floor more would be for nothing.
            self.gap = self.gap * 3 // 2
            floor = max(least, self.top - self.gap)
            pool = self.columns(floor)
        while self._too_many(pool) and 64 * (high - floor) > self.gap and not self.stop.over():
            floor = high - (high - floor) // 2
            pool = self.columns(floor)
        if pool is None:
            return False
        self.listed = len(pool)
        self.floor, self.gap, self.near = floor, self.top - floor, replace(self.stage, pool=pool)
        return True

    def _too_many(self, pool: Pool | None) -> bool:
        """Whether columns are too many for a look, or for the first one."""
        return pool is None or (not self.listed and len(pool) > 2 * FEW)

    def _looked_through(self) -> bool:
        """Look at what is near; whether something was found or nothing better is there."""
        best = self.best // self.near.step * self.near.step
        losses = proven_bound(self.near, self.prices).loss
        sharp = rounded(self.near, self.chosen, best, self.floor, self.stop, losses)
        if sharp.chosen is not self.chosen:
            self.chosen, self.reached = sharp.chosen, self.near.value(sharp.chosen)
        self.near = replace(sharp.stage, added=None)
        if self._bounded(sharp.bound):
            return True
        before = self.chosen
        tree = Tree(sharp.stage, self.chosen, max(self.reached, self.floor - self.step))
        tree.grow(BRANCHES, self.stop)
        if tree.chosen is not before:
            self.chosen, self.reached = tree.chosen, tree.reached
        return self._bounded(tree.bound) or tree.chosen is not before

    def _bounded(self, bound: int | None) -> bool:
        """Take a bound of what is near; whether nothing better is there."""
        if bound is None:
            return False
        if bound >= self.floor:
            self.best = min(self.best, bound)
            return self.best <= self.reached
        self.best = max(self.reached, min(self.best, self.floor - 1) // self.step * self.step)
        # With more columns each step takes longer.
        self.gap = self.gap * (6 if len(self.near.pool) < FEW else 5) // 4
        return True
