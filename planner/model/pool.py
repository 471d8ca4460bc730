"""Every way to cut every piece of a profile, as tables of numbers.

A *pattern* counts items: loose rails by length, then frames that come whole from one piece. A
*column* is a pattern cut from a type of piece, with what it gains.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache, cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from planner.model.patterns import Counts, TooMany, patterns_of_type
from planner.model.profile_model import Model, PieceType
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
    rooms = {t: model.types[t].stretches[0] + model.allowance for t in plain}
    table, sizes = _enumerated(model, max(rooms.values(), default=0), most)
    kinds, patterns, gains = [], [], []
    for t in plain:
        allowed = np.arange(np.searchsorted(sizes, rooms[t], side="right"))
        allowed = allowed[_tied(model, t, table[: len(allowed)])]
        left = np.maximum(0, rooms[t] - model.allowance - sizes[allowed])
        kinds.append(np.full(len(allowed), t))
        patterns.append(allowed)
        gains.append(model.worth_left(t).many(left) - model.types[t].before)
        if sum(map(len, kinds)) > most:
            raise TooMany
    pool = Pool(
        table, _joined(kinds), _joined(patterns), _joined(gains), {}
    )  # fmt: skip
    several = [(t, kind) for t, kind in enumerate(model.types) if len(kind.stretches) > 1]
    return _with_several(model, pool, several, most, stop)


def _joined(parts: list[Ints]) -> Ints:
    return np.concatenate([np.zeros(0, np.int64), *parts])


def _enumerated(model: Model, room: int, most: int) -> tuple[Ints, Ints]:
    """Counts of items that fit a room (the allowance added), by size; not the empty one."""
    levels: list[tuple[Ints, Ints]] = []
    rooms = np.array([room], np.int64)
    for size, asked in zip(model.item_sizes, model.item_asked, strict=True):
        times = np.minimum(asked, rooms // size) + 1
        total = int(times.sum())
        if total > most:
            raise TooMany
        parent = np.repeat(np.arange(len(rooms)), times)
        count = np.arange(total) - np.repeat(np.cumsum(times) - times, times)
        levels.append((parent, count))
        rooms = rooms[parent] - count * size
    sizes = room - rooms
    order = np.argsort(sizes, kind="stable")[1:]
    table = np.zeros((len(order), len(levels)), np.int64)
    at = order
    for item, (parent, count) in reversed(list(enumerate(levels))):
        table[:, item], at = count[at], parent[at]
    return table, sizes[order]


def _tied(model: Model, kind: int, table: Ints) -> npt.NDArray[np.bool_]:
    """Patterns without an item that may not come from this type of piece."""
    barred = [item for item in range(len(model.item_sizes)) if not model.may(kind, item)]
    return np.asarray((table[:, barred] == 0).all(axis=1))


def _with_several(
    model: Model, pool: Pool, several: list[tuple[int, PieceType]], most: int, stop: Stop
) -> Pool:
    """Add the columns of pieces with several stretches (or none usable: no columns)."""
    rows, kinds, gains = [], [], []
    splits: dict[tuple[int, Counts], tuple[Counts, ...]] = {}
    for t, _ in several:
        for pattern in patterns_of_type(model, t, most, stop):
            counts = (*pattern.loose, *pattern.bundles)
            rows.append(counts)
            kinds.append(t)
            gains.append(pattern.gain)
            splits[t, counts] = pattern.split
        if len(rows) + len(pool) > most:
            raise TooMany
    if not rows:
        return pool
    first = len(pool.table)
    return Pool(
        np.concatenate([pool.table, np.array(rows, np.int64)]),
        np.concatenate([pool.kind, np.array(kinds, np.int64)]),
        np.concatenate([pool.pattern, first + np.arange(len(rows))]),
        np.concatenate([pool.gain, np.array(gains, np.int64)]),
        splits,
    )
