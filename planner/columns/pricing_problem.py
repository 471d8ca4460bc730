"""The best way to fill each kind of piece at given prices, when its ways are too many to list.

Lengths are counted on a grid. Rounded up, every filling found can be cut (for new columns);
rounded down, every filling that can be cut is counted (for bounds). One knapsack of exact sums
serves all kinds of a batch at once.
"""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import numpy.typing as npt

from planner.columns.knapsack import NEVER, At, Items, read_back, table_of
from planner.model.profile_model import Counts
from planner.model.rows import Rows
from planner.model.subproblem import Stage
from planner.values import Micrometres

__all__ = ["Filling", "Prices"]

Ints = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Prices:
    """What filling pays: ``items[batch]`` each item, ``base`` each kind used, ``gain`` worth.

    All in whole numbers, so that what is proven with them is.
    """

    items: list[Ints]
    base: Ints
    gain: int

    @staticmethod
    def of(stage: Stage, prices: Ints, scale: int) -> "Prices":
        """The prices of rows seen from the pieces; ``scale`` what one unit of the aim counts."""
        rows = stage.rows
        before = np.array([kind.before for kind in rows.model.types], np.int64)
        opened, gain = scale * stage.aim.opened, scale * stage.aim.gain
        for price, held in zip(prices[len(rows.high) :].tolist(), stage.held, strict=True):
            opened, gain = opened - price * held.aim.opened, gain - price * held.aim.gain
        items = [-prices[rows.item_rows(b)] for b in range(len(rows.batches))]
        return Prices(items, opened * rows.opened - gain * before, gain)


@dataclass(frozen=True)
class Filling:
    """Fillings of the stretches of a profile's pieces on a grid (um), rounded ``up`` or down."""

    rows: Rows
    grid: int
    up: bool
    _sums: dict[tuple[object, ...], "_Sums"] = field(default_factory=dict)

    @cached_property
    def worths(self) -> dict[int, Ints]:
        """For each margin the worth of leftovers by their length on the grid."""
        model = self.rows.model
        longest = max((s for kind in model.types for s in kind.stretches), default=0)
        lengths = np.arange(longest // self.grid + 2) * self.grid
        margins = {kind.margin for kind in model.types}
        return {margin: model.worth.over(margin).many(lengths) for margin in margins}

    def best(self, prices: Prices) -> Ints:
        """The most that each kind of piece pays if cut (rounded down: no less than it can)."""
        self._sums.clear()
        kinds = range(len(self.rows.model.types))
        return np.array([self._best(prices, t)[0] for t in kinds], np.int64)

    def columns(self, prices: Prices, least: int) -> list[tuple[int, tuple[Counts, ...]]]:
        """(kind, what each stretch yields) of the best filling of each kind that pays more."""
        self._sums.clear()
        found = []
        for t in np.flatnonzero(self.rows.caps).tolist():
            pays, ends = self._best(prices, t)
            if pays > least:
                sums = self._of(prices, t)
                found.append((t, tuple(map(sums.counts, ends))))
        return found

    def _best(self, prices: Prices, kind: int) -> tuple[int, list[int]]:
        """The most a kind pays, at least one item cut; and the sum on each stretch."""
        sums = self._of(prices, kind)
        free, some = [], []
        for stretch in self.rows.model.types[kind].stretches:
            worths = self._left(prices, stretch, self.rows.model.types[kind].margin)
            cut = sums.table[-1, : len(worths)] + worths
            cut[0] = NEVER
            end = int(cut.argmax())
            some.append((int(cut[end]), end))
            free.append(max(some[-1], (int(worths[0]), 0)))
        if not some:
            return NEVER, []
        # One stretch at least is cut, the one where that costs least.
        at = max(range(len(some)), key=lambda n: some[n][0] - free[n][0])
        chosen = [*free[:at], some[at], *free[at + 1 :]]
        total = int(prices.base[kind]) + sum(pays for pays, _ in chosen)
        return max(total, NEVER), [end for _, end in chosen]

    def _left(self, prices: Prices, stretch: int, margin: Micrometres) -> Ints:
        """What is left of a stretch pays, by the sum of what is cut from it."""
        model, grid = self.rows.model, self.grid
        sums = np.arange((stretch + model.allowance) // grid + 1)
        left = (stretch if self.up else stretch + grid - 1) // grid - sums
        pays = prices.gain * self.worths[margin][np.maximum(0, left)]
        if self.rows.spare is not None:
            # Less by what rounding each item may hide.
            hidden = stretch // min(model.item_sizes) + 2
            pays[left - hidden > self.rows.spare // grid] = NEVER
        return np.asarray(pays)

    def _of(self, prices: Prices, kind: int) -> "_Sums":
        """The sums that a kind may hold: with the frames that may come whole from it."""
        model, batch = self.rows.model, int(self.rows.batch_of[kind])
        several = len(model.types[kind].stretches) > 1
        key = batch, model.items_of(kind), several
        if key not in self._sums:
            values = prices.items[batch].tolist()
            items = [(item, model.item_asked[item], values[item]) for item in key[1]]
            if several:
                items = [part for item in items for part in self._spread(*item)]
            self._sums[key] = self._summed(items)
        return self._sums[key]

    def _spread(self, item: int, asked: int, value: int) -> list[tuple[int, int, int]]:
        """A frame that may lie on several stretches pays by its rails, together no less.

        For new columns such frames are left out.
        """
        sizes, rails = self.rows.model.item_sizes, self.rows.model.contents[item].tolist()
        if self.up and item >= len(rails):
            return []
        return [(i, times * asked, -(-value * sizes[i] // sizes[item]))
                for i, times in enumerate(rails) if times]  # fmt: skip

    def _summed(self, items: list[tuple[int, int, int]]) -> "_Sums":
        model, grid = self.rows.model, self.grid
        longest = max((s for kind in model.types for s in kind.stretches), default=0)
        states = (longest + model.allowance) // grid + 1
        which, asked, values = np.array(items, np.int64).reshape(-1, 3).T
        sizes = np.array(model.item_sizes, np.int64)[which]
        known = Items(-(-sizes // grid) if self.up else sizes // grid, values, asked)
        start = np.full(states, NEVER, np.int64)
        start[0] = 0
        return _Sums(len(model.item_sizes), which, known, table_of(known, start))


@dataclass(frozen=True)
class _Sums:
    """The best value of each exact sum: a table of the items ``which`` may be cut."""

    count: int
    which: Ints
    items: Items
    table: Ints

    def counts(self, end: int) -> Counts:
        """How often each item is cut to make this sum."""
        found = np.zeros(self.count, np.int64)
        rows = np.array([len(self.which)])
        at = At(np.zeros(1, np.int64), rows, np.array([end]), self.table[-1, [end]])
        found[self.which] = read_back(self.items, self.table, at)[0][0]
        return tuple(found.tolist())
