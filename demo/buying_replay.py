"""A shop's year of buying replayed: the review by money, fixed minimums, open jobs, foresight.

``python -m demo.buying_replay 7 1`` prints stock-outs, money tied up and length bought for
invented profiles of every pace: a lead time of 7 days, as many jobs as in the year before.
"""

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import ceil

from demo.buyingyear import (
    Buyer,
    Year,
    fixed_minimum,
    foreseeing,
    last_years_windows,
    minimum_alone,
    open_jobs,
    replay_buying,
    review,
)
from stockroom.buying.spare import Stake
from stockroom.replay import ReplayFault, ShopDemand, invented_shop

__all__ = ["Row", "World"]

SEED, REVIEW_DAYS, MOST = 1, 7, 80
Rule = Callable[[int], Buyer]
WAITS = (80, 200)
SERVICE = 0.95
STICK_PRICES = {
    "busy, free": 9_60, "middling, free": 21_50, "slow, free": 33_00,
    "busy, matched": 18_40, "middling, matched": 34_10, "slow, matched": 69_50,
}  # fmt: skip
"""Prices of a stick in minor units, invented: what is rare is dear."""


@dataclass(frozen=True, slots=True)
class Row:
    """A shop's year: stock-outs, money tied up (minor units, mean of the days), length bought."""

    frames: int
    stock_outs: int
    money: int
    bought: int


class World:
    """Six profiles, a lead time and a notice in days, and how demand changes with the year.

    ``notice`` is how many days before it is due a job comes in.
    """

    def __init__(
        self, lead: int, times: float, notice: int, days: int = 364, profiles: int = 6
    ) -> None:
        self.lead, self.times, self.days = lead, times, days
        self.demands = [replace(demand, lead=notice) for demand in invented_shop(5, profiles)]
        self.known: dict[tuple[str, int, Rule], Year] = {}

    def kept(self, demand: ShopDemand, sticks: int, rule: Rule = fixed_minimum) -> Year:
        """One profile's year with a fixed minimum, replayed once."""
        if (demand.profile, sticks, rule) not in self.known:
            self.known[demand.profile, sticks, rule] = replay_buying(
                demand, rule(sticks), SEED, self.lead, self.days, self.times
            )
        return self.known[demand.profile, sticks, rule]

    def under(self, buyer: Callable[[ShopDemand], Buyer]) -> list[Year]:
        """Each profile's year where its buyer orders."""
        return [
            replay_buying(demand, buyer(demand), SEED, self.lead, self.days, self.times)
            for demand in self.demands
        ]

    def foresight(self) -> Row:
        """The shop's year by who knows what will come in before the next order is there."""
        return self.added(self.under(
            lambda demand: foreseeing(demand, SEED, self.lead, self.days, self.times)
        ))  # fmt: skip

    def minimums(self, sticks: Callable[[ShopDemand], int], rule: Rule = fixed_minimum) -> Row:
        """The shop's year with a fixed minimum for each profile."""
        return self.added([self.kept(demand, sticks(demand), rule) for demand in self.demands])

    def added(self, years: Sequence[Year]) -> Row:
        """Several profiles' years as one shop's, their racks at the price of their sticks."""
        money = 0
        for demand, year in zip(self.demands, years, strict=True):
            money += year.tied * STICK_PRICES[demand.kind] * 2 // sum(demand.sticks)
        return Row(sum(year.frames for year in years), sum(year.stock_outs for year in years),
                   money, sum(year.bought for year in years))  # fmt: skip

    @cached_property
    def windows(self) -> dict[str, list[int]]:
        """What each profile took last year in every window of a review and a lead time."""
        days = self.lead + REVIEW_DAYS
        return {demand.profile: last_years_windows(demand, SEED, days, self.times)
                for demand in self.demands}  # fmt: skip

    def enough_last_year(self, service: float) -> Row:
        """Minimums that would have been enough in this share of last year's windows."""
        return self.minimums(lambda demand: enough(self.windows[demand.profile], service))

    def multiple(self, quarters: int, rule: Rule = fixed_minimum) -> Row:
        """Minimums of so many quarters of what last year's mean window took."""

        def sticks(demand: ShopDemand) -> int:
            windows = self.windows[demand.profile]
            return ceil(quarters * sum(windows) / (4 * len(windows)))

        return self.minimums(sticks, rule)

    def as_good(self, row: Row, minimum: Callable[[int], Row]) -> tuple[int, Row]:
        """The least step of a rule for minimums with no more stock-outs than a row has.

        Raises:
            ReplayFault: none below 80 is.
        """
        for step in range(MOST):
            found = minimum(step)
            if found.stock_outs <= row.stock_outs:
                return step, found
        raise ReplayFault(f"no step below {MOST} has {row.stock_outs} stock-outs or fewer")

    def each_as_good(self, years: Sequence[Year]) -> Row:
        """Each profile with the least minimum that has no more stock-outs than its year here."""
        found = []
        for demand, ours in zip(self.demands, years, strict=True):
            tried = (self.kept(demand, sticks) for sticks in range(MOST))
            found.append(next(year for year in tried if year.stock_outs <= ours.stock_outs))
        return self.added(found)


