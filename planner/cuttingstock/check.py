"""Does a cutting list do what it says? Counts and adds up, whoever made the list."""

from collections import Counter
from collections.abc import Iterable, Sequence

from planner.cuttingstock.values import Pattern

__all__ = ["faults"]


def faults(
    capacity: int,
    items: Iterable[tuple[int, int]],
    stocks: int,
    patterns: Sequence[tuple[Pattern, int]],
) -> list[str]:
    """Everything wrong with ``patterns`` as a way to cut ``items`` from so many ``stocks``."""
    wrong: list[str] = []
    wanted: Counter[int] = Counter()
    for length, copies in items:
        wanted[length] += copies
    given: Counter[int] = Counter()
    for pattern, times in patterns:
        used = sum(length * copies for length, copies in pattern)
        if used > capacity:
            wrong.append(f"pattern {pattern} is {used} long; the stock is {capacity}")
        if times < 1 or any(copies < 1 for _, copies in pattern):
            wrong.append(f"pattern {pattern}, cut {times} times, has a count below 1")
        for length, copies in pattern:
            given[length] += copies * times
    for length in sorted(wanted.keys() | given.keys()):
        if given[length] != wanted[length]:
            wrong.append(f"length {length}: wanted {wanted[length]}, given {given[length]}")
    cut = sum(times for _, times in patterns)
    if cut != stocks:
        wrong.append(f"{cut} stocks are cut; the answer says {stocks}")
    return wrong
