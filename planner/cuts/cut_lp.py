"""A table's linear program over few of its columns: others are taken in as prices call for them."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planner.cuts.table import PricedUses, Table
from planner.lp.highs import LinearProgram
from planner.lp.sparse import sparse
from planner.stop import Stop

__all__ = ["Optimum", "Relaxed"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
# Columns taken in at once.
MORE = 500


@dataclass(frozen=True, slots=True)
class Optimum:
    """The fractional optimum over all columns, and what its prices prove."""

    values: Floats
    priced: PricedUses


class Relaxed:
    """The optimum of a table that changes: ``change_rows`` and ``keep_columns`` tell how."""

    def __init__(self, table: Table, first: Ints) -> None:
        """The columns that are in it at ``first``; those behind the stage's columns always are."""
        low = [-np.inf if v is None else v for v in table.low]
        high = [np.inf if v is None else v for v in table.high]
        self._program, self._in = LinearProgram(low, high), np.zeros(0, np.int64)
        self._values = np.zeros(0)
        self._take_in(table, first)

    def _take_in(self, table: Table, columns: Ints) -> None:
        # Columns whose kind has a row need no limit of their own: rounding leans on rows alone.
        part = sparse(table.table[:, columns])
        self._program.add(table.gains[columns], table.most[columns], part)
        self._in = np.concatenate([self._in, columns])

    def solved(self, table: Table, stop: Stop) -> Optimum | None:
        """The optimum over all columns; None where there is none."""
        small = 1e-6 * max(1.0, float(np.abs(table.gains).max(initial=0)) * 1e-3)
        while True:
            found = self._program.solve(stop)
            out = np.ones(len(table.gains), bool)
            out[self._in] = False
            if found.status == "infeasible" and out.any():
                self._take_in(table, np.flatnonzero(out))
                continue
            if found.status != "optimal":
                return None
            priced = table.bound(found.duals)
            called = np.flatnonzero(out & (priced.left > small * priced.scale))
            if not len(called):
                break
            order = np.argsort(-priced.left[called], kind="stable")
            self._take_in(table, called[order[:MORE]])
        self._values, values = found.values, np.zeros(len(table.gains))
        values[self._in] = found.values
        return Optimum(values, priced)

    def fractional_rows(self, sums: Floats) -> Iterator[Floats]:
        """The weights of the rows in each basic value that is not whole; ``sums`` of the rows."""
        return self._program.fractional_rows(self._values, sums)

    def change_rows(self, kept: Bools, rows: Floats, high: Ints) -> None:
        """Keep some rows, then add others of so much at most."""
        self._program.keep_rows(kept)
        self._program.add_rows(rows[:, self._in], high)

    def keep_columns(self, kept: Bools) -> None:
        """Keep some columns of the table."""
        self._program.keep_columns(kept[self._in])
        self._in = (np.cumsum(kept) - 1)[self._in[kept[self._in]]]
