"""Cutting-stock problems of known optimum, built by cutting stocks up without waste."""

import random
from collections import Counter

__all__ = ["cut_up", "triplets"]

Items = tuple[tuple[int, int], ...]


def cut_up(seed: int, stocks: int, capacity: int, most: int) -> tuple[int, Items]:
    """(capacity, items): stocks cut at random places into 2 to ``most`` pieces each.

    The fewest stocks are as many as were cut up, for the pieces are as long as they together.
    """
    rng = random.Random(seed)
    lengths: Counter[int] = Counter()
    for _ in range(stocks):
        cuts = sorted(rng.sample(range(1, capacity), rng.randint(1, most - 1)))
        lengths.update(b - a for a, b in zip([0, *cuts], [*cuts, capacity], strict=True))
    return capacity, tuple(sorted(lengths.items(), reverse=True))


def triplets(seed: int, stocks: int, capacity: int = 1000) -> tuple[int, Items]:
    """(capacity, items): each stock cut into three pieces between a quarter and a half of it.

    Such are known to be hard for rules of thumb, for no stock may hold anything but three.

    Source: the construction is that of Falkenauer, A hybrid grouping genetic algorithm for bin
    packing (1996), from memory.
    """
    rng = random.Random(seed)
    lengths: Counter[int] = Counter()
    quarter, half = capacity // 4, capacity // 2
    for _ in range(stocks):
        first = rng.randint(int(0.38 * capacity), half - 2)
        # The third piece is over a quarter too.
        second = rng.randint(quarter + 1, max(quarter + 1, capacity - first - quarter - 1))
        lengths.update((first, second, capacity - first - second))
    return capacity, tuple(sorted(lengths.items(), reverse=True))
