"""The fills worth most where a stock is too long for a table of every room in it.

In a coarser unit lengths are rounded up to find fills, and down for what a room may at most be
worth. By the latter fills are then built exactly, the longest piece first, as far as each may still
be worth enough: few are, so this ends soon, and where it does not the best of them go on.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planner.columns.knapsack import Table
from planner.cuttingstock.fills import Fills, best_fills, completions
from planner.cuttingstock.values import Demand, Ints
from planner.stop import Stop

__all__ = ["COARSER", "fills_worth", "quick_fills", "unit_of"]

# Tables of every room have so many cells at most, coarser ones about so few.
LARGE, FEW = 16_000_000, 4_000_000
# How much coarser the unit is at first, and how many units the shortest length has at least.
COARSER, SHORT = 4, 16
# Fills under way at a time at most, or else the best of them that go on; and fills read back.
WIDEST, NARROW, MOST = 5_000, 1_000, 4_000


def unit_of(demand: Demand) -> int:
    """The unit that tables of rooms are kept in: 1 where they are not too large in it."""
    cells = demand.capacity * len(demand.lengths)
    if cells <= LARGE:
        return 1
    return max(1, min(cells // FEW, int(demand.lengths[-1]) // SHORT))


def quick_fills(demand: Demand, worths: Ints, unit: int, stop: Stop) -> Fills:
    """Good fills through each length, and a worth that no fill exceeds."""
    fills = best_fills(demand.rounded(unit, unit - 1), worths, stop)
    best = completions(demand.rounded(unit, 0), worths)[0, -1]
    return Fills(int(best), fills.patterns, fills.worths, fills.begun)


def fills_worth(demand: Demand, worths: Ints, least: int, unit: int, stop: Stop) -> Fills:
    """The best fill through each length of those worth ``least``, and what no fill exceeds."""
    after = completions(demand.rounded(unit, 0), worths)
    likely: Table | None = None
    labels, missed, found = [_start(demand)], least, [np.zeros((0, 2), np.int64)]
    while len(labels[-1].items):
        stop.check()
        grown = _grown(demand, worths, least, after, unit, labels[-1])
        if len(grown.items) > (WIDEST if likely is None else NARROW):
            if likely is None:
                likely = completions(demand.rounded(unit, unit // 2), worths)
            rank = grown.worths + likely[grown.items, grown.rooms // unit]
            order = np.argsort(-rank, kind="stable")
            missed = max(missed, int(grown.bounds[order[NARROW:]].max()))
            grown = grown.of(order[:NARROW])
        done = np.flatnonzero(grown.worths >= least)
        found.append(np.stack([np.full(len(done), len(labels)), done], 1))
        labels.append(grown)
    ends = np.concatenate(found)
    worth = np.array([labels[level].worths[at] for level, at in ends.tolist()], np.int64)
    order = np.argsort(-worth, kind="stable")[:MOST]
    patterns = np.zeros((len(order), len(worths)), np.int64)
    for row, (level, at) in enumerate(ends[order].tolist()):
        while level:
            patterns[row, labels[level].items[at]] += 1
            at, level = int(labels[level].parents[at]), level - 1
    best = max(missed, int(worth.max(initial=0)))
    some = np.unique((patterns > 0).argmax(axis=0)) if len(order) else order
    return Fills(best, patterns[some], worth[order[some]], np.zeros(len(some), np.int64))


@dataclass(frozen=True, slots=True, eq=False)
class _Labels:
    """Fills under way: last length, copies of it, room left, worth, worth at most, and parent."""

    items: Ints
    copies: Ints
    rooms: Ints
    worths: Ints
    bounds: Ints
    parents: Ints

    def of(self, these: npt.NDArray[np.bool_] | Ints) -> "_Labels":
        """Some of them alone."""
        return _Labels(
            self.items[these], self.copies[these], self.rooms[these], self.worths[these],
            self.bounds[these], self.parents[these],
        )  # fmt: skip


def _start(demand: Demand) -> _Labels:
    none = np.zeros(1, np.int64)
    return _Labels(none, none, np.array([demand.capacity]), none, none, none)


def _grown(
    demand: Demand, worths: Ints, least: int, after: Table, unit: int, labels: _Labels
) -> _Labels:
    """Each with one more piece, of its last length or a shorter one, if that may be enough."""
    ends = _last(after, unit, least, labels)
    counts = ends - labels.items
    parents = np.repeat(np.arange(len(counts)), counts)
    items = np.arange(len(parents)) - np.repeat(np.cumsum(counts) - counts - labels.items, counts)
    rooms = labels.rooms[parents] - demand.lengths[items]
    copies = np.where(items == labels.items[parents], labels.copies[parents] + 1, 1)
    fits = (rooms >= 0) & (copies <= demand.wanted[items])
    items, copies, rooms, parents = items[fits], copies[fits], rooms[fits], parents[fits]
    own = labels.worths[parents] + worths[items]
    grown = _Labels(items, copies, rooms, own, own + after[items, rooms // unit], parents)
    return grown.of(grown.bounds >= least)


def _last(after: Table, unit: int, least: int, labels: _Labels) -> Ints:
    """For each the first length from its last on that cannot begin a rest worth enough."""
    rooms = labels.rooms // unit
    low, high = labels.items.copy(), np.full(len(rooms), len(after) - 1)
    while (low < high).any():
        middle = (low + high) // 2
        enough = labels.worths + after[middle, rooms] >= least
        low, high = (
            np.where(enough, np.minimum(middle + 1, high), low),
            np.where(enough, high, middle),
        )
    return low
