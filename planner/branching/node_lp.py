"""The linear program of a branch over few columns: others are taken in as prices call for them."""

from dataclasses import replace
from typing import Any

import numpy as np
import numpy.typing as npt

from planner.lp.highs import Found, LinearProgram
from planner.lp.sparse import sparse
from planner.model.subproblem import Box, Stage
from planner.stop import Stop

__all__ = ["Core"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
# Columns at first, and taken in at once; so often for one branch.
FIRST, MORE, TIMES = 200, 100, 20
SMALL = 1e-9


class Core:
    """A stage's rows, then one for each kind's pieces; the extras come before the columns."""

    def __init__(self, stage: Stage) -> None:
        self.stage, self.extras = stage, len(stage.rows.most)
        self._low = np.array([-np.inf if v is None else v for v in stage.low])
        self._high = np.array([np.inf if v is None else v for v in stage.high])
        caps = stage.rows.caps
        kinds = np.zeros((len(caps), len(stage.pool)), np.int64)
        kinds[stage.pool.kind, np.arange(len(stage.pool))] = 1
        self._columns = sparse(np.vstack([stage.block(), kinds]))
        self._program = LinearProgram(
            np.concatenate([self._low, np.zeros(len(caps))]),
            np.concatenate([self._high, caps]),
        )
        extra = np.vstack([stage.extra_block, np.zeros((len(caps), self.extras), np.int64)])
        self._program.add(stage.extra_gains, stage.rows.most, sparse(extra))
        self._small = 1e-6 * max(1.0, float(np.abs(stage.gains).max(initial=0)) * 1e-3)
        self._in = np.zeros(0, np.int64)
        self._take_in(np.arange(len(stage.pool)))

    def _take_in(self, columns: Ints) -> None:
        high = np.full(len(columns), np.inf)
        self._program.add(self.stage.gains[columns], high, self._columns.only(columns))
        self._in = np.concatenate([self._in, columns])

    def solved(self, box: Box, stop: Stop) -> Found:
        """The optimum of a branch over all its columns (of rows and kinds the duals), or none."""
        every = len(self._in) == len(self.stage.pool)
        found = self._solve(box, stop)
        if every and found.status == "optimal":
            self._keep_few(found)
        for _ in range(TIMES):
            called = self._called(box, found)
            if not len(called):
                break
            self._take_in(called)
            found = self._solve(box, stop)
        return found

    def _solve(self, box: Box, stop: Stop) -> Found:
        low, high = np.zeros(len(self.stage.pool)), np.full(len(self.stage.pool), np.inf)
        low[list(box.used)] = list(box.used.values())
        high[list(box.most)] = list(box.most.values())
        high[box.barred] = low[box.barred]
        self._program.bound_columns(
            np.concatenate([box.extra_low, low[self._in]]),
            np.concatenate([box.extra_high, high[self._in]]),
        )
        self._program.bound_rows(
            np.concatenate([self._low, box.kind_low]), np.concatenate([self._high, box.kind_high])
        )
        found = self._program.solve(stop)
        if found.status == "failed":
            found = self._program.solve(stop, afresh=True)
        values = np.zeros(self.extras + len(self.stage.pool))
        if len(found.values):
            values[: self.extras] = found.values[: self.extras]
            values[self.extras + self._in] = found.values[self.extras :]
        return replace(found, values=values)

    def basis(self) -> Any:
        """Where the last branch ended, to go on from there."""
        return self._program.basis()

    def go_back(self, basis: Any) -> None:
        """Go on from where an earlier branch ended."""
        self._program.go_back(basis)

    def priced(self, prices: Ints) -> Ints:
        """What each column's rows cost at these prices of the stage's rows."""
        none = np.zeros(len(self.stage.rows.caps), np.int64)
        return self._columns.priced(np.concatenate([prices, none]))

    def ray(self) -> Floats | None:
        """After "infeasible": prices of the rows at which no solution can be, if there are some."""
        ray = self._program.ray()
        return None if ray is None else ray[: len(self._low)]

    def _keep_few(self, found: Found) -> None:
        """Leave the columns out that lose most at the first optimum."""
        if len(self._in) <= 2 * FIRST:
            return
        surplus = self.stage.gains - self._columns.priced(found.duals)
        kept = found.values[self.extras :] > 0
        basic = self._program.basic_columns() - self.extras
        kept[self._in[basic[basic >= 0]]] = True
        kept[np.argsort(-surplus, kind="stable")[:FIRST]] = True
        self._program.keep_columns(np.append(np.ones(self.extras, bool), kept))
        self._in = self._in[kept]

    def _called(self, box: Box, found: Found) -> Ints:
        """Columns left out that would make the optimum better, or a solution possible."""
        out = ~box.barred
        out[self._in] = False
        if not out.any() or found.status not in ("optimal", "infeasible"):
            return np.zeros(0, np.int64)
        if found.status == "optimal":
            surplus, small = self.stage.gains - self._columns.priced(found.duals), self._small
        else:
            surplus, small = self._missing(box), SMALL
        at = np.flatnonzero(out & (surplus > small))
        return np.asarray(at[np.argsort(-surplus[at], kind="stable")[:MORE]])

    def _missing(self, box: Box) -> Floats:
        """What columns do against the impossible, more than nothing where they help."""
        ray = self._program.ray()
        if ray is None:
            return np.ones(len(self.stage.pool))
        surplus: Floats = self._columns.priced(ray)
        free = self._in[~box.barred[self._in]]
        own = surplus[[column for column in free.tolist() if column not in box.most]]
        # Which way the ray points is told by the columns that do not help, if any does.
        up, down = own.max(initial=0) <= SMALL, own.min(initial=0) >= -SMALL
        if up and down:
            return np.abs(surplus)
        return np.asarray(surplus if up else -surplus)
