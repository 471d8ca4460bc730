"""The planner's question to a solver: whole numbers, linear rows, and aims in strict order."""

from dataclasses import dataclass, field

__all__ = ["Aim", "Answer", "Program"]

Terms = dict[int, int]


@dataclass(frozen=True, slots=True)
class Aim:
    """One aim: the most of a sum; ``known`` is a bound on it proven elsewhere, if any."""

    name: str
    terms: Terms
    known: int | None = None


@dataclass(slots=True)
class Program:
    """Variables 0..n-1 between 0 and ``most``, rows ``low <= sum <= high``, aims in order."""

    most: list[int] = field(default_factory=list)
    rows: list[tuple[Terms, int, int]] = field(default_factory=list)
    aims: list[Aim] = field(default_factory=list)

    def variable(self, most: int) -> int:
        """Add a variable from 0 to ``most``; its number."""
        self.most.append(most)
        return len(self.most) - 1

    def row(self, terms: Terms, low: int, high: int) -> None:
        """Add a row ``low <= sum of terms <= high``."""
        self.rows.append((terms, low, high))


@dataclass(frozen=True, slots=True)
class Answer:
    """Values of the variables, and each aim's proven bound; None where nothing was proven."""

    values: tuple[int, ...]
    bounds: tuple[int | None, ...]
