"""The plain problem's values: what is asked of one stock length, and the answer with its proof."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

__all__ = ["CspLimits", "CspResult", "Demand", "Ints", "Pattern", "demand_of"]

Ints = npt.NDArray[np.int64]
Pattern = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class CspLimits:
    """How long to look: ``seconds`` is the guard, the others limit work and come first.

    ``cells`` is the largest table (items times stock length) that pricing may fill, ``solves``
    the most linear programs of one search in whole numbers.
    """

    seconds: float = 10.0
    cells: int = 60_000_000
    solves: int = 2_000

    def __post_init__(self) -> None:
        if not self.seconds >= 0:
            raise ValueError(f"the limit is {self.seconds} seconds; it cannot be negative")
        if min(self.cells, self.solves) < 1:
            raise ValueError("cells and solves must be at least 1")


@dataclass(frozen=True, slots=True)
class CspResult:
    """Fewest stocks found, a bound that no plan can go below, and how the two were shown to meet.

    ``proof`` is "proven" (in whole numbers throughout) or "open" (``bound`` is below ``value``).
    ``patterns`` are (length, copies) pairs with how often each is cut.
    """

    value: int
    bound: int
    proof: str
    patterns: tuple[tuple[Pattern, int], ...]
    seconds: float


@dataclass(frozen=True, slots=True, eq=False)
class Demand:
    """``lengths`` from long to short, each ``wanted`` so often, from stocks of ``capacity``."""

    capacity: int
    lengths: Ints
    wanted: Ints

    @property
    def fits(self) -> Ints:
        """Copies of each length that one stock can hold, and no more than are wanted."""
        return np.minimum(self.capacity // self.lengths, self.wanted)

    @property
    def total(self) -> int:
        """All that is asked, end to end."""
        return int(self.lengths @ self.wanted)

    def left(self, wanted: Ints) -> "Demand":
        """The same lengths with less of them wanted."""
        return Demand(self.capacity, self.lengths, wanted)

    def rounded(self, unit: int, more: int | Ints) -> "Demand":
        """In a coarser unit, lengths rounded down after so much ``more``.

        With nothing more, what fits still fits. The shortest must be at least a unit long.
        """
        return Demand(self.capacity // unit, (self.lengths + more) // unit, self.wanted)


def demand_of(capacity: int, items: Sequence[tuple[int, int]]) -> Demand:
    """The demand, sorted, with equal lengths together.

    Raises:
        ValueError: a length or demand is not above 0, or a length exceeds the stock.
    """
    counts: Counter[int] = Counter()
    for length, wanted in items:
        if length <= 0 or wanted <= 0:
            raise ValueError(f"length {length} is wanted {wanted} times; both must be above 0")
        if length > capacity:
            raise ValueError(f"length {length} is longer than the stock of {capacity}")
        counts[length] += wanted
    if capacity <= 0:
        raise ValueError(f"the stock is {capacity} long; it must be above 0")
    lengths = sorted(counts, reverse=True)
    return Demand(
        capacity, np.array(lengths, np.int64), np.array([counts[x] for x in lengths], np.int64)
    )


def in_coarsest_unit(demand: Demand) -> Demand:
    """The same problem in the coarsest unit that keeps its lengths whole."""
    unit = math.gcd(*demand.lengths.tolist()) or 1
    return Demand(demand.capacity // unit, demand.lengths // unit, demand.wanted)
