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


def sparse(dense: npt.NDArray[Any]) -> Sparse:
    """A table of rows by columns as its entries."""
    columns, rows = np.nonzero(dense.T)
    counts = np.bincount(columns, minlength=dense.shape[1])
    return Sparse(np.append(0, np.cumsum(counts)), rows, dense[rows, columns])
