"""Plans by simple rules: best fit with the longest first, and fill one stock at a time."""

from bisect import bisect_left, insort
from collections.abc import Iterator, Sequence

import numpy as np

from planner.cuttingstock.values import Demand, Ints

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
            for item, copies in _fill(lengths, left, demand.capacity - lengths[first], order):
                left[item] -= copies
                stock[item] += copies
            stocks.append(stock)
    return np.array(stocks, np.int64).reshape(len(stocks), len(lengths))


def _fill(
    lengths: Sequence[int], left: Sequence[int], room: int, order: Sequence[int]
) -> Iterator[tuple[int, int]]:
    """Lengths, each with copies, that come as near to the room as any; those first in order first.

    Bit n of a mask says that a sum of n can be made.
    """
    whole = (1 << (room + 1)) - 1
    sums, used = 1, []
    for item in order:
        length = lengths[item]
        copies = min(left[item], room // length)
        if not copies:
            continue
        used.append((item, sums))
        part = 1
        while copies > 0:
            take = min(part, copies)
            sums |= (sums << (take * length)) & whole
            copies, part = copies - take, part * 2
        if sums >> room & 1:
            break
    full = sums.bit_length() - 1
    for item, before in reversed(used):
        copies = 0
        while not before >> full & 1:
            full -= lengths[item]
            copies += 1
        if copies:
            yield item, copies
