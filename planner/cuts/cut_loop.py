"""Bounds sharpened by rounding: rows that whole uses keep and the fractional optimum does not.

Rows are added up in parts of a whole number, each column's share is rounded down, and so is the
limit: whole uses still keep it. What to add up is told by pieces and rails, then by the optimum.
"""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planner.cuts.cut_lp import Relaxed
from planner.cuts.gomory import tableau_sums
from planner.cuts.table import Parts, PricedUses, Table, table_of
from planner.cuts.zero_half import odd_sums, tied_sums
from planner.model.subproblem import Added, Chosen, Stage
from planner.stop import Stop

__all__ = ["Rounded", "new_rows", "rounded"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
# Work limits, so that the same problem ends alike anywhere: rounds, and rows added in each.
ROUNDS, ADDED = 40, 20
# Columns that are in the program at first.
FIRST = 800
# So many rounds that leave more than this of the gap are the last.
WINDOW, STUCK = 5, 0.96


@dataclass(frozen=True, slots=True)
class Rounded:
    """The best solution known, a proven bound, and the stage that solutions as good are left in.

    The stage has the rows that hold something back; ``rounds`` is how often rows were added.
    """

    chosen: Chosen
    bound: int
    stage: Stage
    rounds: int


def rounded(
    stage: Stage,
    chosen: Chosen,
    best: int,
    least: int,
    stop: Stop,
    losses: Ints | None = None,
) -> Rounded:
    """The bound ``best`` of all a stage's columns, sharpened; and a better solution if met.

    Only solutions that reach ``least`` are looked for, and the bound holds above it. By their
    ``losses`` (0 or below) columns are taken in, where they are known: those of the least first.
    """
    search = _Rounding(stage, chosen, best, least - stage.step, losses)
    gaps = list[int]()
    while len(gaps) < ROUNDS and search.goes_on(stop):
        gaps.append(search.proven - search.reached)
        if len(gaps) > WINDOW and gaps[-1] > STUCK * gaps[-1 - WINDOW]:
            break
    return search.result(len(gaps))


class _Rounding:
    """A stage's table and its program, alike; what reaches no more than ``reached`` is let go."""

    def __init__(
        self, stage: Stage, chosen: Chosen, best: int, reached: int, losses: Ints | None
    ) -> None:
        self.stage, self.chosen, self.best, self.reached = stage, chosen, best, reached
        self.proven = best
        self.table = table_of(stage)
        self.relaxed = Relaxed(self.table, _first(stage, losses))

    def goes_on(self, stop: Stop) -> bool:
        """Prove what the optimum's prices do and cut it off; whether there is more to be proven."""
        found = self.relaxed.solved(self.table, stop)
        if found is None or self.best <= self.reached:
            return False
        self._proven(found.priced)
        better = _whole(self.stage, found.values)
        if better is not None and self.stage.value(better) > self.reached:
            self.chosen, self.reached = better, self.stage.value(better)
        if self.best <= self.reached:
            return False
        more = self._add(found.values)
        self._only(found.priced.near(self.stage, self.reached))
        return more

    def _add(self, values: Floats) -> bool:
        """Add rows that cut ``values`` off, if any; those that hold nothing back go."""
        sums, rows = new_rows(self.table, self.stage, self.relaxed, values)
        kept = self.table.leaning(values)
        self.table = self.table.with_rows(kept, rows, sums.high)
        self.relaxed.change_rows(kept, rows, sums.high)
        return len(rows) > 0

    def _proven(self, priced: PricedUses) -> None:
        step = self.stage.step
        self.proven = priced.total // (priced.scale * step) * step
        self.best = min(self.best, self.proven)

    def _only(self, near: Bools) -> None:
        extras = len(self.table.gains) - len(near)
        self.relaxed.keep_columns(np.append(near, np.ones(extras, bool)))
        self.table, self.stage = self.table.only(near), self.stage.only(near)

    def result(self, rounds: int) -> Rounded:
        """What was found and proven; the rows added last are among those of the stage."""
        count, first = len(self.stage.pool), self.table.lasting
        rows = self.table.table[first:].astype(np.int64)
        tops = rows[:, count:] @ self.stage.rows.most
        high = zip(self.table.high[first:], tops.tolist(), strict=True)
        added = Added(
            rows[:, :count], -rows[:, count:], tuple((top or 0) - most for top, most in high)
        )
        stage = replace(self.stage, added=added)
        best = max(self.best, self.reached)
        return Rounded(self.chosen, best, stage, rounds)


def new_rows(table: Table, stage: Stage, relaxed: Relaxed, values: Floats) -> tuple[Parts, Floats]:
    """Sums rounded down that whole uses keep and ``values`` do not, and their rows.

    Those read off the optimum only where the others are few.
    """
    sums = odd_sums(table, stage.rows, values).with_more(tied_sums(table, stage.rows, values))
    sums, rows = table.furthest(sums, values, 2 * ADDED)
    if len(rows) >= ADDED:
        return sums, rows
    more, others = table.furthest(tableau_sums(table, relaxed, values), values, ADDED)
    return sums.with_more(more), np.vstack([rows, others])


def _first(stage: Stage, losses: Ints | None) -> Ints:
    """The columns that are likely to matter, and all that stands behind the columns."""
    count = len(stage.pool)
    few = np.arange(count)
    if losses is not None and count > 2 * FIRST:
        few = np.sort(np.argsort(-losses, kind="stable")[:FIRST])
    return np.concatenate([few, np.arange(count, count + len(stage.rows.most))])


def _whole(stage: Stage, values: Floats) -> Chosen | None:
    """The solution of these uses, then what extras lack of their most, where they are whole."""
    whole = np.rint(values).astype(np.int64)
    if np.abs(values - whole).max(initial=0) > 1e-6:
        return None
    uses, extras = whole[: len(stage.pool)], stage.rows.most - whole[len(stage.pool) :]
    used = np.flatnonzero(uses)
    fits = stage.fits(used, uses[used], extras)
    return stage.chosen(used, uses[used], extras) if fits else None
