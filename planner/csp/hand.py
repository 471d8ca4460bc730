"""Plans by simple rules: best fit with the longest first, and fill one stock at a time."""

from bisect import bisect_left, insort

import numpy as np

from planner.csp.values import Demand, Ints

__all__ = ["best_fit"]


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
