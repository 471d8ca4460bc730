"""The totals that sticks can have: few, since sticks are few and opened whole."""

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from planner.columns.restricted_master import scarce_prices
from planner.lp.dual_bound import proven_bound
from planner.model.pool import Pool
from planner.model.rows import Aim, Held, Rows
from planner.model.subproblem import Chosen, Stage
from planner.search.narrowing import listing
from planner.stop import Stop

__all__ = ["best_opened", "openable", "opening_no_more", "totals"]

Ints = npt.NDArray[np.int64]
POSSIBLE = Aim("possible")
# Above so many totals none are counted.
TOTALS = 10_000


def totals(rows: Rows, low: int, high: int) -> list[int] | None:
    """All lengths from ``low`` to ``high`` (um) that sticks can open together; None: too many."""
    sums = np.zeros(1, np.int64)
    for kind in _sticks(rows):
        sums = _with_more(rows, kind, sums, high)
        if len(sums) > TOTALS:
            return None
    return [int(total) for total in sums if total >= low]


def openable(rows: Rows, low: int, high: int) -> dict[int, int]:
    """How many sticks of each kind are at most in a choice of ``low`` to ``high`` (um) together."""
    kinds = _sticks(rows)
    after = [np.zeros(1, np.int64)]
    for kind in reversed(kinds[1:]):
        after.append(_with_more(rows, kind, after[-1], high))
        if len(after[-1]) > TOTALS:
            return {kind: len(_lengths(rows, kind, high)) - 1 for kind in kinds}
    before, found = after[0], {}
    for kind in kinds:
        rest, lengths = after.pop(), _lengths(rows, kind, high)
        some = before[:, None] + lengths
        first = np.searchsorted(rest, low - some)
        met = (first < np.searchsorted(rest, high - some, side="right")).any(axis=0)
        found[kind] = int(np.flatnonzero(met).max(initial=0))
        before = _with_more(rows, kind, before, high)
    return found


def _sticks(rows: Rows) -> list[int]:
    """The kinds of sticks there are."""
    return [int(kind) for kind in np.flatnonzero((rows.opened > 0) & (rows.caps > 0))]


def _lengths(rows: Rows, kind: int, high: int) -> Ints:
    """What sticks of one kind can open, up to ``high``: none, one, and so on."""
    times = min(int(rows.caps[kind]), high // int(rows.opened[kind]))
    return np.asarray(np.arange(times + 1) * rows.opened[kind])


def _with_more(rows: Rows, kind: int, sums: Ints, high: int) -> Ints:
    """All sums up to ``high`` with sticks of one kind more."""
    found = np.unique(sums[:, None] + _lengths(rows, kind, high))
    return found[found <= high]


def best_opened(rows: Rows, best: int, reached: int) -> int:
    """The bound of the least length opened (both below 0), rounded to what sticks can open."""
    return -(totals(rows, -best, -reached) or [-best])[0]


def opening_no_more(stage: Stage, chosen: Chosen, stop: Stop) -> Pool | None:
    """All columns of solutions that open no more than this; None if they are too many.

    Prices of the length opened tell little apart, since offcuts cost nothing; those of scarcity do.
    """
    reached = stage.value(chosen)
    stage = replace(stage, aim=POSSIBLE, held=(*stage.held, Held(stage.aim, reached)))
    lengths = stage.rows.opened[_sticks(stage.rows)]
    room = max(-reached, int(lengths.min(initial=-reached)) // 2)
    prices, stage = scarce_prices(stage, chosen, room, stop)
    return listing(stage, prices, proven_bound(stage, prices), stop)(0)
