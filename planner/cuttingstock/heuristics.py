"""Plans by simple rules: best fit with the longest first, and fill one stock at a time."""

from bisect import bisect_left, insort
from collections.abc import Iterator, Sequence

import numpy as np

from planner.cuttingstock.values import Demand, Ints
from planner.heuristics import subset_sums

__all__ = ["best_fit", "fullest"]

# So many plans are tried, fewer where one takes long: steps are stocks times lengths.
TRIES, LEAST, STEPS = 8, 3, 100_000


def best_fit(demand: Demand) -> Ints:
    """Longest first, each where it leaves least; one row a stock."""
    rooms: list[tuple[int, int]] = []
    stocks: list[Ints] = []
    for item, (length, wanted) in enumerate(
        zip(demand.lengths.tolist(), demand.wanted.tolist(), strict=True)
    ):
        for _ in range(wanted):
            at = bisect_left(rooms, (length, -1))
            if at < len(rooms):
                room, stock = rooms.pop(at)
            else:
                room, stock = demand.capacity, len(stocks)
                stocks.append(np.zeros(len(demand.lengths), np.int64))
            stocks[stock][item] += 1
            insort(rooms, (room - length, stock))
    return np.array(stocks, np.int64).reshape(len(stocks), len(demand.lengths))


def fullest(demand: Demand) -> Iterator[Ints]:
    """Plans, one row a stock: the longest piece left, then others that fill its stock the most.

    Of fills as full the first plan takes long pieces, each further one others.
    """
    random = np.random.default_rng(0)
    count = len(demand.lengths)
    order = np.arange(count)
    stocks = _filled(demand, order.tolist())
    yield stocks
    for _ in range(1, min(TRIES, max(LEAST, STEPS // max(1, stocks.size)))):
        order = np.argsort(-demand.lengths * random.uniform(1, 2, count), kind="stable")
        yield _filled(demand, order.tolist())


def _filled(demand: Demand, order: Sequence[int]) -> Ints:
    left = demand.wanted.tolist()
    lengths = demand.lengths.tolist()
    stocks = []
    for first in range(len(lengths)):
        while left[first]:
            stock = np.zeros(len(lengths), np.int64)
            left[first] -= 1
            stock[first] = 1
            room = demand.capacity - lengths[first]
            offered = [
                (item, take)
                for item in order
                for take in _parts(min(left[item], room // lengths[item]))
            ]
            for at in subset_sums.fullest([lengths[item] * take for item, take in offered], room):
                item, take = offered[at]
                left[item] -= take
                stock[item] += take
            stocks.append(stock)
    return np.array(stocks, np.int64).reshape(len(stocks), len(lengths))


def _parts(copies: int) -> Iterator[int]:
    """Parts of so many copies that make every number of them up to all."""
    part = 1
    while copies > 0:
        yield min(part, copies)
        copies, part = copies - part, part * 2
