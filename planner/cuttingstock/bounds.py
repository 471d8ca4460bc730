"""Bounds in whole numbers: no plan needs fewer stocks than these."""

import numpy as np
import numpy.typing as npt

from planner.cuttingstock.values import Demand, Ints

__all__ = ["by_halves", "ceil_div", "whole_worths"]

LARGEST = 2**30


def ceil_div(a: int, b: int) -> int:
    """The quotient rounded up."""
    return -(-a // b)


def by_halves(demand: Demand) -> int:
    """Fewest stocks seen from the pieces longer than half of one, and the room they leave.

    Source: Martello and Toth, Knapsack Problems (1990), bound L2 (from memory).
    """
    size, lengths, wanted = demand.capacity, demand.lengths, demand.wanted
    best = ceil_div(demand.total, size)
    for least in {0, *(int(x) for x in lengths[2 * lengths <= size])}:
        large = wanted[lengths > size - least].sum()
        middle = (2 * lengths > size) & (lengths <= size - least)
        small = (2 * lengths <= size) & (lengths >= least)
        room = int(middle @ wanted) * size - int((middle * lengths) @ wanted)
        more = max(0, ceil_div(int((small * lengths) @ wanted) - room, size))
        best = max(best, int(large) + int(middle @ wanted) + more)
    return best


def whole_worths(demand: Demand, duals: npt.NDArray[np.float64]) -> Ints:
    """A solver's worth of each length in whole numbers, so scaled that a fill stays below 2^30."""
    worths = np.maximum(duals, 0.0)
    most = float((worths / demand.lengths).max()) * demand.capacity
    if not np.isfinite(most) or most <= 0:
        return np.ones(len(worths), np.int64)
    return np.floor(worths * (LARGEST / (most * 1.000001))).astype(np.int64)
