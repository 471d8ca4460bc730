"""Bounds sharpened by rounding: rows that whole uses keep and the fractional optimum does not.

Rows are added up in parts of a whole number, each column's share is rounded down, and so is the
limit: whole uses still keep it. What to add up is told by pieces and rails, then by the optimum.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planner.columns.restricted_master import RestrictedMaster
from planner.cuts.gomory import tableau_sums
from planner.cuts.table import Parts, Table, table_of
from planner.cuts.zero_half import odd_sums, tied_sums
from planner.lp.dual_bound import proven_bound
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
    """A stage with rows added, its table and its program, alike.

    What reaches no more than ``reached`` is let go.
    """

    def __init__(
        self, stage: Stage, chosen: Chosen, best: int, reached: int, losses: Ints | None
    ) -> None:
        self.chosen, self.best, self.proven, self.reached = chosen, best, best, reached
        self.table, self.master = table_of(stage), RestrictedMaster(stage, _first(stage, losses))

    @property
    def stage(self) -> Stage:
        """The columns that are left, and the rows added that hold something back."""
        return self.master.stage

    def goes_on(self, stop: Stop) -> bool:
        """Prove what the optimum's prices do and cut it off; whether there is more to be proven."""
        found = self.master.solved(stop)
        if found.status != "optimal" or self.best <= self.reached:
            return False
        prices = found.duals[self.master.kinds :]
        bound = proven_bound(self.stage, prices)
        if bound.whole is None:
            return False
        self.proven, self.best = bound.whole, min(self.best, bound.whole)
        extras, uses = np.split(found.values, [self.master.extras])
        better = _whole(self.stage, uses, extras)
        if better is not None and self.stage.value(better) > self.reached:
            self.chosen, self.reached = better, self.stage.value(better)
        if self.best <= self.reached:
            return False
        more = self._add(np.append(uses, self.stage.rows.most - extras))
        near = bound.within(self.reached)
        if not near.all():
            self.master.keep_columns(near)
            self.table = self.table.only(near)
        return more

    def _add(self, values: Floats) -> bool:
        """Add rows that cut ``values`` off, if any; those that hold nothing back go."""
        sums, rows = new_rows(self.table, self.stage, self.master, values)
        kept = self.table.leaning(values)
        self.table = self.table.with_rows(kept, rows, sums.high)
        count = len(self.stage.pool)
        # What extras lack is their most less what they are.
        columns, lacks = rows[:, :count], rows[:, count:].astype(np.int64)
        high = sums.high - lacks @ self.stage.rows.most
        self.master.add_rows(kept[self.table.lasting :], Added(columns, -lacks, high))
        return len(rows) > 0

    def result(self, rounds: int) -> Rounded:
        """What was found and proven; the rows added last are among those of the stage."""
        return Rounded(self.chosen, max(self.best, self.reached), self.stage, rounds)


def new_rows(
    table: Table, stage: Stage, master: RestrictedMaster, values: Floats
) -> tuple[Parts, Floats]:
    """Sums rounded down that whole uses keep and ``values`` do not, and their rows.

    Those read off the optimum only where the others are few.
    """
    sums = odd_sums(table, stage.rows, values).with_more(tied_sums(table, stage.rows, values))
    sums, rows = table.furthest(sums, values, 2 * ADDED)
    if len(rows) >= ADDED:
        return sums, rows
    more, others = table.furthest(tableau_sums(table, master, values), values, ADDED)
    return sums.with_more(more), np.vstack([rows, others])


def _first(stage: Stage, losses: Ints | None) -> Ints:
    """The columns that are likely to matter."""
    if losses is None or len(losses) <= 2 * FIRST:
        return np.arange(len(stage.pool))
    return np.sort(np.argsort(-losses, kind="stable")[:FIRST])


def _whole(stage: Stage, uses: Floats, extras: Floats) -> Chosen | None:
    """The solution of these uses and extras, where they are whole."""
    columns, others = np.rint(uses).astype(np.int64), np.rint(extras).astype(np.int64)
    if max(np.abs(uses - columns).max(initial=0), np.abs(extras - others).max(initial=0)) > 1e-6:
        return None
    used = np.flatnonzero(columns)
    fits = stage.fits(used, columns[used], others)
    return stage.chosen(used, columns[used], others) if fits else None
