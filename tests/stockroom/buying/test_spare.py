"""How many spare sticks to hold: the newsvendor of the textbooks and of SciPy's demands."""

import math
from random import Random
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm, poisson, rv_discrete

from stockroom.buying.spare import Stake, newsvendor, spare_sticks
from stockroom.buying.windows import WindowOutcome

PARTS = 5
"""A textbook's unit in so many sticks, each of which a frame waits for."""


def demand(shares: dict[int, float]) -> list[WindowOutcome]:
    """Outcomes in which each stick that lacks makes one frame wait."""
    return [WindowOutcome(count, count, share) for count, share in shares.items()]


def normal(mean: float, spread: float, parts: int = PARTS) -> list[WindowOutcome]:
    """A normal demand in so many parts of a unit."""
    curve = NormalDist(mean, spread)
    first, last = (int(parts * (mean + side * 6 * spread)) for side in (-1, 1))
    return demand({
        at: curve.cdf((at + 0.5) / parts) - curve.cdf((at - 0.5) / parts)
        for at in range(max(0, first), last)
    })  # fmt: skip


@pytest.mark.parametrize(
    ("outcomes", "ratio", "held", "near"),
    [
        # W. J. Stevenson, Operations Management, Ex. 8: N(50, 5), 3 % risk: 59.40.
        (normal(50, 5), 0.97, 59.40, 0.2),
        # The same: d 20, s 4 a day, L 10, 95 %: a safety of 21, rounded up there, over 200.
        (normal(200, 4 * 10**0.5), 0.95, 221, 0.4),
        # 50 a day, s 30, T 5, L 10, 99 %, 60 on hand: 961, with z rounded to 2.33.
        (normal(750, 30 * 15**0.5, 1), 0.99, 961 + 60, 1),
        # N(20, 4) a day, 7 + 3 days, 98 %: 225.98, computed for the data of MIT 15.762 (2011).
        (normal(200, 4 * 10**0.5), 0.98, 225.98, 0.2),
        # L. V. Snyder and Z.-J. M. Shen: h 0.18, p 0.70, N(50, 8): 56.6040.
        (normal(50, 8), 0.70 / 0.88, 56.6040, 0.2),
    ],
)
def test_the_sticks_that_cost_least_are_the_textbooks_quantity(
    outcomes: list[WindowOutcome], ratio: float, held: float, near: float
) -> None:
    parts = 1 if held > 900 else PARTS
    assert spare_sticks(outcomes, Stake(ratio, 1 - ratio)).sticks / parts == pytest.approx(
        held, abs=near
    )


def test_what_they_cost_is_the_textbooks_cost() -> None:
    # The same: at 56.6040 the cost is 1.9976, as its integral is.
    cost = newsvendor(normal(50, 8, 50), Stake(0.70 / 50, 0.18 / 50), round(56.6040 * 50))
    assert cost == pytest.approx(1.9976, abs=2e-4)
    theirs = norm(50, 8).expect(
        lambda asked: max(0.18 * (56.6040 - asked), 0.70 * (asked - 56.6040))
    )
    assert cost == pytest.approx(theirs, abs=2e-4)


@given(
    st.lists(st.integers(1, 20), min_size=1, max_size=9),
    st.floats(0.1, 90), st.floats(0.05, 30),
)  # fmt: skip
@settings(max_examples=40)
def test_whole_sticks_cost_least_at_the_share_of_the_demand_that_the_costs_tell(
    weights: list[int], wait: float, keep: float
) -> None:
    shares = {count: weight / sum(weights) for count, weight in enumerate(weights)}
    found = spare_sticks(demand(shares), Stake(wait, keep))
    asked = rv_discrete(values=(list(shares), list(shares.values())))
    theirs = asked.ppf(wait / (wait + keep))
    cost = asked.expect(lambda n: np.maximum(keep * (theirs - n), wait * (n - theirs)))
    assert found.costs[found.sticks] == pytest.approx(cost)
    assert newsvendor(demand(shares), Stake(wait, keep), int(theirs)) == pytest.approx(cost)
    assert found.sticks <= theirs + 1e-9
    assert list(found.short) == sorted(found.short, reverse=True)


