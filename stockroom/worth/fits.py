"""Whether rails fit on pieces all together."""

from collections.abc import Sequence

__all__ = ["packs"]

NODES = 150


def packs(sizes: Sequence[int], rooms: Sequence[int], nodes: int = NODES) -> bool:
    """Whether all these sizes, longest first, find room (um), each whole in one of the rooms.

    Depth first, each size into the tightest room first; after ``nodes`` steps the answer is no,
    so that a no may be wrong, a yes never.
    """
    left, steps = sorted(rooms), nodes

    def fits(number: int) -> bool:
        nonlocal steps
        if number == len(sizes):
            return True
        steps -= 1
        if steps < 0:
            return False
        size = sizes[number]
        for room, at in sorted((room, at) for at, room in enumerate(left) if room >= size):
            left[at] = room - size
            if fits(number + 1):
                return True
            left[at] = room
        return False

    return sum(sizes) <= sum(rooms) and fits(0)
