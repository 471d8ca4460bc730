"""One aim over a pool of columns, with the aims before it held: the numbers every step works on."""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from planner.model.pool import Pool
from planner.model.profile_model import Way
from planner.model.rows import Held, Rows

__all__ = ["EXACT", "Added", "Box", "Chosen", "Stage"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
# Floats hold all whole numbers up to this.
EXACT = 2**52


@dataclass(frozen=True)
class Chosen:
    """A solution: how often each way to cut is used, and the extras."""

    uses: dict[Way, int]
    extras: Ints


@dataclass(frozen=True)
class Box:
    """Bounds on uses of kinds, on extras and on columns that hold in one branch of a search.

    ``used`` gives the least uses of the few columns that have them; ``barred`` ones have no more.
    """

    kind_low: Ints
    kind_high: Ints
    extra_low: Ints
    extra_high: Ints
    used: dict[int, int]
    barred: npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Added:
    """Rows of at most ``high`` that all whole uses keep, over the pool's columns and the extras.

    Whole numbers, those of the columns as floats, which are quicker to multiply.
    """

    columns: Floats
    extras: Ints
    high: Ints

    def only(self, which: npt.NDArray[Any]) -> "Added":
        """The same rows over some of the columns."""
        return replace(self, columns=self.columns[:, which])

    def kept(self, which: npt.NDArray[np.bool_], more: "Added") -> "Added":
        """Some of the rows, then others."""
        columns = np.concatenate([self.columns[which], more.columns])
        extras = np.vstack([self.extras[which], more.extras])
        return Added(columns, extras, np.append(self.high[which], more.high))

    @cached_property
    def widest(self) -> Floats:
        """The largest entry of each row among the columns, whatever its sign."""
        least = self.columns.min(axis=1, initial=0)
        return np.asarray(np.maximum(self.columns.max(axis=1, initial=0), -least))


@dataclass(frozen=True)
class Stage:
    """The most of ``gains`` over the pool's columns and the extras, with ``held`` aims kept.

    Rows ``added`` below the held aims cut off fractional uses only.
    """

    rows: Rows
    pool: Pool
    aim: Any
    held: tuple[Held, ...]
    added: Added | None = None

    @cached_property
    def gains(self) -> Ints:
        """What each column adds to the aim."""
        return np.asarray(self.aim.of_columns(self.rows, self.pool))

    @cached_property
    def extra_gains(self) -> Ints:
        """What each extra adds to the aim."""
        return np.asarray(self.aim.of_extras(self.rows))

    @cached_property
    def sums(self) -> list[Ints]:
        """What each column adds to each held aim."""
        return [h.aim.of_columns(self.rows, self.pool) for h in self.held]

    @cached_property
    def extra_block(self) -> Ints:
        """The rows of the extras, held aims and added rows below the others."""
        held = [h.aim.of_extras(self.rows) for h in self.held]
        added = [] if self.added is None else [self.added.extras]
        return np.vstack([self.rows.extras, *held, *added])

    @cached_property
    def low(self) -> Floats:
        """The least of each row; less than any number where there is no least."""
        mine = np.where(self.rows.high == 0, 0, -np.inf)
        none = np.full(0 if self.added is None else len(self.added.high), -np.inf)
        return np.concatenate([mine, [h.reached for h in self.held], none])

    @cached_property
    def high(self) -> Floats:
        """The most of each row; more than any number where there is no most."""
        added = np.zeros(0) if self.added is None else self.added.high
        return np.concatenate([self.rows.high, np.full(len(self.held), np.inf), added])

    @cached_property
    def widest(self) -> Floats:
        """The largest entry of each row, columns and extras together."""
        more = [] if self.added is None else [self.added.widest]
        held = [np.abs(s).max(initial=0) for s in self.sums]
        columns = np.concatenate([self.rows.widest(self.pool), held, *more])
        widest = np.maximum(columns, np.abs(self.extra_block).max(axis=1, initial=0))
        return np.asarray(widest, np.float64)

    @cached_property
    def step(self) -> int:
        """Every value of the aim is a multiple of this."""
        return int(np.gcd.reduce(np.concatenate([self.gains, self.extra_gains]))) or 1

    @cached_property
    def whole(self) -> Box:
        """The bounds that hold everywhere."""
        extras = np.zeros_like(self.rows.most)
        barred = np.zeros(len(self.pool), bool)
        return Box(self.rows.least, self.rows.caps, extras, self.rows.most, {}, barred)

    def only(self, which: npt.NDArray[Any]) -> "Stage":
        """The same aim over some of the columns."""
        return replace(
            self, pool=self.pool.only(which), added=self.added and self.added.only(which)
        )

    @property
    def one_of_kind(self) -> Ints:
        """A row for each kind of piece that counts its columns."""
        return np.asarray(self.pool.kind == np.arange(len(self.rows.caps))[:, None], np.int64)

    def block(self) -> Ints:
        """The rows of the columns as a table, held aims and added rows below the others."""
        added = [] if self.added is None else [self.added.columns.astype(np.int64)]
        return np.vstack([self.rows.block(self.pool), *self.sums, *added])

    def priced(self, prices: Floats) -> Floats:
        """What each column's rows cost at these prices (``prices @ block()``, only quicker).

        Of whole prices a whole number, exactly, where all that is added up is below ``EXACT``.
        """
        count = len(self.rows.high)
        found = self.rows.priced(self.pool, prices[:count])
        for price, adds in zip(prices[count:], self.sums, strict=False):
            if price:
                found = found + price * adds
        if self.added is not None:
            found = found + prices[count + len(self.sums) :] @ self.added.columns
        return found

    def value(self, chosen: Chosen) -> int:
        """What a solution reaches in this aim."""
        total = int(self.extra_gains @ chosen.extras)
        columns = self.pool.numbers(chosen.uses)
        uses = zip(columns, chosen.uses.values(), strict=True)
        return total + sum(int(self.gains[column]) * times for column, times in uses)

    def chosen(self, columns: Ints, uses: Ints, extras: Ints) -> Chosen:
        """These uses of columns and extras as a solution."""
        found = zip(columns.tolist(), uses.tolist(), strict=True)
        return Chosen({self.pool.key(column): times for column, times in found}, extras)

    def fits(self, columns: Ints, uses: Ints, extras: Ints) -> bool:
        """All rows hold in whole numbers for these uses of columns, and these extras."""
        if len(uses) and uses.min() < 0:
            return False
        if (extras < 0).any() or (extras > self.rows.most).any():
            return False
        sums = self.only(columns).block() @ uses + self.extra_block @ extras
        kinds = np.bincount(self.pool.kind[columns], uses, minlength=len(self.rows.caps))
        rows = (self.low <= sums) & (sums <= self.high)
        return bool((kinds <= self.rows.caps).all() and rows.all())
