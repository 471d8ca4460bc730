"""How many spare sticks to hold of a profile, by money: a wait costs, and so does holding.

A newsvendor over all outcomes that its past makes likely, in whole sticks. Money is minor units.
Source: Snyder and Shen, Fundamentals of Supply Chain Theory, section 4.3 (the discrete case).
"""

from collections.abc import Sequence
from dataclasses import dataclass

from stockroom.buying.order_terms import HOLDING_PERCENT
from stockroom.buying.windows import WindowOutcome

__all__ = ["Spare", "Stake", "newsvendor", "spare_sticks"]

DAYS_A_YEAR = 365


@dataclass(frozen=True, slots=True)
class Stake:
    """What is at stake with a profile: what a frame that waits costs, and what a spare stick that
    nobody wanted does until the next review."""

    wait: float
    keep: float

    @classmethod
    def until_review(cls, wait: float, stick_price: int, days: int) -> "Stake":
        """That of a stick which the next reviews can still use: the money tied up, 25 % a year."""
        return cls(wait, stick_price * HOLDING_PERCENT / 100 * days / DAYS_A_YEAR)

    @classmethod
    def for_good(cls, wait: float, stick_price: int) -> "Stake":
        """That of a last buy: a stick that is left is lost."""
        return cls(wait, stick_price)


@dataclass(frozen=True, slots=True)
class Spare:
    """Spare sticks to hold: how many, as many as half of the outcomes want, and for each number of
    them from none on the share of outcomes that they fall short of, and what they cost in all;
    and over how many days."""

    sticks: int
    usual: int
    short: tuple[float, ...]
    costs: tuple[float, ...]
    days: int = 0

    def falls_short(self, sticks: int) -> float:
        """The share of outcomes that so many sticks fall short of."""
        return self.short[min(sticks, len(self.short) - 1)]

    @property
    def saved(self) -> float:
        """What they save, against none."""
        return self.costs[0] - self.costs[self.sticks]


def newsvendor(outcomes: Sequence[WindowOutcome], stake: Stake, sticks: int) -> float:
    """What so many spare sticks cost: the frames that wait, and the sticks that are left.

    Of the frames of an outcome that wants more sticks, so many wait as the share of the sticks
    that lack.
    """
    cost = 0.0
    for one in outcomes:
        lacking = max(0, one.sticks - sticks)
        waits = one.frames * lacking / one.sticks if lacking else 0.0
        cost += one.share * (stake.wait * waits + stake.keep * max(0, sticks - one.sticks))
    return cost


def spare_sticks(outcomes: Sequence[WindowOutcome], stake: Stake) -> Spare:
    """The spare sticks that cost least; fewer before more that cost the same.

    Raises:
        ValueError: there is no outcome.
    """
    most = max(one.sticks for one in outcomes)
    costs = tuple(newsvendor(outcomes, stake, sticks) for sticks in range(most + 1))
    short = tuple(
        sum(one.share for one in outcomes if one.sticks > sticks) for sticks in range(most + 1)
    )
    usual = next(sticks for sticks, share in enumerate(short) if share <= 0.5)
    least = min(costs) + 1e-9 * max(costs)
    chosen = next(sticks for sticks, cost in enumerate(costs) if cost <= least)
    return Spare(chosen, usual, short, costs)
