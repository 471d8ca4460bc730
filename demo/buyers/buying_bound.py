"""The least money that a year of buying ties up, whoever buys and whatever he knows: proven.

Frames are cut on their due day and deliveries come once a week, so that what a frame takes that
does not wait lies on the rack from the last delivery before its day on. Beside that lies what is
left at the week's end: sticks come whole, and no stick loses more than its trims and one end that
is too short to keep, so that from week to week it follows from what was cut and how many sticks
came. The least of both is reckoned apart and added up; batches are left aside. Lengths are
micrometres, on whole steps, each step rounded so that the bound stays one.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from demo.buyers.buyingyear import YEAR
from stockroom.replay import Order, ShopDemand

__all__ = ["YearAhead", "least_over_all"]

WEEK, STEP_UM = 7, 20_000
MOST_STICKS = 3
"""More than so many sticks' length at a week's end is taken for so much."""
Costs = NDArray[np.float64]


@dataclass(frozen=True)
class YearAhead:
    """One profile's frames over a year and the weekday of its deliveries, to who knows them all."""

    demand: ShopDemand
    orders: Sequence[Order]
    lead: int
    days: int

    @property
    def stick(self) -> int:
        """A stick's length."""
        return sum(self.demand.sticks) // 2

    def came(self, day: int) -> int:
        """The day of the last delivery up to this one."""
        return day - (day - max(1, self.lead)) % WEEK

    @cached_property
    def counted(self) -> list[Order]:
        """The frames that are due in the year."""
        return [order for order in self.orders if YEAR <= order.due < YEAR + self.days]

    def held(self, order: Order) -> int:
        """The length of a frame's rails times the ends of days on which they lie, did it not
        wait."""
        return sum(order.frame.rails) * (order.due - max(YEAR, self.came(order.due)))

    def least_held(self, waits: int) -> list[int]:
        """The least of this over all frames, where none waits, or one, up to so many."""
        each = sorted(map(self.held, self.counted), reverse=True)
        return [sum(each[count:]) for count in range(waits + 1)]

    def weeks(self) -> list[tuple[int, int, int]]:
        """Of each week from delivery to delivery: its days in the year, and the least and the most
        that its frames take."""
        last, found = YEAR + self.days, []
        allowance = self.demand.rules.cut_allowance
        for start in range(self.came(YEAR), last, WEEK):
            rails = [rail for order in self.counted if start <= order.due < start + WEEK
                     for rail in order.frame.rails]  # fmt: skip
            days = min(start + WEEK, last) - max(start, YEAR)
            found.append((days, sum(rails), sum(rails) + allowance * len(rails)))
        return found

    def least_left(self, waits: int) -> list[float]:
        """The least length times days of what is left at the weeks' ends, by the frames that wait.

        Each may change two weeks, that in which it is due and that in which it is cut: these cost
        nothing, nor do the first two, in which frames of the year before may be cut.
        """
        free = 2 * waits + 2
        cells = MOST_STICKS * self.stick // STEP_UM + 1
        costs = np.zeros((free + 1, cells))
        for days, fewest, most in self.weeks():
            carried = self.carried(costs, fewest, most)
            after = carried + days * STEP_UM * np.arange(cells)
            after[1:] = np.minimum(after[1:], costs[:-1].min(axis=1)[:, None])
            costs = after
        least = np.minimum.accumulate(costs.min(axis=1))
        return [float(least[2 * count + 2]) for count in range(waits + 1)]

    def carried(self, costs: Costs, fewest: int, most: int) -> Costs:
        """For each length at a week's end the least cost of those at its beginning from which it
        can be reached, however many sticks come."""
        rules, cells = self.demand.rules, costs.shape[1]
        lost = rules.keep + 2 * rules.end_trim + rules.cut_allowance
        found = np.full_like(costs, np.inf)
        for sticks in range((most + MOST_STICKS * self.stick) // (self.stick - lost) + 2):
            # At the beginning lay what is left and was cut, less what came: between these cells.
            low = (fewest - sticks * self.stick) // STEP_UM - 1
            high = -((sticks * (self.stick - lost) - most) // STEP_UM) + 1
            for left in range(cells):
                first, end = max(0, left + low), left + high + 1
                if first < cells and end > 0:
                    found[:, left] = np.minimum(found[:, left], costs[:, first:end].min(axis=1))
            if low + cells < 0 and sticks * (self.stick - lost) > most:
                break
        # From the longest on, what lies there may be longer still.
        reached = max(0, cells - 1 - most // STEP_UM - 1)
        found[:, reached:] = np.minimum(found[:, reached:], costs[:, -1:])
        return found

    def least(self, waits: int) -> list[int]:
        """The least mean length on the rack at the end of a day, by how many frames wait."""
        both = zip(self.least_held(waits), self.least_left(waits), strict=True)
        return [int(held + left) // self.days for held, left in both]


def least_over_all(profiles: Sequence[Sequence[float]]) -> list[float]:
    """The least of several profiles together, by how many frames wait in all."""
    best = list(profiles[0])
    for one in profiles[1:]:
        best = [min(best[count - own] + one[own] for own in range(count + 1))
                for count in range(len(best))]  # fmt: skip
    return best
