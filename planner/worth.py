"""What a leftover is worth to the rack: the third aim's yardstick, in whole micrometres."""

from bisect import bisect_left
from decimal import ROUND_FLOOR, Context, Decimal
from typing import TYPE_CHECKING

from planner.values import Curve, Micrometres, Problem

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

__all__ = ["Worth", "default_worth", "points_worth", "worth_of"]

# Decimal's exp is correctly rounded, so every machine finds the same whole micrometre.
_EXACT = Context(prec=40)


def default_worth(length: Micrometres, keep: Micrometres) -> int:
    """What a leftover of this length is worth when the shop gave no points of its own.

    ``0.97 r - (k/2) exp(-(r - k)/k) - k/30`` for a length r at or over the keep length k, rounded
    down to a whole micrometre, never below nothing; nothing under k.

    Source: the project's own replay of a simulated year, not a published figure.
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


def points_worth(length: Micrometres, keep: Micrometres, points: Curve) -> int:
    """What a leftover is worth by the shop's own points (length, worth).

    Linear between points and along the last slope beyond them; below the first point along the
    first slope; a single point gives worth in proportion to length. Rounded down to a whole
    micrometre, never below nothing; nothing under the keep length.
    """
    if length < keep or length <= 0:
        return 0
    spots = _spots(points)
    right = min(max(1, bisect_left(spots, (length, 0))), len(spots) - 1)
    (x0, w0), (x1, w1) = spots[right - 1], spots[right]
    return max(0, w0 + (w1 - w0) * (length - x0) // (x1 - x0))


def _spots(points: Curve) -> Curve:
    """The points between which worth is linear: nothing at no length before a single one."""
    return points if len(points) > 1 else ((0, 0), *points)


class Worth:
    """The worth function of one profile: call it with a length in micrometres, or with many.

    With a ``margin`` the lengths asked for are what an offcut's rails leave of its usable length:
    where that is anything, the margin that was not needed lies there too.
    """

    def __init__(self, keep: Micrometres, points: Curve | None, margin: Micrometres = 0) -> None:
        self.keep, self.points, self.margin = keep, points, margin
        self._known: dict[int, int] = {}

    def over(self, margin: Micrometres) -> "Worth":
        """The same worth for leftovers that lie within a margin."""
        return self if margin == self.margin else Worth(self.keep, self.points, margin)

    def __call__(self, length: Micrometres) -> int:
        """Worth of one leftover, um."""
        if self.margin and length > 0:
            length += self.margin
        if length not in self._known:
            self._known[length] = (
                default_worth(length, self.keep)
                if self.points is None
                else points_worth(length, self.keep, self.points)
            )
        return self._known[length]

    def many(self, lengths: "npt.NDArray[np.int64]") -> "npt.NDArray[np.int64]":
        """Worths of many leftovers, each the same to the micrometre as asked for alone."""
        import numpy as np

        if self.margin:
            lengths = np.where(lengths > 0, lengths + self.margin, 0)
        if self.points is not None:
            return self._on_points(lengths, self.points)
        if not self.keep:
            return np.maximum(0, lengths * 97 // 100)
        k = self.keep
        value = 0.97 * lengths - k / 2 * np.exp((k - lengths) / k) - k / 30
        worths = np.where(lengths < k, 0, np.maximum(0, np.floor(value))).astype(np.int64)
        # Where floating point can't tell on which side of a whole micrometre it is, ask exactly.
        doubt = np.abs(value - np.rint(value)) < 1e-6 * np.maximum(1.0, lengths / 1e6)
        for place in np.flatnonzero(doubt & (lengths >= k)):
            worths.flat[place] = default_worth(int(lengths.flat[place]), k)
        return worths

    def _on_points(
        self, lengths: "npt.NDArray[np.int64]", points: Curve
    ) -> "npt.NDArray[np.int64]":
        import numpy as np

        spots = np.array(_spots(points), np.int64)
        right = np.clip(np.searchsorted(spots[:, 0], lengths), 1, len(spots) - 1)
        start, rise = spots[right - 1], spots[right] - spots[right - 1]
        value = start[..., 1] + rise[..., 1] * (lengths - start[..., 0]) // rise[..., 0]
        return np.where((lengths < self.keep) | (lengths <= 0), 0, np.maximum(0, value))


def worth_of(problem: Problem, profile: str) -> Worth:
    """The worth function of one profile of a problem, remembered length by length."""
    return Worth(problem.rules_of(profile).keep, problem.worth.get(profile))
