"""Find a plan of so many stocks, or show that there is none, where fills are too many to list.

Whether the stock of one piece has so many copies of another length, or fewer, is decided pair by
pair. The lengths decided on are listed in parts and the others priced as ever, so each branch is
closed by worths in whole numbers that no fill allowed in it exceeds.

Source: Ryan and Foster, An integer programming approach to scheduling (1981); Vance and others,
Solving binary cutting stock problems by column generation and branch-and-bound (1994).
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planner.cuttingstock.column_generation import Proof, Root, generate
from planner.cuttingstock.fills import Fills
from planner.cuttingstock.heuristics import best_fit
from planner.cuttingstock.master import Master, Point
from planner.cuttingstock.partial_patterns import ListedParts, no_parts
from planner.cuttingstock.values import Demand, Ints
from planner.stop import OutOfTime, Stop

__all__ = ["Choice", "paired", "within"]

# So many solves before the search begins anew with what is sure, then twice as many, and so on.
FIRST = 100
# More parts than these are too many to price with.
MOST = 10_000
# So many pairs are tried before a branch is given up for its parts.
TRIED = 8
# How much a length that closed a branch is liked for the next, and how fast that is forgotten.
LIKED, FADES = 0.05, 0.95


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """``answer`` is "found" (with a row a stock), "refuted" or "open" (limits ran out first)."""

    answer: str
    stocks: Ints | None = None


def within(patterns: Ints, proofs: Sequence[Proof], stocks: int) -> Ints:
    """Those of some patterns that a plan of ``stocks`` could use: others are worth too little.

    Such a plan may lose so many times the best fill's worth less all worth asked, and no more.
    """
    good = np.ones(len(patterns), np.bool_)
    for proof in proofs:
        spare = stocks * proof.best - proof.asked
        good &= proof.best - patterns @ proof.worths <= spare
    few: Ints = patterns[good]
    return few


def paired(
    demand: Demand, fills: Ints, proofs: Sequence[Proof], stocks: int, stop: Stop, solves: int
) -> Choice:
    """At most ``stocks`` fills that give all wanted, or that none do, in whole numbers.

    Begins with some ``fills``; after so many ``solves`` of a branch the question stays open.
    """
    search = _Search(demand, fills, proofs, stocks, stop, solves)
    sure: tuple[_Pair, ...] = ()
    turn = FIRST
    try:
        while not search.over:
            left = search.turn(search.decided(sure), turn)
            if search.found is not None:
                return Choice("found", search.found)
            if left is None:
                break
            if not left:
                return Choice("refuted")
            # What all branches that are left have in common is sure.
            sure = _common([branch.pairs for branch in left])
            turn *= 2
    except OutOfTime:
        pass
    return Choice("open")


@dataclass(frozen=True, slots=True)
class _Pair:
    """The stock of one piece has so many copies of another length, or more; or it has fewer."""

    piece: int
    other: int
    copies: int
    together: bool

    def kept(self, rows: Ints, wanted: Ints) -> npt.NDArray[np.bool_]:
        """Fills, or parts of them, that a plan may use."""
        has, enough = rows[:, self.piece] > 0, rows[:, self.other] >= self.copies
        if not self.together:
            return np.asarray(~(has & enough))
        # So many copies are in the stock of the piece: another has at most the rest.
        few = rows[:, self.other] <= wanted[self.other] - self.copies
        return np.where(has, enough, few)


@dataclass(frozen=True, slots=True, eq=False)
class _Branch:
    """What was decided, the parts that are left, and the best proof and the optimum, if solved."""

    parts: ListedParts
    pairs: tuple[_Pair, ...]
    proof: Proof
    point: Point | None


def _common(chains: Sequence[tuple[_Pair, ...]]) -> tuple[_Pair, ...]:
    """What all chains of decisions begin with."""
    first, count = min(chains, key=len), 0
    while count < len(first) and all(chain[count] == first[count] for chain in chains):
        count += 1
    return first[:count]


class _Open(Master):
    """The patterns that a branch allows; any length alone is allowed, at the cost of two stocks."""

    def __init__(self, demand: Demand) -> None:
        super().__init__(demand, growing=False)
        self._append(np.eye(len(demand.lengths), dtype=np.int64), 2.0)
        self._always = 2 * len(demand.lengths)
        self._parts = no_parts(demand)

    def branch(self, branch: _Branch) -> None:
        """Allow what a branch allows and nothing else."""
        self._parts = branch.parts
        width = len(self.demand.lengths)
        good = np.ones(len(self.patterns), np.bool_)
        for pair in branch.pairs:
            good &= pair.kept(self.patterns, self.demand.wanted)
        good[width : 2 * width] = True
        self._program.bound_columns(np.zeros(len(good)), np.where(good, np.inf, 0.0))

    def price(self, worths: Ints, stop: Stop) -> Fills:
        """The best worth of any fill that the branch allows, and the best through each length."""
        return self._parts.price(worths, stop)


class _Search:
    """The branches that are still to be looked at have one master."""

    def __init__(
        self,
        demand: Demand,
        fills: Ints,
        proofs: Sequence[Proof],
        stocks: int,
        stop: Stop,
        solves: int,
    ) -> None:
        self.found: Ints | None = None
        self._demand, self._proofs, self._stocks = demand, proofs, stocks
        self._stop, self._left = stop, solves
        self._master = _Open(demand)
        self._master.add(fills)
        self._liked = np.zeros(len(demand.lengths))

    @property
    def over(self) -> bool:
        """The limits have run out."""
        return self._left <= 0 or self._stop.over()

    def decided(self, pairs: Sequence[_Pair]) -> _Branch:
        """The branch in which all this is decided."""
        parts = no_parts(self._demand)
        for pair in pairs:
            parts = parts.lifted(pair.piece).lifted(pair.other)
            parts = parts.of(pair.kept(parts.rows, self._demand.wanted))
            parts = parts.within(self._proofs, self._stocks, self._stop)
        return _Branch(parts, tuple(pairs), self._proofs[0], None)

    def turn(self, branch: _Branch, solves: int) -> list[_Branch] | None:
        """The branches left of one after so many solves; nothing if not all of them are known."""
        enough = self._left - solves
        stack = self.solved(branch)
        while stack and self.found is None and self._left > enough and not self.over:
            sides = self.sides(stack.pop())
            if sides is None:
                return None
            stack += sides
        return stack

    def solved(self, branch: _Branch) -> list[_Branch]:
        """The branch with its optimum and fewer parts; none if it is shown to hold no plan."""
        self._left -= 1
        if not len(branch.parts.rows):
            return []
        self._master.branch(branch)
        start = Root(None, branch.proof)
        root = generate(self._master, self._stop, self._stocks, start=start)
        proof = root.proof or branch.proof
        if proof.bound > self._stocks:
            return []
        if root.point is not None:
            self._look(root.point)
        parts = branch.parts
        if proof is not branch.proof:
            parts = parts.within([proof], self._stocks, self._stop)
        return [_Branch(parts, branch.pairs, proof, root.point)]

    def _look(self, point: Point) -> None:
        """Keep what the optimum uses in whole, with the rest by best fit, if it is a plan."""
        times = np.floor(point.amounts + 1e-6).astype(np.int64)
        whole = np.repeat(point.patterns, times, axis=0)
        left = np.maximum(self._demand.wanted - whole.sum(axis=0), 0)
        stocks = np.vstack([whole, best_fit(self._demand.left(left))])
        if len(stocks) <= self._stocks:
            self.found = stocks

    def sides(self, branch: _Branch) -> list[_Branch] | None:
        """The branches of a branch, the last to be taken first; nothing if not all are known."""
        for piece, other, copies in self._undecided(branch):
            parts = branch.parts.lifted(piece).lifted(other)
            parts = parts.within([branch.proof, *self._proofs], self._stocks, self._stop)
            if len(parts.rows) <= MOST:
                return self._parted(branch, parts, _Pair(piece, other, copies, False))
        return None

    def _parted(self, branch: _Branch, parts: ListedParts, apart: _Pair) -> list[_Branch] | None:
        sides: list[_Branch] = []
        for pair in (apart, replace(apart, together=True)):
            kept = parts.of(pair.kept(parts.rows, self._demand.wanted))
            sides += self.solved(_Branch(kept, (*branch.pairs, pair), branch.proof, None))
            if self.found is not None:
                return sides
            if self.over:
                return None
        if len(sides) < 2:
            self._liked[[apart.piece, apart.other]] += LIKED
        return sides

    def _undecided(self, branch: _Branch) -> list[tuple[int, int, int]]:
        """Pieces wanted once with copies of another that are in their stock in part, best first."""
        if branch.point is None:
            return []
        shares: dict[tuple[int, int, int], float] = defaultdict(float)
        wanted = self._demand.wanted.tolist()
        point = branch.point
        for row, amount in zip(point.patterns.tolist(), point.amounts.tolist(), strict=True):
            items = [item for item, copies in enumerate(row) if copies]
            for piece in (item for item in items if wanted[item] == 1):
                for other in items:
                    if other > piece or wanted[other] > 1:
                        for copies in range(1, row[other] + 1):
                            shares[piece, other, copies] += amount
        liked = self._liked
        self._liked = liked * FADES
        far = sorted(
            (abs(share - 0.5) - liked[pair[0]] - liked[pair[1]], pair)
            for pair, share in shares.items()
            if 1e-6 < share < 1 - 1e-6
        )
        return [pair for _, pair in far[:TRIED]]
