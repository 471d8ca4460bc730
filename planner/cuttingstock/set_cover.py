"""Choose from a full list of fills so many that all wanted is given, by the floating solver.

What it finds is checked; what it refutes is only said to be.
"""

from dataclasses import dataclass

import numpy as np

from planner.cuttingstock.values import Demand, Ints
from planner.lp.highs import LinearProgram
from planner.lp.sparse import sparse
from planner.stop import Stop

__all__ = ["Choice", "choose"]


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """``answer`` is "found" (with a row a stock), "refuted" or "open" (limits ran out first)."""

    answer: str
    stocks: Ints | None = None


def choose(demand: Demand, patterns: Ints, stocks: int, stop: Stop, nodes: int) -> Choice:
    """At most ``stocks`` of the patterns that give all wanted, by a mixed-integer program."""
    if not len(patterns):
        return Choice("refuted" if demand.wanted.any() else "found", patterns)
    wanted = demand.wanted.astype(np.float64)
    count = np.full((1, len(patterns)), 1)
    # Every length is given as often as it is wanted, from no more than so many stocks.
    program = LinearProgram(
        np.append(wanted, 0.0),
        np.append(np.full(len(wanted), np.inf), float(stocks)),
    )
    program.add(
        np.full(len(patterns), -1.0),
        np.full(len(patterns), np.inf),
        sparse(np.vstack([patterns.T, count])),
    )
    found = program.solve_whole(stop, nodes=nodes)
    if found.status == "infeasible":
        return Choice("refuted")
    if len(found.values) != len(patterns):
        return Choice("open")
    times = np.rint(found.values).astype(np.int64)
    if times.min() < 0 or times.sum() > stocks or (times @ patterns < demand.wanted).any():
        return Choice("open")
    return Choice("found", np.repeat(patterns, times, axis=0))
