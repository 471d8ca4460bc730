"""Ways to cut the pieces of a profile, as tables of numbers.

A *column* is a pattern cut from a type of piece, with what it gains.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from planner.model.profile_model import Way

__all__ = ["Pool"]

Ints = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Pool:
    """Columns ``kind[j]`` cut by ``table[pattern[j]]`` with ``gain[j]`` (worth, um).

    ``splits`` tells, for pieces of several stretches, which rails lie on which stretch. A pool
    that is not ``complete`` lacks ways to cut: what it rules out proves nothing.
    """

    table: Ints
    kind: Ints
    pattern: Ints
    gain: Ints
    complete: bool = True

    @staticmethod
    def of(kind: Ints, counts: Ints, gain: Ints, complete: bool = True) -> "Pool":
        """The columns of kinds and counts of items, each pattern once in the table."""
        # Counts are packed, two in a number, so that they are sorted sooner.
        packed = np.zeros((len(counts), counts.shape[1] + counts.shape[1] % 2), np.uint32)
        packed[:, : counts.shape[1]] = counts
        numbers = packed.view(np.int64)
        order = np.lexsort(numbers.T)
        first = np.ones(len(order), bool)
        first[1:] = (numbers[order[1:]] != numbers[order[:-1]]).any(axis=1)
        pattern = np.empty(len(order), np.int64)
        pattern[order] = np.cumsum(first) - 1
        return Pool(counts[order[first]], kind, pattern, gain, complete)

    def __len__(self) -> int:
        return len(self.kind)

    def only(self, which: npt.NDArray[Any]) -> "Pool":
        """The pool of these columns alone."""
        return replace(
            self, kind=self.kind[which], pattern=self.pattern[which], gain=self.gain[which]
        )

    @cached_property
    def floats(self) -> npt.NDArray[np.float64]:
        """The table as it is quicker to multiply."""
        return self.table.astype(np.float64)

    def number(self, way: Way) -> int | None:
        """The column of a way to cut, if the pool has it."""
        alike = (self.table == np.array(way[1], np.int64)).all(axis=1)
        found = np.flatnonzero((self.kind == way[0]) & alike[self.pattern])
        return int(found[0]) if len(found) else None

    def numbers(self, keys: Iterable[Way]) -> list[int]:
        """The columns of some that the pool has."""
        return [column for key in keys if (column := self.number(key)) is not None]

    def key(self, column: int) -> Way:
        """What a column is, whatever pool it is in: kind and counts."""
        return int(self.kind[column]), tuple(self.table[self.pattern[column]].tolist())
