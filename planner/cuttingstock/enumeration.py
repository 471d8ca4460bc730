"""Every fill that a plan of so many stocks could still use: all others are worth too little.

A plan of K stocks may lose K times the best fill's worth less all worth asked, and no more; a fill
that loses more on its own is in no such plan. Each proof rules out fills in this way, and so does
the length that may be wasted. Only fills with no room for another wanted piece are needed.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from planner.cuttingstock.column_generation import Proof
from planner.cuttingstock.knapsack import completions
from planner.cuttingstock.values import Demand, Ints
from planner.stop import Stop

__all__ = ["list_fills", "within"]


def list_fills(
    demand: Demand, proofs: Sequence[Proof], stocks: int, most: int, stop: Stop
) -> Ints | None:
    """All fills that a plan of ``stocks`` could use, or nothing if more than ``most`` stay open."""
    waste = Proof(demand.lengths, demand.capacity, demand.total)
    tests = [_Test(demand, proof, stocks, stop) for proof in (*proofs, waste)]
    if any(test.need > test.proof.best for test in tests):
        return np.zeros((0, len(demand.lengths)), np.int64)
    tree = _Tree(demand, tests)
    for item in range(len(demand.lengths)):
        if stop.over() or not tree.deepen(item, most):
            return None
    return _full(demand, tree.patterns())


def within(patterns: Ints, proofs: Sequence[Proof], stocks: int) -> Ints:
    """Those of some patterns that a plan of ``stocks`` could use."""
    good = np.ones(len(patterns), np.bool_)
    for proof in proofs:
        spare = stocks * proof.best - proof.asked
        good &= proof.best - patterns @ proof.worths <= spare
    few: Ints = patterns[good]
    return few


class _Test:
    """One proof's demand on a fill: worth what is needed, counting the best that may follow."""

    def __init__(self, demand: Demand, proof: Proof, stocks: int, stop: Stop) -> None:
        self.proof = proof
        self.need = proof.best - (stocks * proof.best - proof.asked)
        self.after = completions(demand, proof.worths, stop)


class _Tree:
    """Fills under way, a length at a time: room left, worth in each test, and what was chosen."""

    def __init__(self, demand: Demand, tests: Sequence[_Test]) -> None:
        self._demand, self._tests = demand, tests
        self._room = np.array([demand.capacity])
        self._worth = np.zeros((len(tests), 1), np.int64)
        self._node = np.array([0])
        # Nodes one after another: parent, length chosen, copies.
        self._nodes = [np.array([[0, 0, 0]])]
        self._count = 1

    def deepen(self, item: int, most: int) -> bool:
        """Decide on the copies of one length; whether the fills stay few enough."""
        length, fits = int(self._demand.lengths[item]), int(self._demand.fits[item])
        ranks = np.arange(len(self._room))
        chosen: list[tuple[int, Ints]] = []
        total = 0
        for copies in range(fits + 1):
            ranks = ranks[self._room[ranks] >= copies * length]
            if copies and not len(ranks):
                break
            kept = ranks[self._open(item, copies, ranks)]
            chosen.append((copies, kept))
            total += len(kept)
            if total > most:
                return False
        self._grow(item, length, chosen)
        return True

    def _open(self, item: int, copies: int, ranks: Ints) -> npt.NDArray[np.bool_]:
        room = self._room[ranks] - copies * int(self._demand.lengths[item])
        good = np.ones(len(ranks), np.bool_)
        for row, test in enumerate(self._tests):
            have = self._worth[row, ranks] + copies * int(test.proof.worths[item])
            good &= have + test.after[item + 1][room] >= test.need
        return good

    def _grow(self, item: int, length: int, chosen: Sequence[tuple[int, Ints]]) -> None:
        worths = np.array([int(test.proof.worths[item]) for test in self._tests])[:, None]
        rooms, values, nodes = [], [], []
        for copies, kept in chosen:
            rooms.append(self._room[kept] - copies * length)
            values.append(self._worth[:, kept] + copies * worths)
            node = self._node[kept]
            if copies:
                made = np.stack([node, np.full(len(kept), item), np.full(len(kept), copies)], 1)
                node = self._count + np.arange(len(kept))
                self._nodes.append(made)
                self._count += len(kept)
            nodes.append(node)
        self._room, self._node = np.concatenate(rooms), np.concatenate(nodes)
        self._worth = np.concatenate(values, axis=1)

    def patterns(self) -> Ints:
        """The fills as rows of copies."""
        nodes = np.concatenate(self._nodes)
        out = np.zeros((len(self._node), len(self._demand.lengths)), np.int64)
        at = self._node
        while at.any():
            out[np.arange(len(at)), nodes[at, 1]] += nodes[at, 2]
            at = nodes[at, 0]
        return out


def _full(demand: Demand, patterns: Ints) -> Ints:
    """Those with no room for one more wanted piece."""
    room = demand.capacity - patterns @ demand.lengths
    shortest = np.where(patterns < demand.wanted, demand.lengths, demand.capacity + 1).min(axis=1)
    full: Ints = patterns[room < shortest]
    return full
