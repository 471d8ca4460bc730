"""All columns, or those that a solution good enough may use where all are too many to list.

Filled item by item; a filling is let go as soon as even the best that the rest of its piece can
pay is too little. What the rest can pay is counted on a grid, rounded so that it is never less.
"""

from collections import defaultdict
from functools import cached_property

import numpy as np
import numpy.typing as npt

from planner.columns.knapsack import Items, table_of
from planner.columns.patterns import Enough, TooMany, fillings, spread
from planner.columns.pricing import Priced, priced_bound
from planner.model.pool import Pool
from planner.model.rows import Rows
from planner.model.subproblem import Stage
from planner.stop import Stop

__all__ = ["Near", "pool_of"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
# Lengths are counted so fine (um) for what the rest of a piece can pay.
GRID = 100


def pool_of(rows: Rows, most: int, stop: Stop) -> Pool:
    """All columns that cut at least one rail.

    Raises:
        TooMany: there are more than ``most``, or too many for the time that is left.
    """
    return _Lister(rows, most, stop, {}).pool()


class Near:
    """The columns that solutions good enough may use at some prices, listed for any bar."""

    def __init__(self, stage: Stage, prices: Floats, most: int) -> None:
        """``most`` columns at most are listed."""
        self.stage, self.prices, self.most = stage, prices, most
        self._several: dict[int, tuple[Ints, Ints]] = {}

    @cached_property
    def _priced(self) -> Priced | None:
        return priced_bound(self.stage, self.prices)

    def pool(self, least: int, stop: Stop) -> Pool:
        """All columns that a solution of at least ``least`` may use: complete for such solutions.

        Raises:
            TooMany: there are too many, also for the time that is left, or nothing is proven.
        """
        priced, rows = self._priced, self.stage.rows
        if priced is None:
            raise TooMany
        spare = priced.total - priced.scale * least
        # What each kind of piece has to pay at least.
        pays = np.where(rows.least > 0, priced.best, np.maximum(0, priced.best))
        dear = priced, pays - np.int64(min(spare, 2**61))
        return _Lister(rows, self.most, stop, self._several, dear).pool()


class _Lister:
    """The columns of pieces that pay enough, if they have to: at prices, of each kind so much."""

    def __init__(
        self,
        rows: Rows,
        most: int,
        stop: Stop,
        several: dict[int, tuple[Ints, Ints]],
        dear: tuple[Priced, Ints] | None = None,
    ) -> None:
        self.rows, self.model, self.dear = rows, rows.model, dear
        self.most, self.stop, self.several = most, stop, several
        self.grid = max(1, min(GRID, *self.model.item_sizes))
        none = np.zeros(0, np.int64)
        self.found = [(none, none.reshape(0, len(self.model.item_sizes)), none)]

    def pool(self) -> Pool:
        """The columns found, as a pool."""
        groups: dict[tuple[int, int, tuple[int, ...]], list[int]] = defaultdict(list)
        for t in np.flatnonzero(self.rows.caps).tolist():
            kind = self.model.types[t]
            if len(kind.stretches) == 1:
                batch = int(self.rows.batch_of[t]) if self.dear else 0
                groups[batch, kind.margin, self.model.items_of(t)].append(t)
            elif kind.stretches:
                self._several(t)
        for (batch, _, items), kinds in groups.items():
            self._plain(batch, np.array(items, np.int64), np.array(kinds))
        if sum(len(kind) for kind, *_ in self.found) > self.most:
            raise TooMany
        all_kinds, table, gains = map(np.concatenate, zip(*self.found, strict=True))
        pool = Pool.of(all_kinds, table, gains)
        return pool.only(self.rows.sparing(pool))

    def _plain(self, batch: int, which: Ints, kinds: Ints) -> None:
        """The columns of pieces of one stretch that may yield the same items, all of one margin."""
        model = self.model
        rooms = np.array([model.types[t].stretches[0] + model.allowance for t in kinds], np.int64)
        sizes, asked = (
            np.array(all_, np.int64)[which] for all_ in (model.item_sizes, model.item_asked)
        )
        values = self.dear[0].paid.items[batch][which] if self.dear else np.zeros_like(sizes)
        items = Items(sizes, values, asked)
        found = fillings(rooms, items, self.most, self._enough(items, kinds))
        table = np.zeros((len(found.of), len(model.item_sizes)), np.int64)
        table[:, which] = found.counts
        before = np.array([kind.before for kind in model.types], np.int64)
        left = np.maximum(0, found.left - model.allowance)
        gains = model.worth_left(int(kinds[0])).many(left) - before[kinds[found.of]]
        self._keep(kinds[found.of], table, gains)

    def _enough(self, items: Items, kinds: Ints) -> Enough | None:
        """What tells of fillings of these kinds of piece whether they may pay enough."""
        if self.dear is None:
            return None
        priced, least = self.dear
        rest, bar = self._rest(priced, items, kinds), (least - priced.paid.base)[kinds]

        def enough(done: int, of: Ints, left: Ints, pays: Ints) -> npt.NDArray[np.bool_]:
            if self.stop.over():
                raise TooMany
            return np.asarray(pays + rest[done][-(-left // self.grid)] >= bar[of])

        return enough

    def _rest(self, priced: Priced, items: Items, kinds: Ints) -> Ints:
        """By the room left on the grid, the most that it can still pay from each item on."""
        model, grid = self.model, self.grid
        stretch = max(model.types[t].stretches[0] for t in kinds)
        rooms = np.arange((stretch + model.allowance) // grid + 2) * grid
        left = np.maximum(0, rooms - model.allowance)
        best = priced.paid.gain * model.worth_left(int(kinds[0])).many(left)
        copies = np.where(items.values > 0, items.copies, 0)
        # The last item comes first: a row of the table tells of what comes after an item.
        backwards = Items(items.sizes[::-1] // grid, items.values[::-1], copies[::-1])
        return table_of(backwards, best)[::-1]

    def _several(self, kind: int) -> None:
        """The columns of a piece of several stretches that pay enough."""
        if self.stop.over():
            raise TooMany
        if kind not in self.several:
            self.several[kind] = spread(self.model, kind, self.most, self.stop)
        table, gains = self.several[kind]
        if self.dear:
            priced, least = self.dear
            pays = table @ priced.paid.items[self.rows.batch_of[kind]]
            pays += priced.paid.gain * (gains + self.model.types[kind].before)
            good = priced.paid.base[kind] + pays >= least[kind]
            table, gains = table[good], gains[good]
        self._keep(np.full(len(gains), kind), table, gains)

    def _keep(self, kinds: Ints, table: Ints, gains: Ints) -> None:
        """Take up the ways to cut that cut something."""
        some = table.any(axis=1)
        self.found.append((kinds[some], table[some], gains[some]))
