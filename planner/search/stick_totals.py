"""The totals that sticks can have: few, since sticks are few and opened whole."""

from collections.abc import Sequence
from dataclasses import replace
from operator import mul

import numpy as np
import numpy.typing as npt

from planner.columns.restricted_master import scarce_prices
from planner.lp.dual_bound import proven_bound
from planner.model.pool import Pool
from planner.model.rows import Aim, Held, Rows
from planner.model.subproblem import Chosen, Stage
from planner.search.narrowing import listing
from planner.stop import Stop

__all__ = [
    "best_opened", "least_opened", "needed", "openable", "opening_no_more", "room_asked", "spare",
]  # fmt: skip

Ints = npt.NDArray[np.int64]
POSSIBLE = Aim("possible")
# Above so many totals none are counted.
TOTALS = 10_000


def _rooms(rows: Rows, high: int) -> tuple[Ints, Ints] | None:
    """All lengths up to ``high`` that sticks can open together (um), and the most room that each
    of them, with all offcuts, has; None where they are too many."""
    sums, rooms = np.zeros(1, np.int64), np.zeros(1, np.int64)
    rooms += (rows.rooms * rows.caps)[rows.opened == 0].sum()
    for kind in _sticks(rows):
        lengths = _lengths(rows, kind, high)
        own = np.arange(len(lengths)) * rows.rooms[kind]
        some, room = (sums[:, None] + lengths).ravel(), (rooms[:, None] + own).ravel()
        order = np.lexsort((-room, some))
        sums, first = np.unique(some[order], return_index=True)
        rooms = room[order][first][sums <= high]
        sums = sums[sums <= high]
        if len(sums) > TOTALS:
            return None
    return sums, rooms


def needed(rows: Rows, held: Sequence[Held]) -> int:
    """The room that all frames need, um; 0 where not all are cut for sure."""
    cut = sum(h.reached for h in held if isinstance(h.aim, Aim) and h.aim.tier is not None)
    return room_asked(rows) if cut == sum(rows.model.tiers) else 0


def room_asked(rows: Rows) -> int:
    """The room that all frames need, um."""
    return sum(map(mul, rows.model.asked, rows.model.item_sizes))


def spare(rows: Rows, need: int, reached: int) -> int | None:
    """What solutions that open no more leave, together with all offcuts that they do not use."""
    found = _rooms(rows, reached) if need else None
    return None if found is None else int(found[1].max()) - need


def least_opened(rows: Rows, need: int, low: int, high: int) -> int:
    """The least from ``low`` to ``high`` (um) that sticks can open for so much room."""
    found = _rooms(rows, high)
    if found is None:
        return low
    return int(found[0][(found[0] >= low) & (found[1] >= need)].min(initial=high))


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


def best_opened(stage: Stage, best: int, reached: int) -> int:
    """The bound of the least length opened (both below 0), rounded to what sticks can open."""
    return -least_opened(stage.rows, needed(stage.rows, stage.held), -best, -reached)


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
