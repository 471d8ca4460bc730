"""How many spare sticks to hold of a profile, by money: a wait costs, and so does holding.

A newsvendor over all outcomes that its past makes likely, in whole sticks. Money is minor units.
Source: Snyder and Shen, Fundamentals of Supply Chain Theory, section 4.3 (the discrete case); what
waits in a review's days alone, by the difference of two windows: G. Hadley and T. M. Whitin,
Analysis of Inventory Systems (1963), chapter 5, from memory.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from stockroom.buying.order_terms import HOLDING_PERCENT
from stockroom.buying.windows import WindowOutcome

__all__ = ["DAYS_A_YEAR", "Spare", "Stake", "newsvendor", "spare_sticks"]

DAYS_A_YEAR = 365


@dataclass(frozen=True, slots=True)
class Stake:
    """What is at stake with a profile: what a frame that waits costs, what a spare stick that
    nobody wanted does until the next review, and what it costs besides that any frame waits."""

    wait: float
    keep: float
    once: float = 0.0

    @classmethod
    def until_review(cls, wait: float, stick_price: int, days: int, once: float = 0.0) -> "Stake":
        """That of a stick which the next reviews can still use: the money tied up, 25 % a year."""
        return cls(wait, stick_price * HOLDING_PERCENT / 100 * days / DAYS_A_YEAR, once)

    @classmethod
    def for_good(cls, wait: float, stick_price: int) -> "Stake":
        """That of a last buy: a stick that is left is lost, and no other order can be had."""
        return cls(wait, stick_price)


@dataclass(frozen=True, slots=True)
class Spare:
    """Spare sticks to hold: how many, as many as half of the outcomes want, and for each number of
    them from none on the share of outcomes that they fall short of, the frames that wait between
    two reviews in the mean, and what they cost in all; over how many
    days, whether no other order can be had, and how busy they are beside the year's mean."""

    sticks: int
    usual: int
    short: tuple[float, ...]
    waits: tuple[float, ...]
    costs: tuple[float, ...]
    days: int = 0
    last: bool = False
    season: float = 1.0

    def falls_short(self, sticks: int) -> float:
        """The share of outcomes that so many sticks fall short of."""
        return self.short[min(sticks, len(self.short) - 1)]

    def waiting(self, sticks: int) -> float:
        """The frames that wait between two reviews in the mean, with so many sticks."""
        return self.waits[min(sticks, len(self.waits) - 1)]

    @property
    def saved(self) -> float:
        """What they save, against none."""
        return self.costs[0] - self.costs[self.sticks]


def newsvendor(outcomes: Sequence[WindowOutcome], stake: Stake, sticks: int) -> float:
    """What so many spare sticks cost: the frames that wait, and the sticks that are left."""
    cost = 0.0
    for one in outcomes:
        waits = waiting(one, sticks)
        keep = stake.keep * max(0, sticks - one.sticks)
        cost += one.share * (stake.wait * waits + stake.once * (waits > 0) + keep)
    return cost


def waiting(outcome: WindowOutcome, sticks: int) -> float:
    """Frames that wait in an outcome where there are so many spare sticks.

    Where more are wanted, so many wait as the share of the sticks that lack. Those due before
    today's order is there count in the review before, and not again.
    """
    early = lacking(outcome.early_frames, outcome.early_sticks, sticks)
    return max(0.0, lacking(outcome.frames, outcome.sticks, sticks) - early)


def lacking(frames: int, wanted: int, sticks: int) -> float:
    """Of frames that want so many sticks, those that these sticks do not yield."""
    return frames * (wanted - sticks) / wanted if wanted > sticks else 0.0


def spare_sticks(
    outcomes: Sequence[WindowOutcome], stake: Stake, seen: float | None = None
) -> Spare:
    """The spare sticks that cost least; fewer before more that cost the same.

    ``seen`` is how many stretches of the past, apart from each other, the outcomes are. The next
    may want more than all of them: where k of n fell short, it does with odds of (k + 1) / (n + 1)
    at most (the rank of a new one among n like it; from memory). Not told, the shares are the odds.

    Raises:
        ValueError: there is no outcome.
    """
    most = max(one.sticks for one in outcomes)
    costs = tuple(newsvendor(outcomes, stake, sticks) for sticks in range(most + 1))
    short = tuple(
        sum(one.share for one in outcomes if one.sticks > sticks) for sticks in range(most + 1)
    )
    waits = tuple(sum(one.share * waiting(one, sticks) for one in outcomes)
                  for sticks in range(most + 1))  # fmt: skip
    usual = next(sticks for sticks, share in enumerate(short) if share <= 0.5)
    if seen is not None and most:
        short = tuple((share * seen + 1) / (seen + 1) for share in short)
    least = min(costs) + 1e-9 * max(costs)
    chosen = next(sticks for sticks, cost in enumerate(costs) if cost <= least)
    return Spare(chosen, usual, short, waits, costs)
