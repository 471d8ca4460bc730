"""A table of whole numbers by its entries, column by column: quick where most of it is nothing."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

__all__ = ["Sparse", "sparse"]

Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Sparse:
    """Columns one after another: ``rows`` and ``values`` of column j from ``starts[j]`` on.

    The last of the ``starts`` is where the last column ends.
    """

    starts: Ints
    rows: Ints
    values: npt.NDArray[Any]

    def priced(self, prices: npt.NDArray[Any]) -> npt.NDArray[Any]:
        """What each column's rows cost at these prices: ``prices @ table``, without rounding.

        Whole numbers stay whole.
        """
        parts = self.values * prices[self.rows]
        found = np.zeros(len(self.starts) - 1, parts.dtype)
        some = np.flatnonzero(np.diff(self.starts))
        if len(some):
            found[some] = np.add.reduceat(parts, self.starts[some])
        return found

    def with_more(self, more: "Sparse") -> "Sparse":
        """These columns, then the others."""
        starts = np.concatenate([self.starts, self.starts[-1] + more.starts[1:]])
        rows, values = np.append(self.rows, more.rows), np.append(self.values, more.values)
        return Sparse(starts, rows, values)

    def only(self, columns: Ints) -> "Sparse":
        """Some of the columns."""
        first, counts = self.starts[columns], np.diff(self.starts)[columns]
        starts = np.append(0, np.cumsum(counts))
        at = np.arange(starts[-1]) + np.repeat(first - starts[:-1], counts)
        return Sparse(starts, self.rows[at], self.values[at])


def sparse(dense: npt.NDArray[Any]) -> Sparse:
    """A table of rows by columns as its entries."""
    columns, rows = np.nonzero(dense.T)
    counts = np.bincount(columns, minlength=dense.shape[1])
    return Sparse(np.append(0, np.cumsum(counts)), rows, dense[rows, columns])