def enough(windows: Sequence[int], service: float) -> int:
    """The least that is enough in this share of the windows."""
    return sorted(windows)[len(windows) - 1 - int(len(windows) * (1 - service) + 1e-9)]


def by_money(wait: float) -> Callable[[ShopDemand], Buyer]:
    """The review, where a frame that waits costs so much (minor units)."""
    return lambda demand: review(Stake.until_review(wait, STICK_PRICES[demand.kind], REVIEW_DAYS))


def show(name: str, row: Row, beside: Row | None = None) -> None:
    """One line of the table, with the money of the row it is set beside in percent of its own."""
    share = "" if beside is None else f"{100 * beside.money / row.money:>10.0f} %"
    print(f"{name:<42}{row.stock_outs:>10}{row.money / 100:>10.2f}{row.bought / 1e6:>9.0f}{share}",
          flush=True)  # fmt: skip


def main(words: Sequence[str]) -> None:
    """The comparison: lead time in days, demand multiplied, days of notice, as ``7 1 3``."""
    lead, times, notice = (float(word) for word in (*words, *"713"[len(words) :]))
    world = World(int(lead), times, int(notice))
    alone = world.added(world.under(lambda _: open_jobs))
    print(f"{alone.frames} frames, lead {lead:g} days, {times:g} times last year's demand, "
          f"jobs due {notice:g} days after they come in")  # fmt: skip
    print(f"{'who buys':<42}{'stock-outs':>10}{'tied up':>10}{'metres':>9}{'review / it':>12}")
    show("open jobs alone", alone)
    show("all that comes in is known", world.foresight())
    show(f"enough in {SERVICE:.2f} of last year's windows", world.enough_last_year(SERVICE))
    for wait in WAITS:
        compare(world, wait)


def compare(world: World, wait: float) -> None:
    """The review where a wait costs so much, and the minimums beside it."""
    years = world.under(by_money(wait))
    ours = world.added(years)
    show(f"the review, a wait costs {wait / 100:.2f}", ours)
    step, row = world.as_good(ours, lambda quarters: world.multiple(quarters, minimum_alone))
    show(f"  as good, jobs aside: {step / 4:g} of last year's", row, ours)
    step, row = world.as_good(ours, world.multiple)
    show(f"  as good: {step / 4:g} of last year's windows each", row, ours)
    step, row = world.as_good(ours, lambda sticks: world.minimums(lambda _: sticks))
    show(f"  as good: {step} sticks of each", row, ours)
    show("  as good: each by hindsight", world.each_as_good(years), ours)


if __name__ == "__main__":
    main(sys.argv[1:])
