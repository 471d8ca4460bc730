"""The fill worth most: a knapsack from both ends that gives the best fill through every length."""

from dataclasses import dataclass

import numpy as np

from planner.columns.knapsack import At, Items, Table, read_back, table_of, with_copies
from planner.cuttingstock.values import Demand, Ints
from planner.stop import Stop

# So many fills are enough at a time.
MOST = 400

__all__ = ["Fills", "best_fills", "completed", "completions"]


@dataclass(frozen=True, slots=True, eq=False)
class Fills:
    """The best worth of any fill, and a best fill through each length, from best to worst.

    ``begun`` is the room that the beginning of each fill may take, if fills have beginnings.
    """

    best: int
    patterns: Ints
    worths: Ints
    begun: Ints


def completions(demand: Demand, worths: Ints) -> Table:
    """Row i, column w: the most worth of lengths i and later within a room of w."""
    return table_of(_backwards(demand, worths), _nothing(demand))[::-1]


def completed(demand: Demand, worths: Ints, table: Table, rooms: Ints) -> Ints:
    """For each room a row of the pieces worth most in it; the table is from `completions`."""
    rows, tail = np.full(len(rooms), len(worths)), table[::-1]
    at = At(np.arange(len(rooms)), rows, rooms, tail[-1][rooms].astype(np.int64))
    return read_back(_backwards(demand, worths), tail, at)[0][:, ::-1]


def best_fills(
    demand: Demand, worths: Ints, stop: Stop, begun: Table | None = None, after: Table | None = None
) -> Fills:
    """Some fills, best first, each the best of those that hold some length.

    Takes a time of the order of lengths times capacity; ``worths`` as from `whole_worths`.
    ``begun`` is what the best beginning within each room is worth; below 0 where there is none.
    ``after`` are the `completions`, if they are known.

    Raises:
        OutOfTime: the stop came first.
    """
    stop.check()
    items, after = _items(demand, worths), completions(demand, worths) if after is None else after
    stop.check()
    before = table_of(items, _nothing(demand) if begun is None else begun)
    starts = _through(demand, items, before, after)
    starts = starts[starts[:, 2] >= 0]
    if not len(starts):
        none = np.zeros(0, np.int64)
        return Fills(0, np.zeros((0, len(worths)), np.int64), none, none)
    starts = starts[np.argsort(-starts[:, 2], kind="stable")[:MOST]]
    through, lefts, best = starts.T
    rights = demand.capacity - lefts
    others = after[through + 1, rights].astype(np.int64)
    ranks, rows = np.arange(len(starts)), len(worths) - 1 - through
    first, rooms = read_back(items, before, At(ranks, through + 1, lefts, best - others), True)
    last, _ = read_back(_backwards(demand, worths), after[::-1], At(ranks, rows, rights, others))
    return Fills(int(best[0]), first + last[:, ::-1], best, rooms)


def _items(demand: Demand, worths: Ints) -> Items:
    return Items(demand.lengths, worths, np.where(worths > 0, demand.fits, 0))


def _backwards(demand: Demand, worths: Ints) -> Items:
    items = _items(demand, worths)
    return Items(items.sizes[::-1], items.values[::-1], items.copies[::-1])


def _nothing(demand: Demand) -> Table:
    return np.zeros(demand.capacity + 1, np.int32)


def _through(demand: Demand, items: Items, before: Table, after: Table) -> Ints:
    """For each length: itself, the room before and with it, and the worth of the best through."""
    found = []
    fits, values = demand.fits.tolist(), items.values.tolist()
    again, spare = np.empty_like(before[0]), np.empty_like(before[0])
    for item, length in enumerate(demand.lengths.tolist()):
        if fits[item] == 0:
            continue
        row = before[item]
        if fits[item] > 1:
            with_copies(row, length, values[item], fits[item] - 1, again)
            row = again
        room = demand.capacity - length
        both = np.add(row[: room + 1], after[item + 1][room::-1], out=spare[: room + 1])
        at = int(both.argmax())
        found.append((item, at + length, int(both[at]) + values[item]))
    return np.array(found, np.int64).reshape(-1, 3)
