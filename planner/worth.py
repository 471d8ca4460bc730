"""What a leftover is worth to the rack: the third aim's yardstick, in whole micrometres."""

import itertools
from collections.abc import Callable
from decimal import ROUND_FLOOR, Context, Decimal
from functools import lru_cache

from planner.values import Curve, Problem

__all__ = ["Worth", "default_worth", "points_worth", "worth_of"]

Worth = Callable[[int], int]

# Decimal's exp is correctly rounded, so every machine finds the same whole micrometre.
_EXACT = Context(prec=40)


def default_worth(length: int, keep: int) -> int:
    """What a leftover of this length is worth when the shop gave no points of its own.

    ``0.97 r - (k/2) exp(-(r - k)/k) - k/30`` for a length r at or over the keep length k, rounded
    down to a whole micrometre, never below nothing; nothing under k.

    Source: the mission's design page, section 4 (a simulated year), not a published figure.
    """
    if length < keep or length <= 0:
        return 0
    r, k = Decimal(length), Decimal(keep)
    decay = _EXACT.exp(_EXACT.divide(k - r, k)) if keep else Decimal(0)
    value = _EXACT.subtract(
        _EXACT.multiply(Decimal("0.97"), r),
        _EXACT.add(_EXACT.multiply(k / 2, decay), _EXACT.divide(k, Decimal(30))),
    )
    return max(0, int(value.to_integral_value(ROUND_FLOOR)))


def points_worth(length: int, keep: int, points: Curve) -> int:
    """What a leftover is worth by the shop's own points (length, worth).

    Linear between points and along the last slope beyond them; below the first point along the
    first slope; a single point gives worth in proportion to length. Rounded down to a whole
    micrometre, never below nothing; nothing under the keep length.
    """
    if length < keep or length <= 0:
        return 0
    (x0, w0), (x1, w1) = _segment(length, points)
    return max(0, w0 + (w1 - w0) * (length - x0) // (x1 - x0))


def _segment(length: int, points: Curve) -> tuple[tuple[int, int], tuple[int, int]]:
    if len(points) == 1:
        return (0, 0), points[0]
    for left, right in itertools.pairwise(points):
        if length <= right[0]:
            return left, right
    return points[-2], points[-1]


def worth_of(problem: Problem, profile: str) -> Worth:
    """The worth function of one profile of a problem, remembered length by length."""
    keep, points = problem.rules_of(profile).keep, problem.worth.get(profile)
    if points is None:
        return lru_cache(maxsize=None)(lambda length: default_worth(length, keep))
    return lru_cache(maxsize=None)(lambda length: points_worth(length, keep, points))
