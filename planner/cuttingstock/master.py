"""The restricted master: the least stocks, in fractions, over the patterns known so far."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planner.cuttingstock.coarse_knapsack import COARSER, fills_worth, quick_fills, unit_of
from planner.cuttingstock.fills import Fills, best_fills
from planner.cuttingstock.values import Demand, Ints
from planner.lp.highs import LinearProgram
from planner.stop import Stop

__all__ = ["Master", "Point"]

Floats = npt.NDArray[np.float64]
# With more patterns than MOST times the lengths all go but the LEAST times best: a program of few
# is solved several times as quickly, and what is missed is priced again.
MOST, LEAST = 10, 4
# No more pieces than this are few in a stock.
FEW_PIECES = 16
# Less of a pattern is none.
NOTHING = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Point:
    """A fractional optimum: its value, how much of which patterns, the worth of each length."""

    value: float
    patterns: Ints
    amounts: Floats
    duals: Floats


class Master:
    """Covers what is wanted with patterns; patterns may be added, and less may be wanted."""

    def __init__(self, demand: Demand, growing: bool = True) -> None:
        """``growing`` suits many solves with patterns added between."""
        self.demand = demand
        self.unit = unit_of(demand)
        self._coarser = COARSER if self.unit > 1 else 0
        self._blocks: list[Ints] = []
        self._known: set[bytes] = set()
        wanted = demand.wanted.astype(np.float64)
        self._program = LinearProgram(wanted, np.full(len(wanted), np.inf), growing)
        # One piece alone in a stock is a pattern of any demand that still wants it.
        self.add(np.eye(len(wanted), dtype=np.int64))
        self._always = len(wanted)

    def price(self, worths: Ints, stop: Stop) -> Fills:
        """The best worth of any fill that is allowed, and the best fills through each length."""
        if self.unit == 1:
            return best_fills(self.demand, worths, stop)
        if self._coarser:
            return quick_fills(self.demand, worths, self._coarser * self.unit, stop)
        patterns, wanted = self.patterns, self.demand.wanted
        known = int((patterns @ worths)[(patterns <= wanted).all(axis=1)].max(initial=0))
        return fills_worth(self.demand, worths, known, self.unit, stop)

    def finer(self) -> bool:
        """Price more exactly from now on; whether it was not done before."""
        coarser, demand = self._coarser, self.demand
        # Where few pieces fill a stock, exact fills are few as well.
        few = FEW_PIECES * int(demand.lengths[-1]) > demand.capacity
        self._coarser = 0 if few else coarser // COARSER
        return coarser > 0

    def add(self, patterns: Ints) -> int:
        """Add the patterns that are not yet known; how many they were."""
        new = []
        for pattern in patterns:
            key = pattern.tobytes()
            if key not in self._known:
                self._known.add(key)
                new.append(pattern)
        if new:
            self._append(np.array(new), 1.0)
        return len(new)

    def _append(self, table: Ints, cost: float) -> None:
        count = len(table)
        self._program.add(np.full(count, -cost), np.full(count, np.inf), table.T)
        self._blocks.append(table)

    @property
    def patterns(self) -> Ints:
        """All patterns, a row each, in the order they were added."""
        if len(self._blocks) > 1:
            self._blocks = [np.vstack(self._blocks)]
        return self._blocks[0]

    def want(self, wanted: Ints) -> None:
        """Ask for less; patterns that would give more than is wanted of a length are shut."""
        self.demand = self.demand.left(wanted)
        self._program.bound_rows(wanted.astype(np.float64), np.full(len(wanted), np.inf))
        highs = np.where((self.patterns > wanted).any(axis=1), 0.0, np.inf)
        self._program.bound_columns(np.zeros(len(highs)), highs)

    def lean(self, wanted: Floats) -> None:
        """Ask for a little more or less, in fractions."""
        self._program.bound_rows(wanted, np.full(len(wanted), np.inf))

    def solve(self, stop: Stop) -> Point | None:
        """The fractional optimum, or nothing if time ran out first."""
        found = self._program.solve(stop)
        if found.status != "optimal":
            return None
        patterns, duals = self.patterns, -found.duals
        used = found.values > NOTHING
        if len(patterns) > MOST * len(duals):
            self._trim(duals)
        return Point(-found.value, patterns[used], found.values[used], duals)

    def _trim(self, duals: Floats) -> None:
        """Take the patterns of least worth away, but none that stands in the optimum's basis."""
        patterns = self.patterns
        worths = patterns @ duals
        # What is shut stays only where there is room: else it drives out what a dive still needs.
        worths[(patterns > self.demand.wanted).any(axis=1)] = -np.inf
        worths[: self._always] = np.inf
        worths[self._program.basic_columns()] = np.inf
        kept = np.zeros(len(worths), np.bool_)
        kept[np.argsort(-worths, kind="stable")[: LEAST * len(duals)]] = True
        self._program.keep_columns(kept)
        self._known.difference_update(pattern.tobytes() for pattern in patterns[~kept])
        self._blocks = [patterns[kept]]
