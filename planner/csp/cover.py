"""The last step: choose from a full list of fills so many that all wanted is given, or show none.

The mixed-integer solver works in floats: what it finds is checked, what it refutes is refuted
again in whole numbers by a small search of our own where that is short enough.
"""

from dataclasses import dataclass

import numpy as np

from planner.csp.bounds import ceil_div
from planner.csp.master import Floats
from planner.csp.values import Demand, Ints
from planner.highs import LinearProgram, sparse
from planner.stop import Stop

__all__ = ["Choice", "choose", "refuted_in_whole_numbers"]


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """``answer`` is "found" (with a row a stock), "refuted" or "open" (limits ran out first)."""

    answer: str
    stocks: Ints | None = None


def choose(
    demand: Demand,
    patterns: Ints,
    stocks: int,
    stop: Stop,
    nodes: int,
    gains: Floats | None = None,
) -> Choice:
    """At most ``stocks`` of the patterns that give all wanted, by a mixed-integer program.

    The fewest that do; with ``gains``, those that gain most and give no more than is wanted.
    """
    if not len(patterns):
        return Choice("refuted" if demand.wanted.any() else "found", patterns)
    wanted = demand.wanted.astype(np.float64)
    count = np.full((1, len(patterns)), 1)
    # Every length is given as often as it is wanted, from no more than so many stocks.
    program = LinearProgram(
        np.append(wanted, 0.0),
        np.append(np.full(len(wanted), np.inf) if gains is None else wanted, float(stocks)),
    )
    program.add(
        np.full(len(patterns), -1.0) if gains is None else gains,
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


def refuted_in_whole_numbers(
    wanted: Ints, patterns: Ints, stocks: int, stop: Stop, nodes: int
) -> bool:
    """No ``stocks`` of the patterns give all wanted: by branching, each leaf a bound in integers.

    At each branch one pattern is used at least once, or not at all. A leaf is closed by whole
    worths of the lengths: all worth wanted over the most that a pattern is worth, rounded up.
    """
    open_ = [(wanted, patterns, stocks)]
    while open_:
        nodes -= 1
        if nodes < 0 or stop.over():
            return False
        wanted, patterns, stocks = open_.pop()
        if not wanted.any():
            return False
        patterns = patterns[(patterns[:, wanted > 0] > 0).any(axis=1)]
        if stocks <= 0 or (patterns.sum(axis=0) == 0)[wanted > 0].any():
            continue
        bound, amounts = _bound(wanted, patterns, stop)
        if bound > stocks:
            continue
        part = np.abs(amounts - np.rint(amounts))
        if not (part > 1e-6).any():
            return False
        at = int(np.argmax(np.where(part > 1e-6, amounts % 1.0, -1.0)))
        others = np.delete(patterns, at, axis=0)
        open_.append((wanted, others, stocks))
        open_.append((np.maximum(wanted - patterns[at], 0), patterns, stocks - 1))
    return True


def _bound(wanted: Ints, patterns: Ints, stop: Stop) -> tuple[int, Floats]:
    """The fewest stocks by whole worths, and the fractional optimum that they come from."""
    program = LinearProgram(wanted.astype(np.float64), np.full(len(wanted), np.inf))
    count = len(patterns)
    program.add(np.full(count, -1.0), np.full(count, np.inf), sparse(patterns.T))
    found = program.solve(stop)
    if found.status != "optimal":
        return 0, np.full(count, 0.5)
    worths = np.floor(np.maximum(-found.duals, 0.0) * 2**30).astype(np.int64)
    best = int((patterns @ worths).max())
    return (ceil_div(int(worths @ wanted), best) if best else 0), found.values
