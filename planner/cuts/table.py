"""A stage as one table of whole numbers, to which rows that whole uses keep may be added."""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planner.lp.dual_bound import exact_sum, fitting, in_whole_numbers
from planner.model.subproblem import Stage

__all__ = ["EXACT", "Parts", "PricedUses", "Table", "table_of"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
# Floats hold all whole numbers of so many bits.
BITS = 52
EXACT = 2**BITS


@dataclass(frozen=True, slots=True)
class PricedUses:
    """The bound ``total / scale``; what each use of a column, or lack of an extra, adds at prices.

    ``best`` is the most that a piece of each kind adds, then one lack of each extra.
    """

    total: int
    scale: int
    left: Ints
    best: Ints

    def near(self, stage: Stage, reached: int) -> Bools:
        """The columns that solutions of at least ``reached`` may use."""
        lost = self.best[stage.pool.kind] - self.left[: len(stage.pool)]
        return np.asarray(lost <= self.total - self.scale * reached)


@dataclass(frozen=True, slots=True)
class Parts:
    """Sums of rows rounded down, one each: ``parts[n]`` of each row, in parts of ``of[n]``.

    ``high`` is their limit, rounded down.
    """

    parts: Ints
    of: Ints
    high: Ints

    def __len__(self) -> int:
        return len(self.of)

    def only(self, which: npt.NDArray[np.generic]) -> "Parts":
        """These sums alone."""
        return Parts(self.parts[which], self.of[which], self.high[which])

    def rows(self, table: Floats) -> Floats:
        """The sums over these columns of a table, rounded down."""
        some = np.flatnonzero(self.parts.any(axis=0))
        sums = self.parts[:, some].astype(np.float64) @ table[some]
        # No negative zeros: the same row is the same bytes.
        return np.asarray(np.floor(sums / self.of[:, None]) + 0.0)

    def with_more(self, more: "Parts") -> "Parts":
        """These sums, then the others."""
        pairs = (self.parts, more.parts), (self.of, more.of), (self.high, more.high)
        return Parts(*(np.concatenate(pair) for pair in pairs))


@dataclass(frozen=True)
class Table:
    """The most of ``gains``, above ``least``, with rows ``low <= table @ uses <= high``.

    The table holds whole numbers as floats, which are exact below ``EXACT`` and much quicker.
    The first ``lasting`` rows stay; the last of these are the pieces of each kind. Uses of one
    ``kind`` are together no more than its ``caps``, of one column no more than ``most``. No entry
    of a row is above its ``widest``.
    """

    table: Floats
    low: list[int | None]
    high: list[int | None]
    gains: Ints
    least: int
    kind: Ints
    caps: Ints
    most: Floats
    lasting: int
    widest: Floats

    def bound(self, prices: Floats) -> PricedUses:
        """What prices prove."""
        gains = float(np.abs(self.gains).max(initial=0)) + 1.0
        if float(np.abs(prices) @ self.widest) > EXACT // 4:
            prices = np.zeros_like(prices)
        scale = fitting(float(np.abs(prices) @ self.widest) + gains, BITS)
        whole, room = in_whole_numbers(self, prices, scale)
        left = scale * self.gains - (whole.astype(np.float64) @ self.table).astype(np.int64)
        best = np.zeros_like(self.caps)
        np.maximum.at(best, self.kind, left)
        total = scale * self.least + room + exact_sum(best, self.caps)
        return PricedUses(total, scale, left, best)

    def furthest(self, sums: Parts, values: Floats, most: int) -> tuple[Parts, Floats]:
        """Of sums that ``values`` break those that cut most off, and their rows."""
        used = np.flatnonzero(values)
        seen = sums.rows(self.table[:, used])
        over = seen @ values[used] - sums.high
        broken = np.flatnonzero(over > 1e-5)
        far = over[broken] / np.linalg.norm(seen[broken], axis=1)
        order = _first_of_each(np.column_stack([seen[broken], sums.high[broken]]), far, 2 * most)
        sums = sums.only(broken[order])
        rows = sums.rows(self.table)
        far = (rows @ values - sums.high) / np.linalg.norm(rows, axis=1)
        best = np.argsort(-far, kind="stable")[:most]
        return sums.only(best), rows[best]

    def only(self, near: Bools) -> "Table":
        """The table without the other columns."""
        if near.all():
            return self
        which = _and_extras(near, len(self.kind))
        return replace(
            self, table=self.table[:, which], gains=self.gains[which], kind=self.kind[which],
            most=self.most[which],
        )  # fmt: skip

    def leaning(self, values: Floats) -> Bools:
        """The rows that last, and those that hold something back."""
        sums = self.table[self.lasting :] @ values
        tops = np.array([np.inf if v is None else v for v in self.high[self.lasting :]])
        return np.concatenate([np.ones(self.lasting, bool), sums > tops - 1e-6])

    def with_rows(self, kept: Bools, rows: Floats, high: Ints) -> "Table":
        """The table with the rows kept, and these."""
        places = np.flatnonzero(kept).tolist()
        table = np.empty((len(places) + len(rows), self.table.shape[1]))
        # Places are there: unchecked they need no copy between.
        np.take(self.table, places, axis=0, out=table[: len(places)], mode="clip")
        table[len(places) :] = rows
        return replace(
            self,
            table=table,
            widest=np.concatenate([self.widest[kept], _widest(rows)]),
            low=[self.low[n] for n in places] + [None] * len(high),
            high=[self.high[n] for n in places] + high.tolist(),
        )


def _and_extras(near: Bools, count: int) -> Bools:
    """Some columns, and all that stands behind the columns."""
    return np.concatenate([near, np.ones(count - len(near), bool)])


def _widest(rows: Floats) -> Floats:
    """The largest entry of each row, whatever its sign."""
    return np.asarray(np.maximum(rows.max(axis=1, initial=0), -rows.min(axis=1, initial=0)))


def _first_of_each(rows: Floats, far: Floats, most: int) -> list[int]:
    """The places of the rows that are furthest, each row once."""
    places = dict[bytes, int]()
    for place in np.argsort(-far, kind="stable").tolist():
        places.setdefault(rows[place].tobytes(), place)
        if len(places) == most:
            break
    return list(places.values())


def table_of(stage: Stage) -> Table:
    """A stage's rows, then one for each kind's pieces, over its columns and what extras lack."""
    caps, most, pool = stage.rows.caps, stage.rows.most, stage.pool
    table = np.hstack([stage.block(), -stage.extra_block])
    steps = np.maximum(1, np.gcd.reduce(table, axis=1))
    given = zip((stage.extra_block @ most).tolist(), steps.tolist(), strict=True)
    low, high = [], []
    for (have, step), least, top in zip(given, stage.low, stage.high, strict=True):
        low.append(None if least is None else -((have - least) // step))
        high.append(None if top is None else (top - have) // step)
    kinds = np.zeros((len(caps), table.shape[1]), np.int64)
    kinds[pool.kind, np.arange(len(pool))] = 1
    entries = np.vstack([table // steps[:, None], kinds]).astype(np.float64)
    return Table(
        entries,
        low + [0] * len(caps), high + caps.tolist(),
        np.concatenate([stage.gains, -stage.extra_gains]), int(stage.extra_gains @ most),
        np.concatenate([pool.kind, len(caps) + np.arange(len(most))]),
        np.concatenate([caps, most]), np.concatenate([np.full(len(pool), np.inf), most]),
        len(table) + len(caps), _widest(entries),
    )  # fmt: skip
