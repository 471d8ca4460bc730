"""All fills still open, by as many proofs as it takes; and a dive that ends in such a list.

Where the list is too long, a dive fixes what is sure until the list for the rest is short enough.
"""

from dataclasses import dataclass

import numpy as np

from planner.csp.cover import choose
from planner.csp.diving import sure
from planner.csp.generation import Proof, Root, generate
from planner.csp.listing import list_fills
from planner.csp.master import Master
from planner.csp.spread import spread
from planner.csp.values import CspLimits, Ints
from planner.stop import Stop

__all__ = ["LONG", "Open", "deep_dive", "open_fills"]

SHORT = 5_000
# More than these are no help to the mixed-integer solver, which then overruns its time.
LONG = 20_000


@dataclass(frozen=True, slots=True, eq=False)
class Open:
    """The fills still open, if they are few enough, and the proofs that rule out the others."""

    fills: Ints | None
    proofs: tuple[Proof, ...]


def open_fills(master: Master, root: Root, stocks: int, limits: CspLimits, stop: Stop) -> Open:
    """The list of fills that a plan of so many stocks could use, or nothing if it stays too long.

    More proofs are sought until the list is short. The first proof given back is their mean.
    """
    if root.proof is None:
        return Open(None, ())
    proofs = used = [root.proof]
    fills = list_fills(master.demand, proofs, stocks, limits.patterns, stop)
    if fills is not None and len(fills) <= SHORT:
        return Open(fills, tuple(used))
    for mean, newest in spread(master, root, stop):
        proofs = [*proofs, newest]
        used = [mean, *proofs[-3:]]
        shorter = list_fills(master.demand, used, stocks, limits.patterns, stop)
        if shorter is not None and (fills is None or len(shorter) < len(fills)):
            fills = shorter
        if (fills is not None and len(fills) <= SHORT) or stop.over():
            break
    return Open(fills if fills is not None and len(fills) <= LONG else None, tuple(used))


def deep_dive(master: Master, target: int, limits: CspLimits, stop: Stop) -> Ints | None:
    """Stocks, a row each, that give all wanted with ``target`` of them; nothing if it fails."""
    whole = master.demand.wanted
    fixed: list[Ints] = []
    try:
        while not stop.over() and master.demand.wanted.any():
            left = target - len(fixed)
            root = generate(master, stop, close=0.01)
            if root.point is None or root.proof is None or root.proof.bound > left:
                return None
            fills = open_fills(master, root, left, limits, stop).fills if fixed else None
            if fills is not None:
                choice = choose(master.demand, fills, left, stop, limits.nodes)
                return None if choice.stocks is None else np.array([*fixed, *choice.stocks])
            wanted = master.demand.wanted
            for at, times in sure(root.point.amounts):
                fixed += [master.patterns[at]] * times
                wanted = wanted - times * master.patterns[at]
            master.want(np.maximum(wanted, 0))
        return None
    finally:
        master.want(whole)
