"""Diving: fix what the fractional optimum is sure of, price again for the rest, until it fits."""

import numpy as np

from planner.cuttingstock.column_generation import generate
from planner.cuttingstock.heuristics import best_fit
from planner.cuttingstock.master import Floats, Master
from planner.cuttingstock.values import Ints
from planner.stop import Stop

__all__ = ["dive"]


def dive(master: Master, target: int, stop: Stop, seed: int = 0) -> Ints | None:
    """Stocks, a row each, that give all wanted with ``target`` of them; nothing if the dive fails.

    Each ``seed`` above 0 is another way down. The master is left as it was found, but for the
    patterns it has learnt.
    """
    whole = master.demand.wanted
    try:
        return _down(master, target, stop, np.random.default_rng(seed) if seed else None)
    finally:
        master.want(whole)


def _down(
    master: Master, target: int, stop: Stop, random: np.random.Generator | None
) -> Ints | None:
    fixed: list[Ints] = []
    while not stop.over():
        wanted = master.demand.wanted
        if not wanted.any():
            return np.array(fixed)
        rest = best_fit(master.demand.left(wanted))
        if len(fixed) + len(rest) <= target:
            return np.array([*fixed, *rest])
        root = generate(master, stop, target - len(fixed))
        if root.point is None or root.point.value > target - len(fixed) + 1e-6:
            return None
        for at, times in _sure(root.point.amounts, random):
            pattern = root.point.patterns[at]
            for _ in range(times):
                if (pattern <= wanted).all():
                    fixed.append(pattern)
                    wanted = wanted - pattern
        master.want(wanted)
    return None


def _sure(amounts: Floats, random: np.random.Generator | None = None) -> list[tuple[int, int]]:
    """Patterns used once or more, in whole; else the one used most."""
    floors = np.floor(amounts + 1e-6).astype(np.int64)
    if floors.any():
        return [(int(at), int(floors[at])) for at in np.flatnonzero(floors)]
    liked = amounts if random is None else amounts * random.uniform(0.3, 1.0, len(amounts))
    return [(int(liked.argmax()), 1)]
