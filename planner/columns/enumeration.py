"""The columns that a solution good enough may use, where all the ways to cut are too many to list.

Filled item by item; a filling is let go as soon as even the best that the rest of its piece can
pay is too little. What the rest can pay is counted on a grid, rounded so that it is never less.
"""

from collections import defaultdict
from functools import cached_property

import numpy as np
import numpy.typing as npt

from planner.columns.knapsack import Items, table_of
from planner.columns.pricing import Priced, priced_bound
from planner.model.patterns import Spread, TooMany, one_more, spread
from planner.model.pool import Pool
from planner.model.subproblem import Stage
from planner.stop import Stop

__all__ = ["Near"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
# Lengths are counted so fine (um) for what the rest of a piece can pay.
GRID = 100


class Near:
    """The columns that solutions good enough may use at some prices, listed for any bar."""

    def __init__(self, stage: Stage, prices: Floats, most: int) -> None:
        """``most`` columns at most are listed."""
        self.stage, self.prices, self.most = stage, prices, most
        self._several: dict[int, Spread] = {}

    @cached_property
    def _priced(self) -> Priced | None:
        return priced_bound(self.stage, self.prices)

    def pool(self, least: int, stop: Stop) -> Pool:
        """All columns that a solution of at least ``least`` may use: complete for such solutions.

        Raises:
            TooMany: there are too many, also for the time that is left, or nothing is proven.
        """
        priced = self._priced
        if priced is None:
            raise TooMany
        spare = priced.total - priced.scale * least
        return _Lister(self.stage, priced, spare, (self.most, stop), self._several).pool()


class _Lister:
    def __init__(
        self,
        stage: Stage,
        priced: Priced,
        spare: int,
        limits: tuple[int, Stop],
        several: dict[int, Spread],
    ) -> None:
        self.rows, self.model, self.paid = stage.rows, stage.rows.model, priced.paid
        (self.most, self.stop), self.grid = limits, max(1, min(GRID, *stage.rows.model.item_sizes))
        # What each kind of piece has to pay at least.
        pays = np.where(stage.rows.least > 0, priced.best, np.maximum(0, priced.best))
        self.least = pays - np.int64(min(spare, 2**61))
        self.several = several
        self.kinds: list[Ints] = []
        self.counts: list[Ints] = []
        self.gains: list[Ints] = []
        self.splits: dict[tuple[int, tuple[int, ...]], tuple[tuple[int, ...], ...]] = {}

    def pool(self) -> Pool:
        """The columns found, as a pool."""
        groups: dict[tuple[int, int, tuple[int, ...]], list[int]] = defaultdict(list)
        for t in np.flatnonzero(self.rows.caps).tolist():
            kind = self.model.types[t]
            if len(kind.stretches) == 1:
                groups[int(self.rows.batch_of[t]), kind.margin, self._items(t)].append(t)
            elif kind.stretches:
                self._several(t)
        for (batch, _, items), kinds in groups.items():
            self._plain(batch, items, np.array(kinds))
        width = len(self.model.item_sizes)
        table = np.concatenate([np.zeros((0, width), np.int64), *self.counts])
        none = np.zeros(0, np.int64)
        pool = Pool(
            table, np.concatenate([none, *self.kinds]), np.arange(len(table)),
            np.concatenate([none, *self.gains]), self.splits,
        )  # fmt: skip
        return pool.only(self.rows.sparing(pool))

    def _items(self, kind: int) -> tuple[int, ...]:
        """The items that may be cut from a kind of piece."""
        asked = enumerate(self.model.item_asked)
        return tuple(item for item, times in asked if times and self.model.may(kind, item))

    def _plain(self, batch: int, items: tuple[int, ...], kinds: Ints) -> None:
        """The columns of pieces of one stretch that may yield the same items, all of one margin."""
        model, values = self.model, self.paid.items[batch]
        rest = self._rest(items, values, kinds)
        room = np.array([model.types[t].stretches[0] + model.allowance for t in kinds], np.int64)
        which, pays = np.arange(len(kinds)), self.paid.base[kinds]
        least, counts = self.least[kinds], list[Ints]()
        for level, item in enumerate(items):
            size, asked = model.item_sizes[item], model.item_asked[item]
            if self.stop.over():
                raise TooMany
            parent, count = one_more(room, size, asked, 4 * self.most)
            left, worth = room[parent] - count * size, pays[parent] + count * values[item]
            best = worth + rest[level + 1][-(-left // self.grid)]
            good = np.flatnonzero(best >= least[which[parent]])
            if len(good) > self.most:
                raise TooMany
            parent, count = parent[good], count[good]
            room, pays, which = left[good], worth[good], which[parent]
            counts = [c[parent] for c in counts] + [count]
        self._keep(kinds[which], items, counts, room)

    def _rest(self, items: tuple[int, ...], values: Ints, kinds: Ints) -> Ints:
        """By the room left on the grid, the most that it can still pay from each item on."""
        model, grid = self.model, self.grid
        stretch = max(model.types[t].stretches[0] for t in kinds)
        rooms = np.arange((stretch + model.allowance) // grid + 2) * grid
        left = np.maximum(0, rooms - model.allowance)
        best = self.paid.gain * model.worth_left(int(kinds[0])).many(left)
        # The last item comes first: a row of the table tells of what comes after an item.
        order = np.array(items[::-1], np.int64)
        sizes, paid = np.array(model.item_sizes, np.int64)[order] // grid, values[order]
        asked = np.array(model.item_asked, np.int64)[order]
        return table_of(Items(sizes, paid, np.where(paid > 0, asked, 0)), best)[::-1]

    def _keep(self, kinds: Ints, items: tuple[int, ...], counts: list[Ints], room: Ints) -> None:
        """Take up the fillings that cut something and pay enough, to the micrometre."""
        model = self.model
        table = np.zeros((len(kinds), len(model.item_sizes)), np.int64)
        for item, count in zip(items, counts, strict=True):
            table[:, item] = count
        before = np.array([kind.before for kind in model.types], np.int64)
        worth = model.worth_left(int(kinds[0])) if len(kinds) else model.worth
        gains = worth.many(np.maximum(0, room - model.allowance)) - before[kinds]
        some = table.any(axis=1)
        self.kinds.append(kinds[some])
        self.counts.append(table[some])
        self.gains.append(gains[some])

    def _several(self, kind: int) -> None:
        """The columns of a piece of several stretches that pay enough."""
        if self.stop.over():
            raise TooMany
        if kind not in self.several:
            self.several[kind] = spread(self.model, kind, self.most, self.stop)
        found, values = self.several[kind], self.paid.items[self.rows.batch_of[kind]]
        worth = found.gain + self.model.types[kind].before
        pays = self.paid.base[kind] + found.counts @ values + self.paid.gain * worth
        found = found.only(pays >= self.least[kind])
        self.splits |= found.split_of(kind)
        self.kinds.append(np.full(len(found.gain), kind))
        self.counts.append(found.counts)
        self.gains.append(found.gain)
