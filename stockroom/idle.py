"""Which offcuts the shop's demand is not likely ever to use."""

from collections.abc import Mapping, Sequence

__all__ = ["idle_offcuts"]


def idle_offcuts(offcuts: Mapping[int, int], rails: Sequence[int]) -> list[int]:
    """The offcuts for which a year's rails leave no work, by number, shortest first.

    Each rail (um) is given to one offcut at most and each offcut wants one rail no longer than
    itself: so many offcuts as can be served are, the shorter first. What is over would wait
    longer than the year whose rails these were.
    """
    idle, used, waiting = [], 0, sorted(rails)
    for number, length in sorted(offcuts.items(), key=lambda item: (item[1], item[0])):
        if used < len(waiting) and waiting[used] <= length:
            used += 1
        else:
            idle.append(number)
    return idle
