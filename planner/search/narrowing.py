"""The best solution for one aim where sweeps alone are too much: rows added, branches, sweeps.

All columns of solutions that reach a floor are listed, and rows that whole uses keep are added to
them: few columns are left, which are branched on and gone through. What is ruled out lowers the
bound, in whole numbers, and the floor goes down until the best is found.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import cast

import numpy as np
import numpy.typing as npt

from planner.branching.tree import Tree
from planner.cuts.cut_loop import Rounded, rounded
from planner.labels.frame_choices import many_choices
from planner.labels.sweep import Sweep
from planner.lp.dual_bound import proven_bound
from planner.model.patterns import TooMany
from planner.model.pool import Pool
from planner.model.subproblem import Chosen, Stage
from planner.stop import Stop

__all__ = ["Narrowing"]

Floats = npt.NDArray[np.float64]
# So many columns at most are looked at; of so few there are to be more, of so many few more.
MOST, FEW, MANY = 60_000, 1_000, 3_000
# Columns gone through in all branches; states that a sweep keeps at once after that.
BRANCHING, WIDTHS = 4_000_000, (10_000, 100_000, 1_000_000)
# Sums after which nothing else begins, and at most in one sweep. So many numbers of a table that
# rows are added to, or of one that is branched on, take as long as one.
WORK, LAST, ADDING, PARTING = 40_000_000, 20_000_000, 2, 25
# So few columns are swept for what is as good as the best and takes fewer pieces, and rows are not
# added for that where so many are left; the states kept then, and the sums looked at.
SETTLED, UNSETTLED, SETTLING = 1_000, 3_000, (100_000, 1_000_000)


class Narrowing:
    """``best`` is proven, ``reached`` known; ``near`` has all columns that reach ``floor``.

    ``whole`` if no solution as good takes fewer or older pieces, where these are ``fetched``.
    """

    def __init__(
        self,
        stage: Stage,
        prices: Floats,
        columns: Callable[[int], Pool],
        known: tuple[Chosen, int, int, int],
        stop: Stop,
        fetched: bool,
    ) -> None:
        """``columns`` of solutions that reach a floor; ``known``: a solution, what it reaches,
        the bound and the gap looked at.
        """
        self.stage, self.prices, self.columns, self.stop = stage, prices, columns, stop
        (self.chosen, self.reached, self.best, self.gap), self.fetched = known, fetched
        self.top = self.best
        self.step = stage.step if stage.pool.complete else 1
        self.near, self.floor, self.sharp = stage, self.best + 1, cast(Rounded | None, None)
        self.sums, self.whole, self.hopeless, self.listed = 0, False, False, 0

    def run(self) -> None:
        """Look further and further down, until the best is found or it is too much."""
        while self.best > self.reached and self.sums < WORK and not self.stop.over():
            if not self._list() or not self._looked_through():
                return
        listed = not many_choices(self.stage.rows)
        if self.fetched and self.best == self.reached and not self.whole and listed:
            self._settle()

    def _list(self) -> bool:
        """List the columns of all solutions that reach the next floor; whether there are some.

        They are neither few nor too many.
        """
        least, high = self.reached + self.step, self.best
        floor = max(least, self.top - self.gap)
        pool = self._columns(floor)
        while pool is not None and len(pool) < FEW and floor > least:
            self.gap *= 2
            floor = max(least, self.top - self.gap)
            pool = self._columns(floor)
        if pool is not None and 10 * len(pool) < 11 * self.listed and floor > least:
            # Hardly more than before: nearly all there are, and a floor more would be for nothing.
            self.gap = self.gap * 3 // 2
            floor = max(least, self.top - self.gap)
            pool = self._columns(floor)
        while pool is None and 64 * (high - floor) > self.gap:
            floor = high - (high - floor) // 2
            pool = self._columns(floor)
        if pool is None:
            return False
        self.listed = len(pool)
        self.floor, self.gap, self.near = floor, self.top - floor, replace(self.stage, pool=pool)
        return True

    def _columns(self, floor: int) -> Pool | None:
        """All columns of solutions that reach a floor, None where they are too many."""
        try:
            pool = self.columns(floor)
        except TooMany:
            return None
        return pool if len(pool) <= MOST else None

    def _looked_through(self) -> bool:
        """Look at what is near; whether something was found or nothing better is there."""
        best = self.best // self.near.step * self.near.step
        losses = proven_bound(self.near, self.prices).loss
        sharp = rounded(self.near, self.chosen, best, self.floor, self.stop, losses)
        self.sums += sharp.rounds * len(self.near.pool) * len(self.near.low) // ADDING
        if sharp.chosen is not self.chosen:
            self.chosen, self.reached = sharp.chosen, self.near.value(sharp.chosen)
        self.near, self.sharp, self.hopeless = replace(sharp.stage, added=None), sharp, False
        if self._bounded(sharp.bound):
            return True
        tree = Tree(sharp.stage, self.chosen, max(self.reached, self.floor - self.step))
        if self._branched(tree, BRANCHING // (50 + len(self.near.pool))):
            return True
        # Sets of rails of several batches are too many.
        widths = WIDTHS if len(self.stage.rows.batches) == 1 else ()
        return any(self._gone_through(width) for width in widths if not self.hopeless)

    def _gone_through(self, width: int) -> bool:
        """Sweep further and further down; whether something was found or nothing better is."""
        drop, before = 1 + (self.best - self.floor) // 4, self.reached
        while self.sums < WORK and not self.stop.over():
            whole = self._swept(width, drop)
            if self.reached > before or self.best < self.floor:
                return True
            if not whole:
                break
            drop *= 2
        return False

    def _bounded(self, bound: int | None) -> bool:
        """Take a bound of what is near; whether nothing better is there."""
        if bound is None:
            return False
        if bound >= self.floor:
            self.best = min(self.best, bound)
            return self.best <= self.reached
        self.best = max(self.reached, min(self.best, self.floor - 1) // self.step * self.step)
        # With more columns each step takes longer.
        self.gap = self.gap * (6 if len(self.near.pool) < MANY else 5) // 4
        return True

    def _branched(self, tree: Tree, branches: int) -> bool:
        """Branch on what is near; whether something was found or nothing better is there."""
        before = tree.chosen
        tree.grow(branches, self.stop)
        self.sums += tree.branches * len(self.near.pool) * len(tree.stage.low) // PARTING
        if tree.chosen is not before:
            self.chosen, self.reached = tree.chosen, tree.reached
        return self._bounded(tree.bound) or tree.chosen is not before

    def _swept(self, width: int, drop: int) -> bool:
        """Go through what loses little; whether nothing was left out."""
        aim = max(self.floor, self.best - drop)
        found, sweep = self._sweep(aim, width, LAST)
        self.hopeless = sweep.hopeless
        if found:
            self.chosen, self.reached = found, self.near.value(found)
        if found and sweep.whole:
            self.best, self.whole = self.reached, True
        elif sweep.whole and aim > self.floor:
            self.best = min(self.best, (aim - 1) // self.step * self.step)
        elif sweep.whole:
            self._bounded(aim - 1)
        return sweep.whole

    def _settle(self) -> None:
        """Of the best solutions take that of the fewest and oldest pieces, if it is soon found."""
        if self.floor <= self.reached and self.sharp is not None and self.sharp.priced is not None:
            near = self.sharp.priced.near(self.near, self.reached)
            if near.sum() > UNSETTLED:
                return
        pool = self._columns(self.reached)
        if pool is None or len(pool) > MANY:
            return
        self.floor, stage = self.reached, replace(self.stage, pool=pool)
        self.sharp = rounded(stage, self.chosen, self.best, self.floor, self.stop)
        self.near = replace(self.sharp.stage, added=None)
        if len(self.near.pool) <= SETTLED:
            found, sweep = self._sweep(self.reached, *SETTLING)
            if found and sweep.whole:
                self.chosen, self.whole = found, True

    def _sweep(self, aim: int, width: int, sums: int) -> tuple[Chosen | None, Sweep]:
        """Sweep what reaches an aim, by the prices that prove most."""
        losses, sharp = None, self.sharp
        if sharp is not None and sharp.priced is not None:
            losses = sharp.priced.losses(self.near, aim)
        limits = width, sums, self.stop
        sweep = Sweep(self.near, self.prices, aim, limits, self.fetched, losses)
        found = sweep.best()
        self.sums += sweep.sums
        return found, sweep
