"""Bounds sharpened by rounding: rows that whole uses keep and the fractional optimum does not.

Rows are added up in parts of a whole number, each column's share is rounded down, and so is the
limit: whole uses still keep it. Which rows to add up is read off the fractional optimum.

Source: Gomory, "Outline of an algorithm for integer solutions to linear programs", Bulletin of the
American Mathematical Society 64 (1958).
"""

from dataclasses import dataclass, replace
from fractions import Fraction
from math import lcm

import numpy as np
import numpy.typing as npt

from planner.bound import exact_sum, fitting, in_whole_numbers
from planner.highs import Found, LinearProgram, sparse
from planner.stage import Chosen, Stage
from planner.stop import Stop

__all__ = ["Rounded", "rounded"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
# Work limits, so that the same problem ends alike anywhere: rounds, and rows added in each.
ROUNDS, ADDED = 30, 20
# Fractions are read to parts of so many; together they come to parts of no more than this.
PARTS, FINEST = 3_000, 1_000_000
# Multiples of a row of the optimum that are rounded.
TIMES = (1, 2, 3, 5, 7, -1, -2)


@dataclass(frozen=True, slots=True)
class Rounded:
    """The best solution known, a proven bound, and the columns that solutions as good may use."""

    chosen: Chosen
    bound: int
    within: npt.NDArray[np.bool_]


def rounded(stage: Stage, chosen: Chosen, best: int, stop: Stop) -> Rounded:
    """The bound ``best`` of all a stage's columns, sharpened; and a better solution if met."""
    table, reached = _table_of(stage), stage.value(chosen)
    within = np.ones(len(stage.pool), bool)
    for _ in range(ROUNDS):
        program = table.program()
        found = program.solve(stop)
        if found.status != "optimal" or best <= reached:
            break
        total, scale, loss = table.bound(found.duals)
        best = min(best, total // (scale * stage.step) * stage.step)
        better = _whole(stage, found.values)
        if better is not None and stage.value(better) > reached:
            chosen, reached = better, stage.value(better)
        within &= loss[: len(within)] >= scale * reached - total
        rows = table.rounded_rows(found, program)
        if best <= reached or not rows:
            break
        table = table.with_rows(rows, found.values)
    return Rounded(chosen, max(best, reached), within)


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

    def bound(self, prices: Floats) -> tuple[int, int, Ints]:
        """What prices prove, in parts of a scale; the scale; what each use loses."""
        widest = np.abs(self.table).max(axis=1, initial=0)
        most = float(np.abs(prices) @ widest) + float(np.abs(self.gains).max(initial=0)) + 1.0
        scale = fitting(most)
        whole, room = in_whole_numbers(self, prices, scale)
        left = scale * self.gains - whole @ self.table
        best = np.zeros_like(self.caps)
        np.maximum.at(best, self.kind, left)
        total = scale * self.least + room + exact_sum(best, self.caps)
        return total, scale, left - best[self.kind]

    def rounded_rows(self, found: Found, program: LinearProgram) -> list[tuple[Ints, int]]:
        """Rows (and their limits) that whole uses keep, those that cut most off first."""
        rows: dict[bytes, tuple[float, Ints, int]] = {}
        sums = self.table @ found.values
        # No sum of parts of rows leaves 62 bits.
        finest = min(FINEST, 2**62 // (len(self.table) * int(np.abs(self.table).max(initial=1))))
        for weights in program.fractional_rows(found.values, sums):
            parts, of = _in_parts(weights)
            for times in TIMES if 1 < of <= finest else ():
                row, high = self._rounded(parts * times % of, of, sums)
                over = float(row @ found.values) - high
                if over > 1e-5:
                    far = over / float(np.linalg.norm(row))
                    rows[row.tobytes() + str(high).encode()] = far, row, high
        order = sorted(rows.values(), key=lambda entry: -entry[0])
        return [(row, high) for _, row, high in order[:ADDED]]

    def _rounded(self, parts: Ints, of: int, sums: Floats) -> tuple[Ints, int]:
        """The rows added up, so many parts of each, and rounded down."""
        parts, limit = parts.copy(), 0
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
        return (parts @ self.table) // of, limit // of

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


def _in_parts(weights: Floats) -> tuple[Ints, int]:
    """Weights in parts of a whole number, whole multiples of it taken off; and that number."""
    some = np.flatnonzero(np.abs(weights) > 1e-9)
    parts = [Fraction(w).limit_denominator(PARTS) for w in weights[some].tolist()]
    of = lcm(*(part.denominator for part in parts))
    found = np.zeros(len(weights), np.int64)
    if of <= FINEST:
        found[some] = [int(part * of) % of for part in parts]
    return found, of


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
