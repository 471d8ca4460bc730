"""All fills still open, by as many proofs as it takes to make them few."""

from dataclasses import dataclass

from planner.cuttingstock.column_generation import Proof, Root
from planner.cuttingstock.dual_perturbation import spread
from planner.cuttingstock.enumeration import list_fills
from planner.cuttingstock.master import Master
from planner.cuttingstock.values import CspLimits, Ints
from planner.stop import Stop

__all__ = ["Open", "open_fills"]

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
