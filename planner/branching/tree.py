"""The best of few columns by branching; each branch is closed by a bound in whole numbers."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from planner.branching.rules import by_extras, by_lengths, by_one_column, by_pieces
from planner.columns.restricted_master import RestrictedMaster
from planner.explain.progress import gap
from planner.lp.dual_bound import Bound, proven_bound
from planner.model.subproblem import Box, Chosen, Stage
from planner.stop import Stop

__all__ = ["Tree", "best_in_tree"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]


def best_in_tree(
    stage: Stage, chosen: Chosen, stop: Stop, branches: int
) -> tuple[Chosen, int | None]:
    """The best solution found from a known one, and a bound on what these columns reach.

    The bound is None where nothing could be proven.
    """
    tree = Tree(stage, chosen, stage.value(chosen))
    tree.grow(branches, stop)
    return tree.chosen, tree.bound


NO_BOUND = 2**62
# Branches between two tellings of how far the search has come.
TOLD = 20


@dataclass(frozen=True, slots=True)
class _Open:
    """A branch that is not looked at yet: its bound, and where the program ended above it."""

    bound: int
    box: Box
    basis: Any


class Tree:
    """The best solution above ``reached``, else ``chosen``; ``branches`` have been looked at."""

    def __init__(self, stage: Stage, chosen: Chosen, reached: int) -> None:
        self.stage, self.chosen, self.reached = stage, chosen, reached
        self._open = [_Open(NO_BOUND, stage.whole, None)]
        self._stuck, self._deep, self.branches = reached, True, 0
        self._extras = len(stage.rows.most)
        self._master = RestrictedMaster(stage, np.arange(len(stage.pool)))

    def grow(self, branches: int, stop: Stop) -> None:
        """Look at so many branches more, unless all are closed before.

        Goes deep until a branch is closed, then on from the open branch of the best bound.
        """
        most = self.branches + branches
        while self._open and self.branches < most and not stop.over():
            at = -1
            if not self._deep:
                at = max(range(len(self._open)), key=lambda n: (self._open[n].bound, n))
            branch = self._open.pop(at)
            if branch.bound <= self.reached:
                self._deep = False
                continue
            self.branches += 1
            self._look(branch, stop)
            if self.branches % TOLD == 0 and self._open and self.bound is not None:
                stop.say(gap(self.stage.aim, self.reached, self.bound))

    @property
    def bound(self) -> int | None:
        """What these columns reach at most; None where nothing could be proven."""
        best = max([self._stuck, self.reached, *(branch.bound for branch in self._open)])
        return None if best == NO_BOUND else best

    def _look(self, branch: _Open, stop: Stop) -> None:
        if not self._deep and branch.basis is not None:
            self._master.program.go_back(branch.basis)
        found = self._branch(branch.box, stop)
        if found is None:
            self._stuck = max(self._stuck, branch.bound)
        self._deep = bool(found)
        basis = self._master.program.basis() if found else None
        self._open += [_Open(min(branch.bound, of), box, basis) for of, box in found or ()]

    def _branch(self, box: Box, stop: Stop) -> list[tuple[int, Box]] | None:
        """The branches still open below this one; None where there is no way on."""
        found = self._master.solved(stop, box)
        if found.status == "infeasible":
            return [] if self._impossible(box) else None
        if found.status != "optimal":
            return None
        bound = proven_bound(self.stage, found.duals[self._master.kinds :], box)
        self._take(found.values)
        if bound.whole is None or bound.whole <= self.reached:
            return []
        split = self._split(self._closer(box, bound), found.values)
        return None if split is None else [(bound.whole, part) for part in split]

    def _closer(self, box: Box, bound: Bound) -> Box:
        """Without the columns that no better solution of this branch uses."""
        # What is reached need not be a value that the aim can have.
        better = (self.reached // self.stage.step + 1) * self.stage.step
        return replace(box, barred=box.barred | ~bound.within(better))

    def _impossible(self, box: Box) -> bool:
        """No solution, in whole numbers: with no gains at all, less than nothing is left over."""
        ray = self._master.program.ray()
        for prices in () if ray is None else (ray, -ray):
            bound = proven_bound(self.stage, prices[self._master.kinds :], box, plain=False)
            if bound.total is None or bound.total < 0:
                return True
        return False

    def _take(self, values: Floats) -> None:
        """Keep a better solution where the fractional optimum is whole."""
        whole = np.rint(values).astype(np.int64)
        if np.abs(values - whole).max(initial=0) > 1e-6:
            return
        extras, uses = whole[: self._extras], whole[self._extras :]
        used = np.flatnonzero(uses)
        if self.stage.fits(used, uses[used], extras):
            chosen = self.stage.chosen(used, uses[used], extras)
            if self.stage.value(chosen) > self.reached:
                self.chosen, self.reached = chosen, self.stage.value(chosen)

    def _split(self, box: Box, values: Floats) -> tuple[Box, Box] | None:
        """Branch on frames cut, then on pieces used, on what is cut of one, and on one column."""
        extras, columns = values[: self._extras], values[self._extras :]
        return (
            by_extras(box, extras)
            or by_pieces(self.stage, box, columns)
            or by_lengths(self.stage, box, columns)
            or by_one_column(box, columns)
        )
