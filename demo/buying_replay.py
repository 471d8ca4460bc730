"""A shop's year of buying replayed: the review by money, minimums tuned in hindsight, foresight.

``python -m demo.buying_replay 7 1 3`` prints stock-outs, money tied up and length bought for
invented profiles of every pace: a lead time of 7 days, as many jobs as in the year before, each
due 3 days after it comes in. A season's swing, a seed, what a wait costs and how many
profiles may follow, as ``7 1 3 0.6 12 0.40 3``: the first three are those not matched by batch.
"""

import sys
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from demo.buyers.buying_bound import YearAhead, least_over_all
from demo.buyers.buyingyear import (
    Buyer,
    Course,
    Year,
    asked_of,
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

__all__ = ["Row", "World", "least"]

SEED, REVIEW_DAYS, MOST = 11, 7, 80
Rule = Callable[[int], Buyer]
WAIT, SERVICE, SLACK = 80, 0.95, 2
STICK_PRICES = {
    "busy, free": 9_60, "middling, free": 21_50, "slow, free": 33_00,
    "busy, matched": 18_40, "middling, matched": 34_10, "slow, matched": 69_50,
}  # fmt: skip
"""Prices of a stick in minor units, invented: what is rare is dear."""


@dataclass(frozen=True, slots=True)
class Row:
    """A shop's year: stock-outs, money tied up (minor units, mean of the days), length bought, and
    how much of the money lies in offcuts."""

    frames: int
    stock_outs: int
    money: int
    bought: int
    offcuts: int

    def __add__(self, other: "Row") -> "Row":
        return Row(self.frames + other.frames, self.stock_outs + other.stock_outs,
                   self.money + other.money, self.bought + other.bought,
                   self.offcuts + other.offcuts)  # fmt: skip


NOTHING = Row(0, 0, 0, 0, 0)


def price_of(demand: ShopDemand) -> float:
    """What a micrometre of a profile costs, minor units."""
    return STICK_PRICES[demand.kind] * 2 / sum(demand.sticks)


class World:
    """Six profiles, a lead time and a notice in days, and how demand goes.

    ``notice`` is how many days before it is due a job comes in.
    """

    def __init__(
        self, lead: int, course: Course, notice: int, seed: int = SEED, days: int = 364,
        profiles: int = 6,
    ) -> None:  # fmt: skip
        self.lead, self.course, self.seed, self.days = lead, course, seed, days
        self.demands = [replace(demand, lead=notice) for demand in invented_shop(5, profiles)]
        self.known: dict[tuple[str, int, Rule], Row] = {}

    def year(self, demand: ShopDemand, buyer: Buyer) -> Row:
        """One profile's year where this buyer orders, its rack at the price of its sticks."""
        found: Year = replay_buying(demand, buyer, self.seed, self.lead, self.days, self.course)
        price = price_of(demand)
        return Row(found.frames, found.stock_outs, int(found.tied * price), found.bought,
                   int(found.offcuts * price))  # fmt: skip

    def kept(self, demand: ShopDemand, sticks: int, rule: Rule) -> Row:
        """One profile's year with a fixed minimum, replayed once."""
        if (demand.profile, sticks, rule) not in self.known:
            self.known[demand.profile, sticks, rule] = self.year(demand, rule(sticks))
        return self.known[demand.profile, sticks, rule]

    def under(self, buyer: Callable[[ShopDemand], Buyer]) -> Row:
        """The shop's year where each profile's buyer orders."""
        return sum((self.year(demand, buyer(demand)) for demand in self.demands), NOTHING)

    @cached_property
    def came(self) -> list[int]:
        """The days on which all profiles' jobs come in."""
        return sorted(order.day for demand in self.demands
                      for order in asked_of(demand, self.seed, self.days, self.course))  # fmt: skip

    def foresight(self, let_wait: Collection[str] = ()) -> Row:
        """The shop's year by who knows what will come in before the next order is there, and lets
        the frames of these names wait."""
        return self.under(
            lambda demand: foreseeing(demand, self.seed, self.lead, self.days, self.course,
                                      let_wait)
        )  # fmt: skip

    def foresight_as_good(self, stock_outs: int) -> Row:
        """The same who lets wait what would lie dearest, as long as no more wait than these."""
        best = self.foresight()
        dearest = sorted(
            (-ahead.held(order) * price_of(demand), order.frame.id)
            for demand, ahead in zip(self.demands, self.ahead, strict=True)
            for order in ahead.counted
        )  # fmt: skip
        more = stock_outs - best.stock_outs
        while more > 0:
            row = self.foresight({name for _, name in dearest[:more]})
            if row.stock_outs <= stock_outs:
                return min(best, row, key=lambda row: row.money)
            more //= 2
        return best

    @cached_property
    def ahead(self) -> list[YearAhead]:
        """Each profile's year, to who knows all of it."""
        return [YearAhead(demand, asked_of(demand, self.seed, self.days, self.course), self.lead,
                          self.days) for demand in self.demands]  # fmt: skip

    def proven(self, stock_outs: int) -> int:
        """The money (minor units) that nobody can go below with no more stock-outs than these."""
        each = [[price_of(demand) * length for length in ahead.least(stock_outs)]
                for demand, ahead in zip(self.demands, self.ahead, strict=True)]  # fmt: skip
        return int(least_over_all(each)[stock_outs])

    def minimums(self, sticks: Callable[[ShopDemand], int], rule: Rule = fixed_minimum) -> Row:
        """The shop's year with a fixed minimum for each profile."""
        each = (self.kept(demand, sticks(demand), rule) for demand in self.demands)
        return sum(each, NOTHING)

    @cached_property
    def windows(self) -> dict[str, list[int]]:
        """What each profile took last year in every window of a review and a lead time."""
        days = self.lead + REVIEW_DAYS
        return {demand.profile: last_years_windows(demand, self.seed, days, self.course)
                for demand in self.demands}  # fmt: skip

    def enough_last_year(self, service: float) -> Row:
        """Minimums that would have been enough in this share of last year's windows."""
        return self.minimums(lambda demand: enough(self.windows[demand.profile], service))

    def one_number(self, stock_outs: int) -> tuple[int, Row]:
        """The least minimum, one for all profiles, with no more stock-outs than these."""

        def row(sticks: int) -> Row:
            return self.minimums(lambda _: sticks)

        found = least(lambda sticks: row(sticks).stock_outs <= stock_outs)
        return found, row(found)

    def hindsight(self, most: int, rule: Rule = fixed_minimum) -> dict[int, Row]:
        """The least money with each number of stock-outs up to so many, where every profile has
        the minimum that the year itself shows to be best."""
        best = {0: NOTHING}
        for demand in self.demands:
            several: dict[int, Row] = {}
            for row in best.values():
                for one in self.choices(demand, most, rule):
                    both = row + one
                    there = several.get(both.stock_outs)
                    if both.stock_outs <= most and (not there or both.money < there.money):
                        several[both.stock_outs] = both
            best = several
        return best

    def choices(self, demand: ShopDemand, most: int, rule: Rule) -> Iterator[Row]:
        """One profile's years by its minimums, from the least without a stock-out down."""
        sticks = least(lambda sticks: self.kept(demand, sticks, rule).stock_outs == 0)
        while sticks >= 0 and (found := self.kept(demand, sticks, rule)).stock_outs <= most:
            yield found
            sticks -= 1


def least(enough: Callable[[int], bool]) -> int:
    """The least number of sticks that is enough, by halving.

    Raises:
        ReplayFault: none below 80 is.
    """
    low, high = 0, MOST
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle + 1, high)
    if low == MOST:
        raise ReplayFault(f"no minimum below {MOST} sticks is enough")
    return low


