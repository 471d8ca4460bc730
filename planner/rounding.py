"""Bounds sharpened by rounding: rows that whole uses keep and the fractional optimum does not.

Rows are added up in parts of a whole number, each column's share is rounded down, and so is the
limit: whole uses still keep it. Which rows to add up is read off the fractional optimum.

Source: Gomory, "Outline of an algorithm for integer solutions to linear programs", Bulletin of the
American Mathematical Society 64 (1958).
"""

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from math import lcm

import numpy as np
import numpy.typing as npt

from planner.bound import exact_sum, fitting, in_whole_numbers
from planner.highs import Found, LinearProgram, sparse
from planner.losses import Losses
from planner.stage import Chosen, Stage
from planner.stop import Stop

__all__ = ["Rounded", "rounded"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
# Work limits, so that the same problem ends alike anywhere: rounds, and rows added in each.
ROUNDS, ADDED = 30, 20
# Fractions are read to parts of so many; together they come to parts of no more than this.
PARTS, FINEST, COARSE = 3_000, 1_000_000, 60
# Multiples of a row of the optimum that are rounded.
TIMES = (1, 2, 3, 5, 7, -1, -2)


@dataclass(frozen=True, slots=True)
class Rounded:
    """The best solution known, a proven bound, and the columns that solutions as good may use.

    ``priced`` is what the sharpest prices prove, None if nothing was.
    """

    chosen: Chosen
    bound: int
    within: npt.NDArray[np.bool_]
    priced: "Priced | None"


@dataclass(frozen=True, slots=True)
class Priced:
    """The bound ``total / scale``; what each use of a column, or lack of an extra, adds at prices.

    ``best`` is the most that a piece of each kind adds, then one lack of each extra.
    """

    total: int
    scale: int
    left: Ints
    best: Ints

    def near(self, stage: Stage, reached: int) -> npt.NDArray[np.bool_]:
        """The columns that solutions of at least ``reached`` may use."""
        lost = self.best[stage.pool.kind] - self.left[: len(stage.pool)]
        return np.asarray(lost <= self.total - self.scale * reached)

    def only(self, near: npt.NDArray[np.bool_]) -> "Priced":
        """Without the other columns."""
        return replace(self, left=self.left[_and_extras(near, len(self.left))])

    def losses(self, stage: Stage, least: int) -> Losses:
        """What solutions of at least ``least`` may lose of these columns and extras."""
        count, kinds = len(stage.pool), len(stage.rows.caps)
        columns = self.best[stage.pool.kind] - self.left[:count]
        budget = self.total - self.scale * least
        return Losses(columns, self.best[:kinds], -self.left[count:], stage.rows.most, budget)


def rounded(
    stage: Stage,
    chosen: Chosen,
    best: int,
    stop: Stop,
    least: int | None = None,
    rounds: int = ROUNDS,
) -> Rounded:
    """The bound ``best`` of all a stage's columns, sharpened; and a better solution if met.

    With ``least`` only solutions that reach it are looked for, and the bound holds above it.
    """
    table, within, sharpest = _table_of(stage), np.ones(len(stage.pool), bool), None
    reached = stage.value(chosen) if least is None else least - stage.step
    for _ in range(rounds):
        program = table.program()
        found = program.solve(stop)
        if found.status != "optimal" or best <= reached:
            break
        priced = table.bound(found.duals)
        total, scale = priced.total, priced.scale
        if sharpest is None or total * sharpest.scale < sharpest.total * scale:
            sharpest = priced
        best = min(best, total // (scale * stage.step) * stage.step)
        better = _whole(stage, found.values)
        if better is not None and stage.value(better) > reached:
            chosen, reached = better, stage.value(better)
        rows = table.rounded_rows(found, program) if best > reached else []
        if not rows:
            break
        table = table.with_rows(rows, found.values)
        near = priced.near(stage, reached)
        if least is None:
            # Branching goes on from all columns: fewer would lead to other, weaker rows.
            within &= near
        else:
            within[np.flatnonzero(within)[~near]] = False
            table, stage, sharpest = table.only(near), stage.only(near), sharpest.only(near)
    return Rounded(chosen, max(best, reached), within, sharpest)


def _whole(stage: Stage, values: Floats) -> Chosen | None:
    """The solution of these uses, then what extras lack of their most, where they are whole."""
    whole = np.rint(values).astype(np.int64)
    if np.abs(values - whole).max(initial=0) > 1e-6:
        return None
    uses, extras = whole[: len(stage.pool)], stage.rows.most - whole[len(stage.pool) :]
    used = np.flatnonzero(uses)
    fits = stage.fits(used, uses[used], extras)
    return stage.chosen(used, uses[used], extras) if fits else None


@dataclass(frozen=True)
class _Table:
    """The most of ``gains``, above ``least``, with rows ``low <= table @ uses <= high``.

    The first ``lasting`` rows stay. Uses of one ``kind`` are together no more than its ``caps``,
    of one column no more than ``most``.
    """

    table: Ints
    low: list[int | None]
    high: list[int | None]
    gains: Ints
    least: int
    kind: Ints
    caps: Ints
    most: Floats
    lasting: int

    def program(self) -> LinearProgram:
        """The linear program of the rows."""
        low = [-np.inf if v is None else v for v in self.low]
        high = [np.inf if v is None else v for v in self.high]
        program = LinearProgram(low, high)
        # Columns whose kind has a row need no limit of their own: rounding leans on rows alone.
        program.add(self.gains, self.most, sparse(self.table))
        return program

    def bound(self, prices: Floats) -> Priced:
        """What prices prove."""
        widest = np.abs(self.table).max(axis=1, initial=0)
        most = float(np.abs(prices) @ widest) + float(np.abs(self.gains).max(initial=0)) + 1.0
        scale = fitting(most)
        whole, room = in_whole_numbers(self, prices, scale)
        left = scale * self.gains - whole @ self.table
        best = np.zeros_like(self.caps)
        np.maximum.at(best, self.kind, left)
        total = scale * self.least + room + exact_sum(best, self.caps)
        return Priced(total, scale, left, best)

    def rounded_rows(self, found: Found, program: LinearProgram) -> list[tuple[Ints, int]]:
        """Rows (and their limits) that whole uses keep, those that cut most off first."""
        sums, used = self.table @ found.values, np.flatnonzero(found.values)
        # No sum of parts of rows leaves 62 bits.
        finest = min(FINEST, 2**62 // (len(self.table) * int(np.abs(self.table).max(initial=1))))
        seen, values = self.table[:, used], found.values[used]
        far = dict[bytes, tuple[float, Ints, int, int]]()
        for weights in program.fractional_rows(found.values, sums):
            parts, of = _in_parts(weights)
            for times in TIMES if 1 < of <= finest else ():
                mine, limit = self._leant(parts * times % of, of, sums)
                row = (mine @ seen) // of
                over = float(row @ values) - limit // of
                if over > 1e-5:
                    key = row.tobytes() + str(limit // of).encode()
                    far[key] = over / float(np.linalg.norm(row)), mine, limit // of, of
        order = sorted(far.values(), key=lambda entry: -entry[0])[: 3 * ADDED]
        return self._furthest(order, found.values)

    def _furthest(
        self, order: list[tuple[float, Ints, int, int]], values: Floats
    ) -> list[tuple[Ints, int]]:
        """Of rows by their parts, with limits, those that cut most off over all columns."""
        if not order:
            return []
        parts = np.array([mine for _, mine, _, _ in order], np.int64)
        of = np.array([[of] for _, _, _, of in order], np.int64)
        high = [limit for _, _, limit, _ in order]
        rows = _product(parts, self.table) // of
        far = (rows @ values - np.array(high)) / np.linalg.norm(rows, axis=1)
        best = np.argsort(-far, kind="stable")[:ADDED]
        return [(rows[n], high[n]) for n in best.tolist()]

    def _leant(self, parts: Ints, of: int, sums: Floats) -> tuple[Ints, int]:
        """So many parts of each row, those leant on from below negative, and their limit."""
        limit = 0
        for row in np.flatnonzero(parts).tolist():
            low, high = self.low[row], self.high[row]
            if low is not None and (high is None or (low < high and sums[row] < high - 1e-6)):
                # Leant on from below: a row's least is the most of its negative.
                parts[row] -= of
                limit += int(parts[row]) * low
            elif high is not None:
                limit += int(parts[row]) * high
            else:
                parts[row] = 0
        return parts, limit

    def only(self, near: npt.NDArray[np.bool_]) -> "_Table":
        """The table without the other columns."""
        which = _and_extras(near, len(self.kind))
        return replace(
            self, table=self.table[:, which], gains=self.gains[which], kind=self.kind[which],
            most=self.most[which],
        )  # fmt: skip

    def with_rows(self, rows: list[tuple[Ints, int]], values: Floats) -> "_Table":
        """The table with these rows, without those added before that hold nothing back."""
        sums = self.table @ values
        kept = [
            n for n, high in enumerate(self.high)
            if n < self.lasting or (high is not None and sums[n] > high - 1e-6)
        ]  # fmt: skip
        return replace(
            self,
            table=np.vstack([self.table[kept], *(row for row, _ in rows)]),
            low=[self.low[n] for n in kept] + [None] * len(rows),
            high=[self.high[n] for n in kept] + [high for _, high in rows],
        )


def _and_extras(near: npt.NDArray[np.bool_], count: int) -> npt.NDArray[np.bool_]:
    """Some columns, and all that stands behind the columns."""
    return np.concatenate([near, np.ones(count - len(near), bool)])


def _product(one: Ints, two: Ints) -> Ints:
    """The product of tables, by floats where they are exact: much quicker."""
    if (np.abs(one).astype(float) @ np.abs(two).max(axis=1, initial=0)).max(initial=0) < 2**52:
        return np.asarray((one.astype(np.float64) @ two.astype(np.float64)).astype(np.int64))
    return np.asarray(one @ two)


@lru_cache(maxsize=10_000)
def _fraction(weight: float) -> Fraction:
    return Fraction(weight).limit_denominator(PARTS)


def _in_parts(weights: Floats) -> tuple[Ints, int]:
    """Weights in parts of a whole number, whole multiples of it taken off; and that number."""
    some = np.flatnonzero(np.abs(weights) > 1e-9)
    parts = [_fraction(w) for w in weights[some].round(12).tolist()]
    of = lcm(*(part.denominator for part in parts))
    found = np.zeros(len(weights), np.int64)
    if of <= FINEST:
        found[some] = [int(part * of) % of for part in parts]
        return found, of
    # Any parts give rows that hold: where the weights have none in common, near ones may cut too.
    found[some] = np.rint(weights[some] * COARSE).astype(np.int64) % COARSE
    return found, COARSE


def _table_of(stage: Stage) -> _Table:
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
    return _Table(
        np.vstack([table // steps[:, None], kinds]),
        low + [0] * len(caps), high + caps.tolist(),
        np.concatenate([stage.gains, -stage.extra_gains]), int(stage.extra_gains @ most),
        np.concatenate([pool.kind, len(caps) + np.arange(len(most))]),
        np.concatenate([caps, most]), np.concatenate([np.full(len(pool), np.inf), most]),
        len(table) + len(caps),
    )  # fmt: skip
