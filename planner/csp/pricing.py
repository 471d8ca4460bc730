"""The fill worth most: a knapsack from both ends that gives the best fill through every length.

All in whole numbers, so that what it calls the best is the best.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planner.csp.values import Demand, Ints

__all__ = ["Fills", "best_fills", "completions"]

Table = npt.NDArray[np.int32]


@dataclass(frozen=True, slots=True, eq=False)
class Fills:
    """The best worth of any fill, and a best fill through each length, from best to worst."""

    best: int
    patterns: Ints
    worths: Ints


def completions(demand: Demand, worths: Ints) -> Table:
    """Row i, column w: the most worth of lengths i and later within a room of w."""
    return _table(demand, worths, range(len(worths) - 1, -1, -1))[::-1]


def best_fills(demand: Demand, worths: Ints, most: int = 80) -> Fills:
    """At most ``most`` fills, best first, each the best of those that hold some length.

    Takes a time of the order of lengths times capacity; ``worths`` as from `whole_worths`.
    """
    after = completions(demand, worths)
    before = _table(demand, worths, range(len(worths)))
    starts = _through(demand, worths, before, after)
    if not len(starts):
        return Fills(0, np.zeros((0, len(worths)), np.int64), np.zeros(0, np.int64))
    starts = starts[np.argsort(-starts[:, 2], kind="stable")[:most]]
    patterns = _traced(demand, worths, before, after, starts)
    return Fills(int(starts[0, 2]), patterns, starts[:, 2])


def _more(row: Table, length: int, worth: int, copies: int) -> Table:
    """The row when up to so many more copies of a length may be used."""
    out, part = row, 1
    while copies > 0:
        take = min(part, copies)
        shift = take * length
        new = out.copy()
        np.maximum(out[shift:], out[:-shift] + np.int32(take * worth), out=new[shift:])
        out, copies, part = new, copies - take, part * 2
    return out


def _table(demand: Demand, worths: Ints, order: Sequence[int]) -> Table:
    """Row k, column w: the most worth of the first k lengths of an order within a room of w."""
    table = np.zeros((len(worths) + 1, demand.capacity + 1), np.int32)
    fits = demand.fits.tolist()
    for row, item in enumerate(order):
        length, worth = int(demand.lengths[item]), int(worths[item])
        if worth == 0 or fits[item] == 0:
            table[row + 1] = table[row]
            continue
        table[row + 1] = _more(table[row], length, worth, fits[item])
    return table


def _through(demand: Demand, worths: Ints, before: Table, after: Table) -> Ints:
    """For each length: itself, the room before and with it, and the worth of the best through."""
    found = []
    fits = demand.fits.tolist()
    for item, length in enumerate(demand.lengths.tolist()):
        if fits[item] == 0:
            continue
        row = before[item]
        if fits[item] > 1:
            row = _more(row, length, int(worths[item]), fits[item] - 1)
        room = demand.capacity - length
        both = row[: room + 1] + after[item + 1][room::-1]
        at = int(both.argmax())
        found.append((item, at + length, int(both[at]) + int(worths[item])))
    return np.array(found, np.int64).reshape(-1, 3)


def _traced(demand: Demand, worths: Ints, before: Table, after: Table, starts: Ints) -> Ints:
    patterns = np.zeros((len(starts), len(worths)), np.int64)
    items, lefts, rights = starts[:, 0], starts[:, 1], demand.capacity - starts[:, 1]
    goals = starts[:, 2] - after[items + 1, rights]
    forward = _Trace(demand, worths, patterns)
    for item in range(int(items.max()), -1, -1):
        own = items == item
        goal = np.where(own, goals, before[item + 1, lefts])
        lefts = forward.step(item, before[item], lefts, goal, items >= item, own)
    for item in range(int(items.min()) + 1, len(worths)):
        rights = forward.step(
            item, after[item + 1], rights, after[item, rights], items < item, items < 0
        )
    return patterns


@dataclass(frozen=True, slots=True, eq=False)
class _Trace:
    """Reads fills back from a table, all at once, a length at a time."""

    demand: Demand
    worths: Ints
    patterns: Ints

    def step(
        self,
        item: int,
        row: Table,
        room: Ints,
        goal: Ints,
        active: npt.NDArray[np.bool_],
        must: npt.NDArray[np.bool_],
    ) -> Ints:
        """How many copies of a length each fill takes, to reach its goal with the row before it."""
        length, worth = int(self.demand.lengths[item]), int(self.worths[item])
        open_ = np.flatnonzero(active & (must | (row[room] != goal)))
        copies = 0
        while len(open_):
            copies += 1
            rest = room[open_] - copies * length
            hit = (rest >= 0) & (row[rest] + copies * worth == goal[open_])
            done = open_[hit]
            self.patterns[done, item] = copies
            open_ = open_[~hit]
            if copies > self.demand.capacity // length:
                raise RuntimeError("a fill could not be read back from its table")
        return room - self.patterns[:, item] * np.where(active, length, 0)
