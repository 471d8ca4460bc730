"""Every way to cut every piece of a profile, as tables of numbers.

A *column* is a pattern cut from a type of piece, with what it gains.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache, cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from planner.model.patterns import Counts, TooMany, fillings, spread
from planner.model.profile_model import Model
from planner.stop import Stop

__all__ = ["Pool", "pool_of"]

Ints = npt.NDArray[np.int64]


@cache
def _weights(count: int) -> Ints:
    """Numbers of which different multiples are likely to have different sums."""
    return np.random.default_rng(count).integers(1, 2**62, count)


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
    splits: dict[tuple[int, Counts], tuple[Counts, ...]]
    complete: bool = True

    def __len__(self) -> int:
        return len(self.kind)

    def only(self, which: npt.NDArray[Any]) -> "Pool":
        """The pool of these columns alone."""
        return replace(
            self, kind=self.kind[which], pattern=self.pattern[which], gain=self.gain[which]
        )

    def priced(self, prices: npt.NDArray[Any]) -> npt.NDArray[Any]:
        """What each pattern's items cost at these prices; whole numbers stay whole."""
        return np.asarray((self._floats if prices.dtype.kind == "f" else self.table) @ prices)

    @cached_property
    def _floats(self) -> npt.NDArray[np.float64]:
        """The table as it is quicker to multiply."""
        return self.table.astype(np.float64)

    @cached_property
    def _codes(self) -> Ints:
        """A number of each column that no other is likely to have."""
        weights = _weights(self.table.shape[1] + 1)
        return np.asarray((self.table @ weights[:-1])[self.pattern] + self.kind * weights[-1])

    def number(self, key: tuple[int, Counts]) -> int | None:
        """The column of a kind and counts, if the pool has it."""
        code = np.array([*key[1], key[0]]) @ _weights(len(key[1]) + 1)
        alike = np.flatnonzero(self._codes == code).tolist()
        return next((column for column in alike if self.key(column) == key), None)

    def numbers(self, keys: Iterable[tuple[int, Counts]]) -> list[int]:
        """The columns of some that the pool has."""
        return [column for key in keys if (column := self.number(key)) is not None]

    def key(self, column: int) -> tuple[int, Counts]:
        """What a column is, whatever pool it is in: kind and counts."""
        return int(self.kind[column]), tuple(self.table[self.pattern[column]].tolist())


def pool_of(model: Model, most: int, stop: Stop) -> Pool:
    """All columns that cut at least one rail.

    Raises:
        TooMany: there are more than ``most``, or too many for the time that is left.
    """
    plain = [t for t, kind in enumerate(model.types) if len(kind.stretches) == 1]
    longest = max((model.types[t].stretches[0] for t in plain), default=0)
    table, sizes = fillings(longest + model.allowance, model.item_sizes, model.item_asked, most)
    kinds, patterns, gains = list[Ints](), list[Ints](), list[Ints]()
    for t in plain:
        room = model.types[t].stretches[0]
        allowed = np.arange(1, np.searchsorted(sizes, room + model.allowance, side="right"))
        allowed = allowed[_may(model, t, table[allowed])]
        kinds.append(np.full(len(allowed), t))
        patterns.append(allowed)
        left = np.maximum(0, room - sizes[allowed])
        gains.append(model.worth_left(t).many(left) - model.types[t].before)
        if sum(map(len, kinds)) > most:
            raise TooMany
    tables, splits = [table], dict[tuple[int, Counts], tuple[Counts, ...]]()
    for t, piece in enumerate(model.types):
        if len(piece.stretches) > 1:
            found = spread(model, t, most, stop)
            kinds.append(np.full(len(found.gain), t))
            patterns.append(sum(map(len, tables)) + np.arange(len(found.gain)))
            gains.append(found.gain)
            tables.append(found.counts)
            splits |= found.split_of(t)
            if sum(map(len, kinds)) > most:
                raise TooMany
    none = np.zeros(0, np.int64)
    kind, pattern, gain = (np.concatenate([none, *p]) for p in (kinds, patterns, gains))
    return Pool(np.concatenate(tables), kind, pattern, gain, splits)


def _may(model: Model, kind: int, table: Ints) -> npt.NDArray[np.bool_]:
    """Patterns without an item that may not come from this type of piece."""
    barred = [item for item in range(len(model.item_sizes)) if not model.may(kind, item)]
    return np.asarray((table[:, barred] == 0).all(axis=1))
