"""Bounds in whole numbers: no plan needs fewer stocks than these."""

import numpy as np
import numpy.typing as npt

from planner.cuttingstock.values import Demand, Ints

__all__ = ["ceil_div", "whole_worths"]

LARGEST = 2**30


def ceil_div(a: int, b: int) -> int:
    """The quotient rounded up."""
    return -(-a // b)


def whole_worths(demand: Demand, duals: npt.NDArray[np.float64]) -> Ints:
    """A solver's worth of each length in whole numbers, so scaled that a fill stays below 2^30."""
    worths = np.maximum(duals, 0.0)
    most = float((worths / demand.lengths).max()) * demand.capacity
    if not np.isfinite(most) or most <= 0:
        return np.ones(len(worths), np.int64)
    return np.floor(worths * (LARGEST / (most * 1.000001))).astype(np.int64)
