"""Column generation: price, add, solve again, until the bound in whole numbers says enough."""

from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from planner.cuttingstock.master import Floats, Master, Point
from planner.cuttingstock.values import Demand, Ints
from planner.stop import OutOfTime, Stop

__all__ = ["Proof", "Root", "generate", "priced", "whole_worths"]

CLOSE = 1e-6
# No fill is worth more in whole numbers.
LARGEST = 2**30
# How much of the worths that are priced comes from the best proof so far.
SMOOTH = 0.9


@dataclass(frozen=True, slots=True, eq=False)
class Proof:
    """Whole worths of each length and the most worth of any fill: all that a bound needs.

    Source: Farley, A note on bounding a class of linear programming problems (1990).
    """

    worths: Ints
    best: int
    asked: int

    @property
    def ratio(self) -> Fraction:
        """Stocks that no plan can go below, before rounding up."""
        return Fraction(self.asked, self.best)

    @property
    def bound(self) -> int:
        """Fewest stocks."""
        return -(-self.asked // self.best)


@dataclass(frozen=True, slots=True, eq=False)
class Root:
    """Where column generation ended: the last fractional optimum, and the best proof on the way."""

    point: Point | None
    proof: Proof | None


def generate(
    master: Master,
    stop: Stop,
    enough: int | None = None,
    close: float | None = None,
    start: Root | None = None,
) -> Root:
    """Price until the bound meets the optimum, rounded up.

    With ``enough``, until so many stocks are shown to do or not to do; with ``close``, until bound
    and optimum are that near before rounding, as a share of the gap that rounding leaves.
    """
    demand, proof, point = master.demand, None, None
    centre: Floats | None = demand.lengths / demand.capacity
    if start is not None and start.proof is not None:
        proof = start.proof
        centre = proof.worths / proof.best
    with suppress(OutOfTime):
        while not stop.over():
            point = master.solve(stop) or point
            if point is None or stop.over():
                break
            if enough is not None and point.value <= enough + CLOSE:
                return Root(point, proof)
            duals = point.duals if centre is None else SMOOTH * centre + (1 - SMOOTH) * point.duals
            new, fills = priced(master, duals, stop)
            if proof is None or new.ratio > proof.ratio:
                proof, centre = new, duals
            if _settled(point, proof, enough, close):
                return Root(point, proof)
            if not _improved(master, point.duals, fills):
                new, fills = priced(master, point.duals, stop)
                if new.ratio > proof.ratio:
                    proof, centre = new, point.duals
                settled = _settled(point, proof, enough, close)
                if settled or not (_improved(master, point.duals, fills) or master.finer()):
                    return Root(point, proof)
    return Root(point, proof)


def whole_worths(demand: Demand, duals: Floats) -> Ints:
    """A solver's worth of each length in whole numbers, so scaled that a fill stays below 2^30."""
    worths = np.maximum(duals, 0.0)
    most = float((worths / demand.lengths).max()) * demand.capacity
    if not np.isfinite(most) or most <= 0:
        return np.ones(len(worths), np.int64)
    return np.floor(worths * (LARGEST / (most * 1.000001))).astype(np.int64)


def priced(master: Master, duals: Floats, stop: Stop) -> tuple[Proof, Ints]:
    """The bound of some worths, and the fills that are worth most."""
    worths = whole_worths(master.demand, duals)
    fills = master.price(worths, stop)
    proof = Proof(worths, fills.best, int(worths @ master.demand.wanted))
    return proof, fills.patterns


def _improved(master: Master, duals: Floats, patterns: Ints) -> bool:
    return master.add(patterns[patterns @ duals > 1 + 1e-8]) > 0


def _settled(point: Point, proof: Proof, enough: int | None, close: float | None) -> bool:
    """The bound is as good as the optimum, and near enough to it to leave few patterns open."""
    if enough is not None:
        return proof.bound > enough
    bound = proof.bound
    if close is None:
        return bound >= point.value - CLOSE
    return point.value - float(proof.ratio) <= close * (bound - point.value) + CLOSE
