"""The fewest stocks, proven: by hand rule, bound and diving, then by branching on pairs."""

import time
from collections import Counter
from collections.abc import Sequence
from contextlib import suppress

import numpy as np

from planner.cuttingstock.branch_pairs import paired
from planner.cuttingstock.check import faults
from planner.cuttingstock.coarse_knapsack import unit_of
from planner.cuttingstock.column_generation import Proof, Root, generate
from planner.cuttingstock.diving import dive
from planner.cuttingstock.heuristics import best_fit, fullest
from planner.cuttingstock.master import Master
from planner.cuttingstock.values import (
    CspLimits,
    CspResult,
    Demand,
    Ints,
    Pattern,
    demand_of,
    in_coarsest_unit,
)
from planner.errors import PlannerBug
from planner.lp.threads import one_thread
from planner.stop import OutOfTime, Stop, stop_on_interrupt

__all__ = ["solve"]

# Dives before the first search, and where none can follow.
WAYS, MANY = 3, 40
# With less than this share of a stock to lose pieces are joined.
LITTLE = 1e-4


def solve(
    capacity: int, items: Sequence[tuple[int, int]], limits: CspLimits | None = None
) -> CspResult:
    """The fewest stocks of one length that give all the items (length, copies), and the proof.

    Lengths in any one whole unit. Ctrl-C ends it early with the best so far.

    Raises:
        ValueError: a length or demand is not above 0, or a length exceeds the stock.
        PlannerBug: the answer failed its check.
    """
    begun = time.monotonic()
    limits = limits or CspLimits()
    demand = demand_of(capacity, items)
    search = _Search(demand, limits, Stop(limits.seconds * 0.97))
    with one_thread(), stop_on_interrupt(search.stop), suppress(OutOfTime):
        search.run()
    patterns = _patterns(demand, search.stocks)
    value = len(search.stocks)
    if wrong := faults(capacity, items, value, patterns):
        raise PlannerBug(tuple(wrong))
    proof = "open" if value > search.bound else "proven"
    return CspResult(value, search.bound, proof, patterns, time.monotonic() - begun)


class _Search:
    """The best stocks so far (a row each), and the bound below which no plan can go."""

    def __init__(self, demand: Demand, limits: CspLimits, stop: Stop) -> None:
        self.limits, self.stop = limits, stop
        self.demand = in_coarsest_unit(demand)
        self.stocks = best_fit(self.demand)
        # Without better ones a length is worth its share of the stock.
        self._share = Proof(self.demand.lengths, self.demand.capacity, self.demand.total)
        self.bound = self._share.bound

    @property
    def _done(self) -> bool:
        return len(self.stocks) <= self.bound or self.stop.over()

    def run(self) -> None:
        """Close the gap between stocks and bound, step by step, as long as time lasts."""
        plans = self._by_hand()
        if self._done:
            return
        master = Master(self.demand)
        if len(self.demand.lengths) * (self.demand.capacity // master.unit) > self.limits.cells:
            return
        master.add(np.unique(np.vstack(plans), axis=0))
        root = self._proved(generate(master, self.stop, start=Root(None, self._share)))
        for seed in range(WAYS if master.unit == 1 else MANY):
            if not self._done:
                self._found(dive(master, self.bound, self.stop, seed))
        if master.unit > 1:
            return
        while not self._done:
            root = self._proved(generate(master, self.stop, close=0.01, start=root))
            if self._done or root.proof is None or not self._closed(master, root.proof):
                return

    def _by_hand(self) -> list[Ints]:
        """Plans by simple rules, until one meets the bound."""
        plans = [self.stocks]
        if not self._done and unit_of(self.demand) == 1:
            for stocks in fullest(self.demand):
                plans.append(stocks)
                self._found(stocks)
                if self._done:
                    break
        return plans

    def _proved(self, root: Root) -> Root:
        if root.proof:
            self.bound = max(self.bound, root.proof.bound)
        return root

    def _found(self, stocks: Ints | None) -> None:
        if stocks is not None and len(stocks) < len(self.stocks):
            self.stocks = stocks

    def _closed(self, master: Master, proof: Proof) -> bool:
        """Find a plan that meets the bound or raise the bound; whether one of them was done."""
        tight = self.bound - proof.ratio < LITTLE
        choice = paired(
            self.demand, master.patterns, self.bound, self.stop, self.limits.solves, tight
        )
        self._found(choice.stocks)
        if choice.answer == "refuted":
            self.bound += 1
            if not self._done:
                self._found(dive(master, self.bound, self.stop))
        return choice.answer != "open"


def _patterns(demand: Demand, stocks: Ints) -> tuple[tuple[Pattern, int], ...]:
    """Stocks as patterns with their counts, less what they give beyond what is wanted."""
    left = demand.wanted.copy()
    counts: Counter[Pattern] = Counter()
    for stock in stocks:
        cut = np.minimum(stock, left)
        left = left - cut
        used = np.flatnonzero(cut)
        counts[tuple((int(demand.lengths[i]), int(cut[i])) for i in used)] += 1
    return tuple(sorted(counts.items(), reverse=True))
