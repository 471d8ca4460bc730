"""The linear program over few columns, the restricted master: prices call for others.

At the root it starts from a known solution, and columns are made as prices call for them; in a
branch it goes on from where an earlier one ended, over columns that are all there.
"""

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from planner.columns.pricing import called_for
from planner.lp.highs import Found, LinearProgram
from planner.model.subproblem import Added, Box, Chosen, Stage
from planner.stop import Stop

__all__ = ["RestrictedMaster", "prices_of", "scarce_prices"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
# Columns kept of an optimum over all, and taken in at once beside the best of each kind.
FIRST, MORE = 200, 60
SMALL = 1e-9
# What all pieces together are worth where only their scarcity gives prices: as much as in um.
ALL = 1e6


class RestrictedMaster:
    """A row for each kind's pieces, then a stage's rows; the extras come before the columns.

    ``found`` is what the ``program`` ended at.
    """

    def __init__(self, stage: Stage, first: Ints, scarce: int | None = None) -> None:
        """Over these columns at ``first``.

        With ``scarce``, of a stage without gains, the least share of all pieces, and of so much
        room in the last held row (whose least is below 0), that a solution needs.
        """
        self.stage, self.extras, self.kinds = stage, len(stage.rows.most), len(stage.rows.caps)
        caps, count = stage.rows.caps, len(stage.low)
        self._low, self._high = stage.low.copy(), stage.high
        self._in = np.zeros(0, np.int64)
        least, most = (
            (stage.rows.least, caps) if scarce is None else (np.full(self.kinds, -np.inf), 0 * caps)
        )
        if scarce is not None:
            self._low[-1] = 0
        self.program = LinearProgram(
            np.concatenate([least, self._low]),
            np.concatenate([most, self._high]),
        )
        extra = np.vstack([np.zeros((self.kinds, self.extras), np.int64), stage.extra_block])
        self.program.add(stage.extra_gains, stage.rows.most, extra)
        if scarce is not None:
            share = np.concatenate([-caps, np.zeros(count - 1), [scarce]])
            self.program.add([-ALL], [np.inf], share[:, None])
        self._before = self.extras + int(scarce is not None)
        self._small = 1e-6 * max(1.0, float(np.abs(stage.gains).max(initial=0)) * 1e-3)
        self._take_in(first)

    def _take_in(self, columns: Ints) -> None:
        high, part = np.full(len(columns), np.inf), self.stage.only(columns)
        self.program.add(part.gains, high, np.vstack([part.one_of_kind, part.block()]))
        self._in = np.concatenate([self._in, columns])

    def take_on(self, stage: Stage) -> None:
        """Go on with the columns that a stage has behind those of before."""
        before, self.stage = len(self.stage.pool), stage
        self._take_in(np.arange(before, len(stage.pool)))

    def add_rows(self, kept: npt.NDArray[np.bool_], more: Added) -> None:
        """Keep some of the rows added to the stage, and add others."""
        before = self.kinds + len(self.stage.low) - len(kept)
        self.program.keep_rows(np.append(np.ones(before, bool), kept))
        rows = np.hstack([more.extras, more.columns[:, self._in]])
        self.program.add_rows(rows, more.high)
        added = self.stage.added
        self.stage = replace(self.stage, added=more if added is None else added.kept(kept, more))
        self._low, self._high = self.stage.low, self.stage.high

    def keep_columns(self, kept: npt.NDArray[np.bool_]) -> None:
        """Keep some columns of the stage."""
        self.program.keep_columns(np.append(np.ones(self._before, bool), kept[self._in]))
        self._in = (np.cumsum(kept) - 1)[self._in[kept[self._in]]]
        self.stage = self.stage.only(kept)

    def solved(self, stop: Stop, box: Box | None = None) -> Found:
        """The optimum over all columns there are, perhaps in a branch (of kinds and rows the
        duals), or none."""
        every, free = len(self._in) == len(self.stage.pool), np.ones(len(self.stage.pool), bool)
        if box is not None:
            free = ~box.barred
        found = self._solve(stop, box)
        if every and box is not None and found.status == "optimal":
            self._keep_few(found)
        while len(called := self._called(found, free)):
            self._take_in(called)
            found = self._solve(stop, box)
        return found

    def _bound(self, box: Box) -> None:
        """What holds in a branch."""
        low, high = np.zeros(len(self.stage.pool)), np.full(len(self.stage.pool), np.inf)
        low[list(box.used)] = list(box.used.values())
        high[box.barred] = low[box.barred]
        self.program.bound_columns(
            np.concatenate([box.extra_low, low[self._in]]),
            np.concatenate([box.extra_high, high[self._in]]),
        )
        self.program.bound_rows(
            np.concatenate([box.kind_low, self._low]), np.concatenate([box.kind_high, self._high])
        )

    def _solve(self, stop: Stop, box: Box | None) -> Found:
        """What the program finds, with the values of the extras, then of all columns."""
        if box is not None:
            self._bound(box)
        found = self.program.solve(stop)
        if found.status == "failed":
            found = self.program.solve(stop, afresh=True)
        self.found, values = found, np.zeros(self.extras + len(self.stage.pool))
        if len(found.values):
            values[: self.extras] = found.values[: self.extras]
            values[self.extras + self._in] = found.values[self._before :]
        return replace(found, values=values)

    def _priced(self, duals: Floats) -> Floats:
        """What each column's kind and rows cost."""
        kinds, rows = np.split(duals, [self.kinds])
        return np.asarray(kinds[self.stage.pool.kind] + self.stage.priced(rows))

    def _keep_few(self, found: Found) -> None:
        """Leave the columns out that lose most at the first optimum."""
        if len(self._in) <= 2 * FIRST:
            return
        surplus = self.stage.gains - self._priced(found.duals)
        kept = found.values[self.extras + self._in] > 0
        basic = self.program.basic_columns() - self._before
        kept[basic[basic >= 0]] = True
        kept[np.argsort(-surplus[self._in], kind="stable")[:FIRST]] = True
        self.program.keep_columns(np.append(np.ones(self._before, bool), kept))
        self._in = self._in[kept]

    def _called(self, found: Found, free: npt.NDArray[np.bool_]) -> Ints:
        """Of the free columns those that would make the optimum better, or a solution possible."""
        out = free.copy()
        out[self._in] = False
        if not out.any() or found.status not in ("optimal", "infeasible"):
            return np.zeros(0, np.int64)
        if found.status == "optimal":
            surplus, small = self.stage.gains - self._priced(found.duals), self._small
        else:
            surplus, small = self._missing(free), SMALL
        at = np.flatnonzero(out & (surplus > small))
        order = at[np.argsort(-surplus[at], kind="stable")]
        _, first = np.unique(self.stage.pool.kind[order], return_index=True)
        return np.union1d(order[first], order[:MORE])

    def _missing(self, free: npt.NDArray[np.bool_]) -> Floats:
        """What columns do against the impossible, more than nothing where they help."""
        ray = self.program.ray()
        if ray is None:
            return np.ones(len(self.stage.pool))
        surplus: Floats = self._priced(ray)
        own = surplus[self._in[free[self._in]]]
        # Which way the ray points is told by the columns that do not help, if any does.
        up, down = own.max(initial=0) <= SMALL, own.min(initial=0) >= -SMALL
        if up and down:
            return np.abs(surplus)
        return np.asarray(surplus if up else -surplus)


def prices_of(stage: Stage, chosen: Chosen, stop: Stop) -> tuple[Floats, Stage]:
    """The prices of the rows at the fractional optimum, and the stage with the columns made."""
    return _priced(RestrictedMaster(stage, _own(stage, chosen)), stop)


def scarce_prices(stage: Stage, chosen: Chosen, room: int, stop: Stop) -> tuple[Floats, Stage]:
    """Prices by what share of the pieces, and of a ``room`` in the last held row, would do.

    For a stage without gains, whose last held row has a least below 0. Columns that waste what is
    scarce lose most at these prices. The solution need not keep the last row.
    """
    return _priced(RestrictedMaster(stage, _own(stage, chosen), room), stop)


def _own(stage: Stage, chosen: Chosen) -> Ints:
    return np.array(sorted(stage.pool.numbers(chosen.uses)), np.int64)


def _priced(master: RestrictedMaster, stop: Stop) -> tuple[Floats, Stage]:
    prices = np.zeros(len(master.stage.low))
    while True:
        found = master.solved(stop)
        if found.status != "optimal":
            return prices, master.stage
        kinds, prices = np.split(found.duals, [master.kinds])
        if master.stage.pool.complete:
            return prices, master.stage
        more = called_for(master.stage, prices, kinds)
        if more is master.stage:
            return prices, more
        master.take_on(more)