def enough(windows: Sequence[int], service: float) -> int:
    """The least that is enough in this share of the windows."""
    return sorted(windows)[len(windows) - 1 - int(len(windows) * (1 - service) + 1e-9)]


def by_money(wait: float, came: Sequence[int]) -> Callable[[ShopDemand], Buyer]:
    """The review, where a frame that waits costs so much (minor units)."""
    return lambda demand: review(
        Stake.until_review(wait, STICK_PRICES[demand.kind], REVIEW_DAYS), came
    )


def show(name: str, row: Row, ours: Row | None = None) -> None:
    """One line of the table; the review's money in percent of the row's."""
    share = "" if ours is None else f"{100 * ours.money / row.money:>11.0f} %"
    print(f"{name:<44}{row.stock_outs:>10}{row.money / 100:>10.2f}{row.bought / 1e6:>8.0f}{share}",
          flush=True)  # fmt: skip


def main(words: Sequence[str]) -> None:
    """The comparison: lead time in days, demand multiplied, days of notice, swing, seed, cost of a
    wait, profiles."""
    usual = ("7", "1", "3", "0", str(SEED), str(WAIT / 100), "6")
    given = map(float, [*words, *usual[len(words) :]])
    lead, times, notice, season, seed, wait, profiles = given
    world = World(int(lead), Course(times, season), int(notice), int(seed),
                  profiles=int(profiles))  # fmt: skip
    alone = world.under(lambda _: open_jobs)
    print(f"{alone.frames} frames, lead {lead:g} days, {times:g} times last year's demand, season "
          f"{season:g}, jobs due {notice:g} days after they come in; seed {seed:g}")  # fmt: skip
    print(f"{'who buys':<44}{'stock-outs':>10}{'tied up':>10}{'metres':>8}{'review / it':>13}")
    ours = world.under(by_money(100 * wait, world.came))
    show(f"the review, a wait costs {wait:.2f}", ours)
    bound = world.foresight_as_good(ours.stock_outs)
    show("all that comes in is known, as many wait", bound, ours)
    print(f"of the review's money {ours.offcuts / ours.money:.0%} lies in offcuts, "
          f"of who knows all {bound.offcuts / bound.money:.0%}", flush=True)  # fmt: skip
    proven = world.proven(ours.stock_outs)
    print(f"{'nobody can do with less, batches left aside':<54}{proven / 100:>10.2f}"
          f"{100 * ours.money / proven:>19.0f} %")  # fmt: skip
    show("open jobs alone", alone)
    show(f"enough in {SERVICE:.2f} of last year's windows", world.enough_last_year(SERVICE), ours)
    step, one = world.one_number(ours.stock_outs)
    show(f"as good: {step} sticks of each", one, ours)
    for name, rule in (("jobs aside", minimum_alone), ("jobs first", fixed_minimum)):
        compare(name, world.hindsight(SLACK * ours.stock_outs + 10, rule), ours, bound)


def compare(name: str, found: dict[int, Row], ours: Row, bound: Row) -> None:
    """Minimums tuned in hindsight: their money at as few waits, their waits at as much money."""
    as_good = min((row for row in found.values() if row.stock_outs <= ours.stock_outs),
                  key=lambda row: row.money)  # fmt: skip
    show(f"as good by hindsight, {name}", as_good, ours)
    affordable = [row for row in found.values() if row.money <= ours.money]
    if affordable:
        show("  as dear", min(affordable, key=lambda row: row.stock_outs), ours)
    print(f"  it ties up {100 * as_good.money / bound.money:.0f} % of what foresight does, the "
          f"review {100 * ours.money / bound.money:.0f} %", flush=True)  # fmt: skip


if __name__ == "__main__":
    main(sys.argv[1:])
