"""The best of few columns by branching; each branch is closed by a bound in whole numbers."""

from dataclasses import replace
from typing import Any

import numpy as np
import numpy.typing as npt

from planner.bound import Bound, proven_bound
from planner.gaps import gap
from planner.highs import Found, LinearProgram, sparse
from planner.stage import Box, Chosen, Stage
from planner.stop import Stop

__all__ = ["best_in_tree"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]


def best_in_tree(
    stage: Stage, chosen: Chosen, stop: Stop, branches: int
) -> tuple[Chosen, int | None]:
    """The best solution found from a known one, and a bound on what these columns reach.

    Goes deep until a branch is closed, then on from the open branch of the best bound. The bound
    is None where nothing could be proven.
    """
    search = _Tree(stage, chosen)
    open_: list[tuple[int, Box]] = [(NO_BOUND, stage.whole)]
    stuck, deep = search.reached, True
    while open_ and branches > 0 and not stop.over():
        at = -1 if deep else max(range(len(open_)), key=lambda n: (open_[n][0], n))
        bound, box = open_.pop(at)
        if bound <= search.reached:
            deep = False
            continue
        branches -= 1
        found = search.branch(box, stop)
        if found is None:
            stuck = max(stuck, bound)
        deep = bool(found)
        open_ += [(min(bound, of), part) for of, part in found or ()]
        if branches % TOLD == 0 and open_:
            stop.say(gap(stage.aim, search.reached, max(stuck, *(of for of, _ in open_))))
    best = max(stuck, search.reached, *(bound for bound, _ in open_))
    return search.chosen, None if best == NO_BOUND else best


NO_BOUND = 2**62
# Branches between two tellings of how far the search has come.
TOLD = 20


class _Tree:
    def __init__(self, stage: Stage, chosen: Chosen) -> None:
        self.stage, self.chosen, self.reached = stage, chosen, stage.value(chosen)
        self.extras, self.columns = len(stage.rows.most), len(stage.pool)
        kinds = np.zeros((len(stage.rows.caps), self.columns), np.int64)
        kinds[stage.pool.kind, np.arange(self.columns)] = 1
        self.low = np.array([-np.inf if v is None else v for v in stage.low])
        self.high = np.array([np.inf if v is None else v for v in stage.high])
        caps = stage.rows.caps
        self.program = LinearProgram(
            np.concatenate([self.low, np.zeros(len(caps))]), np.concatenate([self.high, caps])
        )
        extra = np.vstack([stage.extra_block, np.zeros((len(caps), self.extras), np.int64)])
        self.program.add(
            np.concatenate([stage.extra_gains, stage.gains]),
            np.concatenate([stage.rows.most, np.full(self.columns, np.inf)]),
            sparse(np.hstack([extra, np.vstack([stage.block(), kinds])])),
        )

    def branch(self, box: Box, stop: Stop) -> list[tuple[int, Box]] | None:
        """The branches still open below this one; None where there is no way on."""
        found = self._solved(box, stop)
        count = len(self.low)
        if found.status == "infeasible":
            return [] if self._impossible(box) else None
        if found.status != "optimal":
            return None
        bound = proven_bound(self.stage, found.duals[:count], box)
        self._take(found.values)
        if bound.whole is None or bound.whole <= self.reached:
            return []
        split = self._split(self._closer(box, bound), found.values)
        return None if split is None else [(bound.whole, part) for part in split]

    def _closer(self, box: Box, bound: Bound) -> Box:
        """Without the columns that no better solution of this branch uses."""
        return replace(box, barred=box.barred | ~bound.within(self.reached + self.stage.step))

    def _impossible(self, box: Box) -> bool:
        """No solution, in whole numbers: with no gains at all, less than nothing is left over."""
        ray = self.program.ray()
        if ray is None:
            return False
        for prices in (ray[: len(self.low)], -ray[: len(self.low)]):
            bound = proven_bound(self.stage, prices, box, plain=False)
            if bound.total is None or bound.total < 0:
                return True
        return False

    def _solved(self, box: Box, stop: Stop) -> Found:
        low, high = np.zeros(self.columns), np.full(self.columns, np.inf)
        low[list(box.used)] = list(box.used.values())
        high[list(box.most)] = list(box.most.values())
        high[box.barred] = low[box.barred]
        self.program.bound_columns(
            np.concatenate([box.extra_low, low]), np.concatenate([box.extra_high, high])
        )
        self.program.bound_rows(
            np.concatenate([self.low, box.kind_low]), np.concatenate([self.high, box.kind_high])
        )
        found = self.program.solve(stop)
        return found if found.status != "failed" else self.program.solve(stop, afresh=True)

    def _take(self, values: Floats) -> None:
        """Keep a better solution where the fractional optimum is whole."""
        whole = np.rint(values).astype(np.int64)
        if np.abs(values - whole).max(initial=0) > 1e-6:
            return
        extras, uses = whole[: self.extras], whole[self.extras :]
        used = np.flatnonzero(uses)
        if self.stage.fits(used, uses[used], extras):
            chosen = self.stage.chosen(used, uses[used], extras)
            if self.stage.value(chosen) > self.reached:
                self.chosen, self.reached = chosen, self.stage.value(chosen)

    def _split(self, box: Box, values: Floats) -> list[Box] | None:
        """Branch on frames cut, then on pieces of a kind used, then on one column."""
        extras, columns = values[: self.extras], values[self.extras :]
        at = _fraction(extras)
        if at is not None:
            return [
                replace(box, extra_high=_with(box.extra_high, at, int(extras[at]))),
                replace(box, extra_low=_with(box.extra_low, at, int(extras[at]) + 1)),
            ]
        kinds = np.bincount(self.stage.pool.kind, columns, minlength=len(box.kind_low))
        at = _fraction(kinds)
        if at is not None:
            return [
                replace(box, kind_high=_with(box.kind_high, at, int(kinds[at]))),
                replace(box, kind_low=_with(box.kind_low, at, int(kinds[at]) + 1)),
            ]
        at = _fraction(columns)
        if at is None:
            return None
        fewer = int(columns[at])
        more = replace(box, used={**box.used, at: fewer + 1})
        if fewer:
            return [replace(box, most={**box.most, at: fewer}), more]
        barred = box.barred.copy()
        barred[at] = True
        return [replace(box, barred=barred), more]


def _fraction(values: npt.NDArray[Any]) -> int | None:
    """The value furthest from a whole number, if any is."""
    off = np.abs(values - np.rint(values))
    at = int(np.argmax(off)) if len(off) else 0
    return at if len(off) and off[at] > 1e-6 else None


def _with(values: Ints, at: int, value: int) -> Ints:
    changed = values.copy()
    changed[at] = value
    return changed