@pytest.mark.parametrize("rate", [0.3, 2.0, 11.0])
@pytest.mark.parametrize("ratio", [0.5, 0.90, 0.98])
def test_counts_are_covered_as_scipy_says(rate: float, ratio: float) -> None:
    shares = {count: float(poisson.pmf(count, rate)) for count in range(40)}
    found = spare_sticks(demand(shares), Stake(ratio, 1 - ratio))
    assert found.sticks == poisson.ppf(ratio, rate)
    assert found.usual == poisson.ppf(0.5, rate)


def test_what_is_dear_to_hold_is_held_less_and_what_waits_dearly_more() -> None:
    shares = {count: float(poisson.pmf(count, 3)) for count in range(30)}
    held = [spare_sticks(demand(shares), Stake.until_review(900, price, 7)).sticks
            for price in (1_000, 10_000, 100_000)]  # fmt: skip
    assert held == sorted(held, reverse=True)
    assert held[0] > held[-1]
    assert spare_sticks(demand(shares), Stake(1_800, 5)).sticks >= held[0]


def test_a_last_buy_is_no_more_than_its_money_is_worth() -> None:
    # A need of 2.9 sticks in the mean and 8 at most, at 48 a stick, where a wait costs 20: a
    # stick that is left is lost, so the usual need is too much already.
    shares = {0: 0.1, 2: 0.35, 3: 0.25, 4: 0.2, 5: 0.05, 8: 0.05}
    assert sum(count * share for count, share in shares.items()) == pytest.approx(2.9, abs=0.2)
    assert spare_sticks(demand(shares), Stake.for_good(2_000, 4_800)).sticks == 2
    assert spare_sticks(demand(shares), Stake.for_good(20_000, 4_800)).sticks == 4


def test_frames_wait_by_the_share_of_the_sticks_that_lack() -> None:
    # Twelve frames out of four sticks: a stick less makes three of them wait.
    outcome = [WindowOutcome(12, 4, 1.0)]
    assert newsvendor(outcome, Stake(10, 1), 3) == 30
    assert newsvendor(outcome, Stake(10, 1), 6) == 2


def test_what_waits_before_the_order_is_there_is_not_counted_in_two_reviews() -> None:
    # Of 4 sticks a window, 3 are due before today's order comes: with 2 sticks 1 waits by then,
    # which the review before has counted, and 1 more after it.
    outcome = [WindowOutcome(4, 4, 1.0, 3, 3)]
    assert newsvendor(outcome, Stake(10, 1), 2) == 10
    assert newsvendor(outcome, Stake(10, 1), 3) == 10
    assert newsvendor(outcome, Stake(10, 1), 4) == 0


def test_the_carriage_of_a_small_order_is_paid_once_however_many_frames_wait() -> None:
    outcome = [WindowOutcome(4, 4, 1.0)]
    assert newsvendor(outcome, Stake(10, 1, 7), 1) == 37
    assert newsvendor(outcome, Stake(10, 1, 7), 4) == 0
    # Between two reviews: what waited before has had its own.
    assert newsvendor([WindowOutcome(4, 4, 1.0, 3, 3)], Stake(10, 1, 7), 2) == 17
    assert newsvendor([WindowOutcome(3, 3, 1.0, 3, 3)], Stake(10, 1, 7), 2) == 0


def test_nothing_to_come_needs_no_stick_and_is_never_short() -> None:
    found = spare_sticks([WindowOutcome(0, 0, 1.0)], Stake(10, 1))
    assert (found.sticks, found.usual, found.short, found.saved) == (0, 0, (0,), 0)
    assert math.isclose(sum(found.costs), 0)


def test_the_next_stretch_may_want_more_than_all_that_were_seen() -> None:
    # By rank: of a new one and n seen before it, all alike, each is as likely to be the most.
    luck = Random(1)
    beyond = short = 0.0
    for _ in range(150):
        *past, new = (luck.randrange(90) for _ in range(11))
        beyond += new > max(past)
        spare = spare_sticks(demand(dict.fromkeys(set(past), 0.1)), Stake(1e9, 1), 10)
        assert spare.sticks == max(past)
        short += spare.falls_short(spare.sticks)
    assert short / 150 == pytest.approx(1 / 11)
    assert beyond / 150 == pytest.approx(1 / 11, abs=0.06)
    assert spare_sticks(demand({0: 1.0}), Stake(1, 1), 10).short == (0.0,)
