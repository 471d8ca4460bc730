"""A stage as one table of whole numbers, to which rows that whole uses keep may be added."""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planner.model.subproblem import Stage

__all__ = ["Parts", "Table", "table_of"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]


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
    """Rows ``low <= table @ uses <= high`` over a stage's columns, then what its extras lack.

    The table holds whole numbers as floats, which are exact below ``EXACT`` and much quicker. The
    first ``lasting`` rows stay: the pieces of each kind, then the stage's rows in parts of their
    ``steps``. Uses of one ``kind`` (a column's, or a lack's own) are in one row.
    """

    table: Floats
    low: Floats
    high: Floats
    kind: Ints
    lasting: int
    steps: Ints

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
        which = np.append(near, np.ones(len(self.kind) - len(near), bool))
        return replace(self, table=self.table[:, which], kind=self.kind[which])

    def leaning(self, values: Floats) -> Bools:
        """The rows that last, and those that hold something back."""
        leant = self.table[self.lasting :] @ values > self.high[self.lasting :] - 1e-6
        return np.concatenate([np.ones(self.lasting, bool), leant])

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
            steps=np.append(self.steps[kept], np.ones(len(rows), np.int64)),
            low=np.append(self.low[kept], np.full(len(high), -np.inf)),
            high=np.append(self.high[kept], high),
        )


def _first_of_each(rows: Floats, far: Floats, most: int) -> list[int]:
    """The places of the rows that are furthest, each row once."""
    places = dict[bytes, int]()
    for place in np.argsort(-far, kind="stable").tolist():
        places.setdefault(rows[place].tobytes(), place)
        if len(places) == most:
            break
    return list(places.values())


def table_of(stage: Stage) -> Table:
    """A row for each kind's pieces, then a stage's rows, over its columns and what extras lack."""
    caps, most = stage.rows.caps, stage.rows.most
    table = np.hstack([stage.block(), -stage.extra_block])
    steps = np.maximum(1, np.gcd.reduce(table, axis=1))
    have = stage.extra_block @ most
    low, high = np.ceil((stage.low - have) / steps), np.floor((stage.high - have) / steps)
    kinds = np.hstack([stage.one_of_kind, np.zeros((len(caps), len(most)), np.int64)])
    return Table(
        np.vstack([kinds, table // steps[:, None]]).astype(np.float64),
        np.append(np.zeros(len(caps)), low), np.append(caps, high),
        np.append(stage.pool.kind, len(caps) + np.arange(len(most))),
        len(table) + len(caps), np.append(np.ones(len(caps), np.int64), steps),
    )  # fmt: skip
