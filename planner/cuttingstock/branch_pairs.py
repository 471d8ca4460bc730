"""Find a plan of so many stocks, or show that there is none, in whole numbers.

Whether two pieces are in one stock is decided pair by pair. Those that are become one longer piece
(`bundles`), those that are not are listed in parts of fills (`partial_patterns`), and all others
are priced as ever: each branch is closed by worths in whole numbers that no fill allowed in it
exceeds. Between decisions all pieces are joined that every fill worth enough has together.

Source: Ryan and Foster, An integer programming approach to scheduling (1981); Vance and others,
Solving binary cutting stock problems by column generation and branch-and-bound (1994).
"""

from collections import defaultdict
from dataclasses import dataclass, replace

import numpy as np

from planner.cuttingstock.bundles import single
from planner.cuttingstock.column_generation import Root, generate
from planner.cuttingstock.diving import dive
from planner.cuttingstock.fills import Fills
from planner.cuttingstock.heuristics import best_fit
from planner.cuttingstock.joined_branch import Branch, Pair, optimal
from planner.cuttingstock.master import Master, Point
from planner.cuttingstock.partial_patterns import ListedParts, no_parts
from planner.cuttingstock.values import Demand, Ints
from planner.stop import OutOfTime, Stop

__all__ = ["Choice", "paired"]

# More parts than these are too many to price with.
MOST = 10_000
# So many pairs are tried before a branch is given up for its parts.
TRIED = 8
# So many optimal worths are looked for at first, and whenever pieces were joined or parted.
FIRST, AGAIN = 6, 3
# How much a length that closed a branch is liked for the next, and how fast that is forgotten.
LIKED, FADES = 0.05, 0.95


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """``answer`` is "found" (with a row a stock), "refuted" or "open" (limits ran out first)."""

    answer: str
    stocks: Ints | None = None


def paired(
    demand: Demand, fills: Ints, stocks: int, stop: Stop, solves: int, tight: bool
) -> Choice:
    """At most ``stocks`` fills that give all wanted, or that none do, in whole numbers.

    Begins with some ``fills``; after so many branches are solved the question stays open. Where the
    number is ``tight``, near the fractional optimum, pieces are joined.
    """
    search = _Search(stocks, stop, tight)
    bundles, parts = single(demand), no_parts(demand)
    stack = [Branch(bundles, parts, fills, demand.lengths, demand.capacity)]
    try:
        for _ in range(solves):
            if not stack:
                return Choice("refuted")
            stack += search.sides(stack.pop())
            if search.found is not None:
                return Choice("found", search.found)
    except OutOfTime:
        pass
    return Choice("open")


