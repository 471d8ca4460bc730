"""What the saw really takes: estimated from planned and measured leftovers, safe against slips."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import isqrt

from stockroom.units.lengths import Micrometres

__all__ = ["ENOUGH", "CutSeen", "Estimate", "estimate"]

ENOUGH = 8
"""Measured cuts below which nothing is said."""
FARTHEST = 3
ERRORS = 2
FINEST_UM = 100
"""A tape is not read finer than this: the least scatter that is believed."""
TAPE_UM = 800
"""How far a tape may read short or long every time: half of 1/16 in, its usual marks."""


@dataclass(frozen=True, slots=True)
class CutSeen:
    """One piece as cut: rails cut from it, the allowance reckoned with, both leftovers, um."""

    rails: int
    allowance: Micrometres
    planned: int
    measured: int

    def __post_init__(self) -> None:
        if self.rails < 1:
            raise ValueError(f"{self.rails} rails: a cut piece has at least one")
        if min(self.allowance, self.planned, self.measured) < 0:
            raise ValueError("an allowance or a leftover cannot be less than nothing")

    @property
    def lost(self) -> int:
        """What all the cuts on this piece took, as measured, um."""
        return self.allowance * self.rails + self.planned - self.measured


@dataclass(frozen=True, slots=True)
class Estimate:
    """The real cut allowance (um), its error, and how far single measurements scatter.

    ``error`` is one standard error; ``slips`` counts the cuts set aside as slips of the tape;
    ``short`` is how much less than there is the tape reads every time, um.
    """

    allowance: Micrometres
    error: int
    scatter: int
    short: int
    cuts: int
    slips: int

    def off(self, setting: int) -> bool:
        """True where a setting differs from the estimate by more than twice its error."""
        return abs(setting - self.allowance) > ERRORS * self.error


def estimate(cuts: Sequence[CutSeen]) -> Estimate | None:
    """The real cut allowance from measured cuts; None where there are fewer than 8.

    A piece with n rails loses n allowances, and one reading of the tape's error whatever n is.
    First the weighted median of loss over n (the least sum of absolute errors). Then least
    squares of the cuts within 3 robust deviations of it (1.4826 times the median absolute
    deviation), for the allowance and for what the tape reads short every time, the latter
    expected within 0.8 mm; the error is that of least squares, so that pieces which all have as
    many rails, and cannot tell the one from the other, claim no more than they know.

    Source: textbook statistics (from memory): least absolute deviations through the origin as a
    weighted median, the deviation of a normal spread from its median absolute deviation, and
    least squares with a normal expectation of one unknown.
    """
    if len(cuts) < ENOUGH:
        return None
    middle = weighted_median([(Fraction(cut.lost, cut.rails), cut.rails) for cut in cuts])
    away = [abs(cut.lost - cut.rails * middle) for cut in cuts]
    near = max(Fraction(FINEST_UM), Fraction(14826, 10000) * sorted(away)[len(away) // 2])
    good = [cut for cut, far in zip(cuts, away, strict=True) if far <= FARTHEST * near]
    allowance, short, share = fitted(good, (near / TAPE_UM) ** 2)
    squares = sum((cut.lost - cut.rails * allowance - short) ** 2 for cut in good)
    scatter = max(FINEST_UM, isqrt(int(squares / max(1, len(good) - 2))))
    error = isqrt(int(scatter**2 * share)) + 1
    return Estimate(max(0, round(allowance)), error, scatter, round(short), len(cuts),
                    len(cuts) - len(good))  # fmt: skip


def fitted(cuts: Sequence[CutSeen], trust: Fraction) -> tuple[Fraction, Fraction, Fraction]:
    """The allowance, what the tape reads short, and the allowance's variance over a reading's.

    ``trust`` is a reading's variance over that of what the tape reads short every time.
    """
    count = len(cuts) + trust
    rails, squares = sum(cut.rails for cut in cuts), sum(cut.rails**2 for cut in cuts)
    lost = sum(cut.lost for cut in cuts)
    both = sum(cut.rails * cut.lost for cut in cuts)
    size = squares * count - rails**2
    return ((both * count - rails * lost) / size, (squares * lost - rails * both) / size,
            count / size)  # fmt: skip


def weighted_median(values: Sequence[tuple[Fraction, int]]) -> Fraction:
    """The value below and above which lies half of the weight."""
    half, passed = sum(weight for _, weight in values) / 2, 0
    for value, weight in sorted(values):
        passed += weight
        if passed >= half:
            return value
    raise ValueError("no values have no median")
