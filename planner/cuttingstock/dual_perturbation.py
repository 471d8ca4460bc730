"""More proofs of the same bound: the optimum of a demand moved a little, and their mean.

Where the worths of the lengths are not unique, one set of them leaves many fills open that another
rules out; the mean of several optimal sets rules out whatever one of them does. Lengths that are
worth just their share of the stock fit almost anywhere: less of them is asked, until they are worth
something else. Then the demand moves away from the fills that are still open but not used, so that
the next worths rule them out.
"""

from collections.abc import Iterator

import numpy as np

from planner.cuttingstock.bounds import whole_worths
from planner.cuttingstock.column_generation import Proof, Root, proof_of
from planner.cuttingstock.knapsack import best_fills
from planner.cuttingstock.master import Floats, Master, Point
from planner.cuttingstock.values import Ints
from planner.stop import Stop

__all__ = ["spread"]

MOVED = 0.005
# Moves away from easy lengths, and then from open fills, at most.
EASED, ROUNDS = 5, 3
# Worths this near to its share of the stock are a length's share.
NEAR = 1e-5


def spread(master: Master, root: Root, stop: Stop) -> Iterator[tuple[Proof, Proof]]:
    """Two proofs at a time: the mean of all optimal worths met until then, and the newest."""
    if root.proof is None or root.point is None:
        return
    demand = master.demand
    random, share = np.random.default_rng(0), demand.lengths / demand.capacity
    mean = total = root.proof.worths / root.proof.best
    eased = rounds = 0
    while rounds < ROUNDS:
        easy = np.abs(mean - share) < NEAR
        if easy.any() and eased < EASED:
            eased += 1
            away = np.where(easy, random.uniform(0.0, 1.0, len(mean)), 0.0)
        else:
            rounds += 1
            idle = _idle(master.patterns, root.point, mean)
            away = idle / max(1, idle.max()) + 0.2 * random.uniform(-1.0, 1.0, len(mean))
        duals = _optimum(master, demand.wanted - MOVED * away, stop)
        if duals is None:
            return
        own = proof_of(demand, whole_worths(demand, duals), stop)
        total = total + own.worths / own.best
        mean = total / (1 + eased + rounds)
        yield proof_of(demand, whole_worths(demand, mean), stop), own


def _idle(patterns: Ints, point: Point, mean: Floats) -> Ints:
    """How often the fills that are open and not used hold each length."""
    open_ = [rows[rows @ mean > 1 - 1e-5].sum(axis=0) for rows in (patterns, point.patterns)]
    return np.asarray(open_[0] - open_[1])


def _optimum(master: Master, moved: Floats, stop: Stop) -> Floats | None:
    """The worths of each length at the optimum of a moved demand."""
    master.shift(moved)
    try:
        while not stop.over():
            point = master.solve(stop)
            if point is None:
                return None
            worths = whole_worths(master.demand, point.duals)
            patterns = best_fills(master.demand, worths, stop).patterns
            if not master.add(patterns[patterns @ point.duals > 1 + 1e-7]):
                return point.duals
        return None
    finally:
        master.want(master.demand.wanted)
