"""How odds came out: of the lines that said one in so many, how many fell short.

Lines are grouped by what they said, since rare and frequent ones hide each other's faults. Chance
alone spreads a sum of outcomes by the root of the sum of p (1 - p); lines of weekly lists share
days, so that each is worth the share of its days that is its own.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stockroom.buying.order_terms import REVIEW_DAYS

__all__ = ["KeptOdds", "OddsBand", "banded", "brier_score"]

UP_TO = (0.02, 0.1, 0.3, 1.0)
"""The bands: up to one in fifty, one in ten, three in ten, and more."""
FEWEST = 12
"""With fewer lines nothing is said: chance alone would speak."""
FAR = 2.5


@dataclass(frozen=True, slots=True)
class KeptOdds:
    """The odds of falling short that a line told for so many days, and whether it did."""

    short: float
    days: int
    fell_short: bool


@dataclass(frozen=True, slots=True)
class OddsBand:
    """Lines that said much the same: how many, how many fell short, how many of them should have,
    and by how much chance alone may miss that."""

    lines: int
    fell: int
    expected: float
    spread: float

    @property
    def said(self) -> float:
        """The odds that they said, in the mean."""
        return self.expected / self.lines

    @property
    def off(self) -> int:
        """1 where more fell short than chance explains, -1 where fewer did, else 0."""
        miss = self.fell - self.expected
        return 0 if abs(miss) <= FAR * max(self.spread, 0.5) else (1 if miss > 0 else -1)


def banded(kept: Sequence[KeptOdds]) -> list[OddsBand]:
    """The bands with lines enough to tell, rarest first; one of all lines where no band has."""
    each = [[one for one in kept if low < one.short <= high]
            for low, high in zip((-1.0, *UP_TO), UP_TO, strict=False)]  # fmt: skip
    found = [band_of(lines) for lines in each if len(lines) >= FEWEST]
    return found or ([band_of(kept)] if len(kept) >= FEWEST else [])


def band_of(kept: Sequence[KeptOdds]) -> OddsBand:
    """These lines as one band."""
    spread = sum(one.short * (1 - one.short) * max(1.0, one.days / REVIEW_DAYS) for one in kept)
    return OddsBand(len(kept), sum(one.fell_short for one in kept),
                    sum(one.short for one in kept), spread**0.5)  # fmt: skip


def brier_score(told: Iterable[tuple[float, bool]]) -> float:
    """The mean square of odds less what came, 1 or 0: nothing is best.

    Source: G. W. Brier, "Verification of forecasts expressed in terms of probability", Monthly
    Weather Review 78 (1950), half of his sum over both outcomes, from memory.

    Raises:
        ValueError: nothing was told.
    """
    squares = [(short - came) ** 2 for short, came in told]
    if not squares:
        raise ValueError("no odds to score")
    return sum(squares) / len(squares)
