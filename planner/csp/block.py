"""The hard part of a demand on its own: lengths whose fills are few, apart from those that fit all.

Where the worth of a length is just its share of the stock, it fits almost anywhere, and fills of
such lengths are too many to list. The others are listed with what must be possible beside them.
If these alone need more stocks than allowed, so does the whole. If not, their pieces are joined,
as one piece for each stock, and the rest is cut around them.
"""

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from planner.csp.generation import Proof, Root
from planner.csp.listing import list_beginnings
from planner.csp.master import Master
from planner.csp.values import CspLimits, Demand, Ints, demand_of
from planner.stop import Stop

__all__ = ["Joined", "hard_fills", "hard_lengths", "used_as"]


def hard_lengths(demand: Demand, mean: Proof) -> npt.NDArray[np.bool_]:
    """The lengths worth more or less than their share of the stock."""
    share = demand.lengths / demand.capacity
    return np.asarray(np.abs(mean.worths / mean.best - share) > 1e-5)


def hard_fills(
    demand: Demand,
    hard: npt.NDArray[np.bool_],
    proofs: Sequence[Proof],
    stocks: int,
    limits: CspLimits,
    stop: Stop,
) -> Ints | None:
    """What open fills hold of the hard lengths, or nothing if that is too much to list."""
    order = np.concatenate([np.flatnonzero(hard), np.flatnonzero(~hard)])
    turned = Demand(demand.capacity, demand.lengths[order], demand.wanted[order])
    proofs = [Proof(proof.worths[order], proof.best, proof.asked) for proof in proofs]
    count = int(hard.sum())
    fills = list_beginnings(turned, proofs, stocks, count, limits.patterns, stop)
    if fills is None:
        return None
    return fills[fills.any(axis=1), :count]


def used_as(
    master: Master, root: Root, hard: npt.NDArray[np.bool_], fills: Ints
) -> npt.NDArray[np.float64]:
    """How much of each hard fill the fractional optimum uses."""
    rows = {fill.tobytes(): row for row, fill in enumerate(fills)}
    amounts = np.zeros(len(fills))
    if root.point is not None:
        for at in np.flatnonzero(root.point.amounts > 1e-9):
            row = rows.get(master.patterns[at][hard].tobytes())
            if row is not None:
                amounts[row] += root.point.amounts[at]
    return amounts


class Joined:
    """The demand with pieces joined, and the way back to stocks of single pieces."""

    def __init__(self, demand: Demand, hard: npt.NDArray[np.bool_], chosen: Ints) -> None:
        self._groups: dict[int, list[Ints]] = defaultdict(list)
        self._width = len(demand.lengths)
        left = np.where(hard, demand.wanted, 0)
        for row in chosen:
            group = np.zeros(self._width, np.int64)
            group[hard] = row
            group = np.minimum(group, left)
            left = left - group
            if group.any():
                self._groups[int(group @ demand.lengths)].append(group)
        single = np.eye(self._width, dtype=np.int64)
        for item in np.flatnonzero(~hard):
            self._groups[int(demand.lengths[item])] += [single[item]] * int(demand.wanted[item])
        items = [(length, len(groups)) for length, groups in self._groups.items()]
        self.demand = demand_of(demand.capacity, items)

    @property
    def key(self) -> bytes:
        """What two demands have in common that are the same."""
        return self.demand.lengths.tobytes() + self.demand.wanted.tobytes()

    def worths(self, proof: Proof) -> Ints:
        """The worth of each joined piece by a proof: of the pieces in it; the least of equals."""
        return np.array(
            [
                min(int(group @ proof.worths) for group in self._groups[length])
                for length in self.demand.lengths.tolist()
            ]
        )

    def parted(self, stocks: Ints) -> Ints:
        """Stocks of joined pieces as stocks of single ones."""
        groups = {length: list(of) for length, of in self._groups.items()}
        parted = np.zeros((len(stocks), self._width), np.int64)
        for row, stock in enumerate(stocks):
            for item in np.flatnonzero(stock):
                of = groups[int(self.demand.lengths[item])]
                for _ in range(min(int(stock[item]), len(of))):
                    parted[row] += of.pop()
        return parted
