"""Bounds proven in whole numbers from prices that a floating solver proposes.

Any prices give a bound: what cutting every piece the way its rails are worth most at these prices
yields, plus what the rows' room is worth. Prices are rounded to fractions of one denominator
first, so that no rounding is left in the sums (Lagrange's bound; for cutting stock Farley's, from
"A note on bounding a class of linear programming problems", Operations Research 38, 1990).
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planner.model.subproblem import EXACT, Box, Stage

__all__ = ["Bound", "exact_sum", "fitting", "in_whole_numbers", "proven_bound", "scale_of"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
NOTHING = np.iinfo(np.int64).min
# Prices that would leave what floats hold exactly prove nothing.
LARGEST = EXACT / 4


@dataclass(frozen=True)
class Bound:
    """``total / scale`` is proven, None where nothing is possible at all.

    ``loss[j] / scale`` (0 or below) is lost by each use of column j.
    """

    total: int | None
    scale: int
    loss: Ints
    step: int

    @property
    def whole(self) -> int | None:
        """The bound rounded down to a value the aim can have."""
        if self.total is None:
            return None
        return self.total // (self.scale * self.step) * self.step

    def within(self, reached: int) -> npt.NDArray[np.bool_]:
        """The columns that a solution of at least ``reached`` may use."""
        if self.total is None:
            return np.zeros(len(self.loss), bool)
        return np.asarray(self.loss >= self.scale * reached - self.total)


def proven_bound(stage: Stage, prices: Floats, box: Box | None = None, plain: bool = True) -> Bound:
    """The bound these row prices prove; with ``plain`` false, of feasibility alone (no gains)."""
    box = box or stage.whole
    if float(np.abs(prices) @ stage.widest) > LARGEST:
        prices = np.zeros_like(prices)
    scale = scale_of(stage, prices)
    whole, room = in_whole_numbers(stage, prices, scale)
    gain = scale * int(plain)
    left = gain * stage.gains - stage.priced(whole.astype(np.float64)).astype(np.int64)
    extra = gain * stage.extra_gains - whole @ stage.extra_block
    held = np.where(extra > 0, box.extra_high, box.extra_low)
    pieces, place = _pieces(stage, left, box)
    total = None if pieces is None else room + pieces + exact_sum(extra, held)
    return Bound(total, scale, left - place[stage.pool.kind], stage.step)


def in_whole_numbers(stage: Stage, prices: Floats, scale: int) -> tuple[Ints, int]:
    """Row prices in parts of ``scale``, and what the rows' limits come to at them.

    A price that leans on a limit that its row has not counts for nothing.
    """
    whole = np.rint(prices * scale).astype(np.int64)
    side = np.where(whole > 0, stage.high, stage.low)
    whole[np.isinf(side)] = 0
    return whole, exact_sum(whole, np.where(whole, side, 0).astype(np.int64))


def exact_sum(a: Ints, b: Ints) -> int:
    """A sum of products in Python's unbounded whole numbers."""
    return sum(x * y for x, y in zip(a.tolist(), b.tolist(), strict=True))


def _pieces(stage: Stage, left: Ints, box: Box) -> tuple[int | None, Ints]:
    """The most the pieces yield, each kind cut its best way, and what one more use displaces."""
    kinds, fixed = stage.pool.kind, 0
    low, high = box.kind_low.copy(), box.kind_high.copy()
    for column, least in box.used.items():
        fixed += int(left[column]) * least
        low[kinds[column]] -= least
        high[kinds[column]] -= least
    best = np.full(len(low), NOTHING)
    np.maximum.at(best, kinds[~box.barred], left[~box.barred])
    if (high < 0).any():
        return None, best
    low = np.maximum(low, 0)
    if (high < low).any() or ((best == NOTHING) & (low > 0)).any():
        return None, best
    times = np.where(best > 0, high, low)
    total = fixed + exact_sum(np.where(times > 0, best, 0), times)
    # A use takes the place of the best one, of nothing where the piece may as well be left.
    return total, np.where(low > 0, best, np.maximum(best, 0))


def scale_of(stage: Stage, prices: Floats) -> int:
    """The largest power of two up to 2**30 for which floats hold every column's sum exactly."""
    most = float(np.abs(prices) @ stage.widest) + float(np.abs(stage.gains).max(initial=0)) + 1.0
    return fitting(most, EXACT)


def fitting(most: float, limit: float) -> int:
    """The largest power of two up to 2**30 for which sums of up to ``most`` stay below a limit."""
    return 1 << max(0, min(30, int(np.log2(limit / most)) - 1))
