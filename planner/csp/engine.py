"""The fewest stocks, proven: by hand rule, bound and diving, and last by a full list of fills."""

import time
from collections import Counter
from collections.abc import Sequence
from contextlib import suppress

import numpy as np

from planner.csp.block import Joined, hard_fills, hard_lengths, used_as
from planner.csp.bounds import by_halves
from planner.csp.branching import branched
from planner.csp.check import faults
from planner.csp.cover import choose
from planner.csp.deep import LONG, Open, deep_dive, open_fills
from planner.csp.diving import dive
from planner.csp.generation import Proof, Root, generate, proof_of
from planner.csp.hand import best_fit, fullest
from planner.csp.listing import within
from planner.csp.master import Master
from planner.csp.values import CspLimits, CspResult, Demand, Ints, Pattern, demand_of, tightened
from planner.errors import PlannerBug
from planner.stop import OutOfTime, Stop, stop_on_interrupt

__all__ = ["solve"]

ROUNDS = 16
WAYS = 4
AGAIN = 2
FEW = 300


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
    with stop_on_interrupt(search.stop), suppress(OutOfTime):
        search.run()
    patterns = _patterns(demand, search.stocks)
    value = len(search.stocks)
    if wrong := faults(capacity, items, value, patterns):
        raise PlannerBug(tuple(wrong))
    proof = "open" if value > search.bound else search.proof
    return CspResult(value, search.bound, proof, patterns, time.monotonic() - begun)


class _Search:
    """The best stocks so far (a row each), and the bound below which no plan can go."""

    def __init__(
        self, demand: Demand, limits: CspLimits, stop: Stop, aim: int | None = None
    ) -> None:
        """With an ``aim``, no plan has fewer stocks, and one of more is of no use."""
        self.limits, self.stop, self.aim = limits, stop, aim
        self.demand = tightened(demand)
        self.stocks = best_fit(self.demand)
        self.bound = max(by_halves(self.demand), aim or 0)
        self.proof = "proven"

    @property
    def _done(self) -> bool:
        useless = self.aim is not None and self.bound > self.aim
        return useless or len(self.stocks) <= self.bound or self.stop.over()

    def run(self, worths: Ints | None = None) -> None:
        """Close the gap between stocks and bound, step by step, as long as time lasts.

        ``worths`` of the lengths, if good ones are known, are where pricing starts.
        """
        cells = len(self.demand.lengths) * (self.demand.capacity + 1)
        plans = self._by_hand()
        if self._done or cells > self.limits.cells:
            return
        master = Master(self.demand)
        master.add(np.unique(np.vstack(plans), axis=0))
        # Without better ones a length is worth its share of the stock.
        worths = self.demand.lengths if worths is None else worths
        known = Root(None, proof_of(self.demand, worths, self.stop), False)
        root = self._proved(generate(master, self.stop, self.aim, start=known))
        for seed in range(2 if self.aim is None else WAYS):
            if not self._done:
                self._found(dive(master, self.bound, self.stop, seed))
        while not self._done:
            root = self._proved(generate(master, self.stop, close=0.01, start=root))
            if self._done or not self._listed(master, root):
                return

    def _by_hand(self) -> list[Ints]:
        """Plans by simple rules, until one meets the bound."""
        plans = [self.stocks]
        if not self._done:
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

    def _listed(self, master: Master, root: Root) -> bool:
        """Find a plan that meets the bound or raise the bound; whether one of them was done."""
        target, demand, stop = self.bound, self.demand, self.stop
        still = open_fills(master, root, target, self.limits, stop)
        known = within(master.patterns, still.proofs, target)
        if still.fills is not None:
            master.add(still.fills)
        # With all fills at hand a dive is quick, where branching on many is not.
        for seed in range(1, AGAIN + 1):
            if not self._done:
                self._found(dive(master, target, stop, seed))
        if not self._done and (still.fills is None or len(still.fills) > 2 * len(known)):
            # A plan is often among the fills that were known, which are few.
            self._found(branched(demand.wanted, known, target, stop, FEW).stocks)
        if self._done:
            return True
        if still.fills is None:
            return bool(still.proofs) and self._parted(master, root, still)
        return self._gone_through(master, still.fills)

    def _gone_through(self, master: Master, fills: Ints) -> bool:
        """A plan of these fills, or a higher bound; whether one of them was found."""
        target, demand, stop = self.bound, self.demand, self.stop
        choice = branched(demand.wanted, fills, target, stop, self.limits.solves)
        if choice.answer == "refuted":
            self._refuted(master)
        elif choice.answer == "open":
            choice = choose(demand, fills, target, stop, self.limits.nodes)
            if choice.answer == "refuted":
                self._refuted(master, False)
        self._found(choice.stocks)
        return choice.answer != "open"

    def _parted(self, master: Master, root: Root, still: Open) -> bool:
        """The same for the hard lengths alone, then for the rest around them."""
        target, demand, stop = self.bound, self.demand, self.stop
        hard = hard_lengths(demand, still.proofs[0])
        fills = hard_fills(demand, hard, still.proofs, target, self.limits, stop)
        if hard.any() and fills is not None and len(fills) <= LONG:
            part = Demand(demand.capacity, demand.lengths[hard], demand.wanted[hard])
            random, used = np.random.default_rng(0), used_as(master, root, hard, fills)
            tried: set[bytes] = set()
            for round_ in range(ROUNDS if self.aim is None else 2):
                # The fractional optimum knows what goes with the other lengths.
                noise = random.uniform(0, 1, (2, len(fills)))
                gains = used * (noise[0] if round_ else 1) + noise[1] * (0.3 * round_ / ROUNDS)
                choice = choose(part, fills, target, stop, self.limits.nodes, gains)
                if choice.answer == "refuted":
                    sure = branched(part.wanted, fills, target, stop, self.limits.solves)
                    self._refuted(master, sure.answer == "refuted")
                    return True
                if choice.stocks is None:
                    break
                joined = Joined(demand, hard, choice.stocks)
                # The same pieces to cut around give the same answer again.
                if joined.key not in tried and self._joined(joined, still.proofs[0]):
                    break
                tried.add(joined.key)
        if not self._done and self.aim is None:
            self._found(deep_dive(master, target, self.limits, stop))
        return False

    def _joined(self, joined: Joined, mean: Proof) -> bool:
        """Cut the rest around the joined pieces of the hard lengths, in the same way."""
        rest = _Search(joined.demand, self.limits, self.stop, self.bound)
        rest.run(joined.worths(mean))
        if len(rest.stocks) <= self.bound:
            self._found(joined.parted(rest.stocks))
        return self._done

    def _refuted(self, master: Master, confirmed: bool = True) -> None:
        """Raise the bound, and try to meet it."""
        if not confirmed:
            self.proof = "refuted in floats"
        self.bound += 1
        if not self._done:
            self._found(dive(master, self.bound, self.stop))


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
