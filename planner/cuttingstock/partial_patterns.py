"""Parts of fills: every way to take some copies of the few lengths that a search decides on.

What goes beside a part is any of the other lengths, and the best of it is found by the same
knapsack as always. So whatever is decided about the listed lengths alone is priced exactly: the
parts that break it are struck off the list.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from planner.columns.knapsack import Table
from planner.cuttingstock.column_generation import Proof
from planner.cuttingstock.fills import Fills, best_fills, completed, completions
from planner.cuttingstock.values import Demand, Ints
from planner.stop import Stop

__all__ = ["ListedParts", "no_parts"]

# Worth less than this, there is no part.
NONE = -(2**30)


@dataclass(frozen=True, eq=False)
class ListedParts:
    """The ``listed`` lengths, and a row of copies for each part (of other lengths none)."""

    demand: Demand
    listed: Ints
    rows: Ints

    @cached_property
    def used(self) -> Ints:
        """How long each part is."""
        return np.asarray(self.rows @ self.demand.lengths)

    @cached_property
    def _others(self) -> Ints:
        return np.setdiff1d(np.arange(len(self.demand.lengths)), self.listed)

    @cached_property
    def _rest(self) -> Demand:
        demand, others = self.demand, self._others
        return Demand(demand.capacity, demand.lengths[others], demand.wanted[others])

    def of(self, these: npt.NDArray[np.bool_]) -> "ListedParts":
        """Some of them alone."""
        return ListedParts(self.demand, self.listed, self.rows[these])

    def has(self, fills: Ints) -> npt.NDArray[np.bool_]:
        """Which fills have one of the parts."""
        known = {row.tobytes() for row in self.rows[:, self.listed]}
        return np.array([row.tobytes() in known for row in fills[:, self.listed]], np.bool_)

    def lifted(self, item: int) -> "ListedParts":
        """The same with one more length listed."""
        if item in self.listed:
            return self
        rows = [self.rows]
        for copies in range(1, int(self.demand.fits[item]) + 1):
            room = self.demand.capacity - copies * int(self.demand.lengths[item])
            more = self.rows[self.used <= room]
            more[:, item] = copies
            rows.append(more)
        return ListedParts(self.demand, np.append(self.listed, item), np.vstack(rows))

    def within(self, proofs: Iterable[Proof], stocks: int, stop: Stop) -> "ListedParts":
        """Those that a plan of so many stocks could use, with the best beside them."""
        kept = self
        for proof in proofs:
            stop.check()
            spare = stocks * proof.best - proof.asked
            after = completions(self._rest, proof.worths[self._others])
            kept = kept.of(proof.best - kept._worth(proof.worths, after) <= spare)
        return kept

    def _worth(self, worths: Ints, after: Table) -> Ints:
        """The most that a fill with each part can be worth."""
        return np.asarray(self.rows @ worths + after[0][self.demand.capacity - self.used])

    def price(self, worths: Ints, stop: Stop) -> Fills:
        """The best worth of any fill with a part, and the best fills through each length.

        There must be a part.

        Raises:
            OutOfTime: the stop came first.
        """
        others = worths[self._others]
        after = completions(self._rest, others)
        total = self._worth(worths, after)
        through = [np.flatnonzero(self.rows[:, item]) for item in self.listed]
        best = [int(total.argmax()), *(int(at[total[at].argmax()]) for at in through if len(at))]
        chosen = np.unique(np.array(best))
        ends = completed(self._rest, others, after, self.demand.capacity - self.used[chosen])
        begun, whose = self._begun(worths)
        fills = best_fills(self._rest, others, stop, begun, after)
        starts = np.concatenate([chosen, whose[fills.begun]])
        patterns = self.rows[starts]
        patterns[:, self._others] += np.vstack([ends, fills.patterns])
        # No fill is worth more than 1 where none is worth anything: a bound divides by it.
        return Fills(max(1, int(total.max())), patterns, patterns @ worths, self.used[starts])

    def _begun(self, worths: Ints) -> tuple[Table, Ints]:
        """For each room the worth of the best part that fits, and which it is."""
        own = self.rows @ worths
        order = np.lexsort((-own, self.used))
        first = np.unique(self.used[order], return_index=True)[1]
        best = order[first]
        # Longer parts that are worth no more than shorter ones go.
        more = np.diff(np.maximum.accumulate(own[best]), prepend=NONE) > 0
        best = best[more]
        ranks = np.searchsorted(self.used[best], np.arange(self.demand.capacity + 1), "right") - 1
        begun = np.where(ranks >= 0, own[best[ranks]], NONE).astype(np.int32)
        return begun, best[ranks]


def no_parts(demand: Demand) -> ListedParts:
    """Nothing decided yet: the one part is empty."""
    width = len(demand.lengths)
    return ListedParts(demand, np.zeros(0, np.int64), np.zeros((1, width), np.int64))
