"""Sizes that fill a room best: subset sums as the bits of one whole number.

Source: the dynamic program is Bellman's (1957); bits for sums as in Pisinger, Linear time
algorithms for knapsack problems with bounded weights (1999), both from memory.
"""

from collections.abc import Sequence

__all__ = ["fullest"]


def fullest(sizes: Sequence[int], room: int) -> list[int]:
    """The places of the sizes whose sum comes nearest to the room from below."""
    full, sums = (1 << room + 1) - 1, [1]
    for size in sizes:
        sums.append((sums[-1] | sums[-1] << size) & full)
        if sums[-1] >> room:
            break
    at, taken = sums[-1].bit_length() - 1, list[int]()
    for place in range(len(sums) - 2, -1, -1):
        if not sums[place] >> at & 1:
            taken.append(place)
            at -= sizes[place]
    return taken
