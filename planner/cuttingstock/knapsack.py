"""The fill worth most: a knapsack from both ends that gives the best fill through every length.

All in whole numbers, so that what it calls the best is the best.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planner.cuttingstock.values import Demand, Ints
from planner.stop import Stop

__all__ = ["Fills", "Table", "best_fills", "best_worth", "completed", "completions"]

Table = npt.NDArray[np.int32]


@dataclass(frozen=True, slots=True, eq=False)
class Fills:
    """The best worth of any fill, and a best fill through each length, from best to worst.

    ``begun`` is the room that the beginning of each fill may take, if fills have beginnings.
    """

    best: int
    patterns: Ints
    worths: Ints
    begun: Ints


def completions(demand: Demand, worths: Ints, stop: Stop) -> Table:
    """Row i, column w: the most worth of lengths i and later within a room of w."""
    return _table(demand, worths, _backwards(demand), stop)[::-1]


def completed(demand: Demand, worths: Ints, table: Table, rooms: Ints) -> Ints:
    """For each room a row of the pieces worth most in it; the table is from `completions`."""
    ranks, tail = np.arange(len(rooms)), table[::-1]
    trace = _Trace(demand, worths, np.zeros((len(rooms), len(worths)), np.int64))
    at = _At(ranks, np.full(len(rooms), len(worths)), rooms, tail[-1][rooms].astype(np.int64))
    trace.read(tail, _backwards(demand), at)
    return trace.patterns


def best_fills(
    demand: Demand, worths: Ints, stop: Stop, most: int = 400, begun: Table | None = None
) -> Fills:
    """At most ``most`` fills, best first, each the best of those that hold some length.

    Takes a time of the order of lengths times capacity; ``worths`` as from `whole_worths`.
    ``begun`` is what the best beginning within each room is worth; below 0 where there is none.

    Raises:
        OutOfTime: the stop came first.
    """
    forwards, backwards = range(len(worths)), _backwards(demand)
    before = _table(demand, worths, forwards, stop, begun)
    tail = _table(demand, worths, backwards, stop)
    starts = _through(demand, worths, before, tail[::-1], stop)
    starts = starts[starts[:, 2] >= 0]
    if not len(starts):
        none = np.zeros(0, np.int64)
        return Fills(0, np.zeros((0, len(worths)), np.int64), none, none)
    starts = starts[np.argsort(-starts[:, 2], kind="stable")[:most]]
    items, lefts, best = starts.T
    rights = demand.capacity - lefts
    others = tail[len(worths) - 1 - items, rights]
    trace = _Trace(demand, worths, np.zeros((len(starts), len(worths)), np.int64))
    ranks = np.arange(len(starts))
    rooms = trace.read(before, forwards, _At(ranks, items + 1, lefts, best - others), True)
    trace.read(tail, backwards, _At(ranks, len(worths) - 1 - items, rights, others))
    return Fills(int(best[0]), trace.patterns, best, rooms)


def best_worth(demand: Demand, worths: Ints, stop: Stop) -> int:
    """The most worth of any fill."""
    return int(_table(demand, worths, range(len(worths)), stop)[-1, -1])


def _backwards(demand: Demand) -> range:
    return range(len(demand.lengths) - 1, -1, -1)


def _more(row: Table, length: int, worth: int, copies: int, out: Table, spare: Table) -> None:
    """Into ``out`` the row when up to so many more copies of a length may be used."""
    out[:] = row
    part = 1
    while copies > 0:
        take = min(part, copies)
        shift = take * length
        added = np.add(out[:-shift], take * worth, out=spare[:-shift])
        np.maximum(out[shift:], added, out=out[shift:])
        copies, part = copies - take, part * 2


def _table(
    demand: Demand, worths: Ints, order: Sequence[int], stop: Stop, begun: Table | None = None
) -> Table:
    """Row k, column w: the most worth of the first k lengths of an order within a room of w."""
    table = np.empty((len(worths) + 1, demand.capacity + 1), np.int32)
    table[0] = 0 if begun is None else begun
    spare = np.empty(demand.capacity + 1, np.int32)
    lengths, values, fits = demand.lengths.tolist(), worths.tolist(), demand.fits.tolist()
    for row, item in enumerate(order):
        stop.check()
        copies = fits[item] if values[item] else 0
        _more(table[row], lengths[item], values[item], copies, table[row + 1], spare)
    return table


def _through(demand: Demand, worths: Ints, before: Table, after: Table, stop: Stop) -> Ints:
    """For each length: itself, the room before and with it, and the worth of the best through."""
    found = []
    fits, values = demand.fits.tolist(), worths.tolist()
    again, spare = np.empty_like(before[0]), np.empty_like(before[0])
    for item, length in enumerate(demand.lengths.tolist()):
        stop.check()
        if fits[item] == 0:
            continue
        row = before[item]
        if fits[item] > 1:
            _more(row, length, values[item], fits[item] - 1, again, spare)
            row = again
        room = demand.capacity - length
        both = np.add(row[: room + 1], after[item + 1][room::-1], out=spare[: room + 1])
        at = int(both.argmax())
        found.append((item, at + length, int(both[at]) + values[item]))
    return np.array(found, np.int64).reshape(-1, 3)


@dataclass(frozen=True, slots=True, eq=False)
class _At:
    """Where the reading of some fills stands: which fills, rows of the table, room, worth due."""

    fills: Ints
    rows: Ints
    rooms: Ints
    goals: Ints

    def of(self, these: npt.NDArray[np.bool_]) -> "_At":
        """Some of them alone."""
        return _At(self.fills[these], self.rows[these], self.rooms[these], self.goals[these])


@dataclass(frozen=True, slots=True, eq=False)
class _Trace:
    """Reads fills back from a table, all at once, a length at a time."""

    demand: Demand
    worths: Ints
    patterns: Ints

    def read(self, table: Table, order: Sequence[int], at: _At, must: bool = False) -> Ints:
        """Add to each fill what reaches its goal, and give back the room that each has left.

        With ``must`` a fill has the length of its row at least once.
        """
        items, rooms = np.array(order, np.int64), np.zeros(len(self.patterns), np.int64)
        while len(at.fills):
            if not must:
                at = _skipped(table, at)
                rooms[at.fills] = at.rooms
                at = at.of(at.rows > 0)
            must = False
            at = self._taken(table, items, at)
        return rooms

    def _taken(self, table: Table, items: Ints, at: _At) -> _At:
        """The fewest copies, one or more, of the length of each row."""
        rows = at.rows - 1
        lengths, worths = self.demand.lengths[items[rows]], self.worths[items[rows]]
        copies, open_ = np.zeros(len(rows), np.int64), np.ones(len(rows), np.bool_)
        while open_.any():
            copies[open_] += 1
            rooms, goals = at.rooms - copies * lengths, at.goals - copies * worths
            if (rooms < 0).any():
                raise RuntimeError("a fill could not be read back from its table")
            open_ &= table[rows, rooms] != goals
        self.patterns[at.fills, items[rows]] += copies
        return _At(at.fills, rows, at.rooms - copies * lengths, at.goals - copies * worths)


def _skipped(table: Table, at: _At) -> _At:
    """The first row, by bisection, that has all the worth due: no length after it is used."""
    low, high = np.zeros_like(at.rows), at.rows
    while (low < high).any():
        middle = (low + high) // 2
        enough = table[middle, at.rooms] >= at.goals
        low, high = np.where(enough, low, middle + 1), np.where(enough, middle, high)
    return _At(at.fills, low, at.rooms, at.goals)