class _Open(Master):
    """The patterns that a branch allows; any length alone is allowed, at the cost of two stocks."""

    def __init__(self, branch: Branch, growing: bool) -> None:
        self.bundles = branch.bundles
        super().__init__(self.bundles.demand, growing)
        self._append(np.eye(len(self.bundles.kinds), dtype=np.int64), 2.0)
        self._always *= 2
        self.add(branch.fills)

    def allow(self, parts: ListedParts) -> None:
        """Allow what has one of the parts and nothing else."""
        self._parts = parts
        good = parts.has(self.patterns)
        good[self._always // 2 : self._always] = True
        self._program.bound_columns(np.zeros(len(good)), np.where(good, np.inf, 0.0))

    def price(self, worths: Ints, stop: Stop) -> Fills:
        """The best worth of any fill that is allowed, and the best fills through each length."""
        return self._parts.price(worths, stop)


class _Search:
    """A plan of so many stocks is looked for; a limit that is met raises `OutOfTime`."""

    def __init__(self, stocks: int, stop: Stop, tight: bool) -> None:
        self.found: Ints | None = None
        self._stocks, self._stop, self._tight = stocks, stop, tight
        self._master: _Open | None = None
        self._dives = 0
        self._liked: dict[int, float] = {}
        self._random = np.random.default_rng(0)

    def sides(self, branch: Branch) -> list[Branch]:
        """The branches of a branch, the last to be taken first; none if it holds no plan."""
        solved = self._solved(branch)
        if solved is None:
            for length in branch.decided:
                self._liked[length] = self._liked.get(length, 0.0) + LIKED
            return []
        branch, point = solved
        for piece, other, copies in self._undecided(branch, point):
            parts = branch.parts.lifted(piece).lifted(other)
            both = branch.within(parts, self._stocks_of(branch), self._stop)
            if len(both.parts.rows) <= MOST:
                pair = Pair(piece, other, copies)
                beside = branch.together(pair) if self._tight else both.of(pair, True)
                return [both.of(pair, False), *([] if beside is None else [beside])]
        raise OutOfTime

    def _master_of(self, branch: Branch) -> _Open:
        """One for all branches that have the same bundles, one after another."""
        if self._master is None or self._master.bundles is not branch.bundles:
            self._master = _Open(branch, self._tight)
        self._master.allow(branch.parts)
        return self._master

    def _stocks_of(self, branch: Branch) -> int:
        return self._stocks - len(branch.bundles.full)

    def _solved(self, branch: Branch) -> tuple[Branch, Point] | None:
        """Joined as far as it goes, and an optimum; nothing if it holds no plan or one is found.

        Raises:
            OutOfTime: the stop came first.
        """
        while (solved := self._priced(branch)) is not None and self._tight:
            branch, point = solved
            more = self._joined(branch)
            if more is None:
                return None
            if more.bundles is branch.bundles:
                return more, point
            branch = more
        return solved

    def _priced(self, branch: Branch) -> tuple[Branch, Point] | None:
        """With what pricing shows; nothing if the branch holds no plan or one is found."""
        stocks = self._stocks_of(branch)
        branch = branch.within(branch.parts, stocks, self._stop)
        if not len(branch.parts.rows):
            return None
        if not branch.bundles.kinds:
            self.found = branch.bundles.opened(np.zeros((0, 0), np.int64))
            return None
        master = self._master_of(branch)
        root = generate(master, self._stop, stocks, start=Root(None, branch.proof))
        proof = root.proof or branch.proof
        if proof.bound > stocks:
            return None
        if root.point is None:
            raise OutOfTime
        self._keep(branch, _rounded(root.point, branch.bundles.demand))
        new = replace(branch, fills=master.patterns, worths=proof.worths, best=proof.best)
        return None if self.found is not None else (new if not self._tight else branch, root.point)

    def _joined(self, branch: Branch) -> Branch | None:
        """With all joined that must be; nothing if the branch holds no plan or one is found."""
        stocks, master = self._stocks_of(branch), self._master_of(branch)
        times = AGAIN if branch.times else FIRST
        proofs = optimal(master, times, self._random, self._stop)
        more = branch.learnt(master, proofs, self._stop).forced(self._stocks, self._stop)
        if more is not None and more.bundles is branch.bundles and not len(branch.parts.listed):
            self._dives += 1
            self._keep(branch, dive(master, stocks, self._stop, self._dives))
        return more if self.found is None else None

    def _keep(self, branch: Branch, rows: Ints | None) -> None:
        if rows is not None and len(rows) <= self._stocks_of(branch):
            self.found = branch.bundles.opened(rows)

    def _undecided(self, branch: Branch, point: Point) -> list[tuple[int, int, int]]:
        """Kinds of one bundle with copies of another that are in its stock in part, best first."""
        shares: dict[tuple[int, int, int], float] = defaultdict(float)
        wanted = branch.bundles.demand.wanted.tolist()
        for row, amount in zip(point.patterns.tolist(), point.amounts.tolist(), strict=True):
            items = [item for item, copies in enumerate(row) if copies]
            for piece in (item for item in items if wanted[item] == 1):
                for other in items:
                    if other > piece or wanted[other] > 1:
                        for copies in range(1, row[other] + 1):
                            shares[piece, other, copies] += amount
        liked = [self._liked.get(kind.length, 0.0) for kind in branch.bundles.kinds]
        self._liked = {length: value * FADES for length, value in self._liked.items()}
        far = sorted(
            (abs(share - 0.5) - liked[pair[0]] - liked[pair[1]], pair)
            for pair, share in shares.items()
            if 1e-6 < share < 1 - 1e-6
        )
        return [pair for _, pair in far[:TRIED]]


def _rounded(point: Point, demand: Demand) -> Ints:
    """What an optimum uses in whole, with the rest by best fit, a row a stock."""
    times = np.floor(point.amounts + 1e-6).astype(np.int64)
    whole = np.repeat(point.patterns, times, axis=0)
    left = np.maximum(demand.wanted - whole.sum(axis=0), 0)
    return np.vstack([whole, best_fit(demand.left(left))])
