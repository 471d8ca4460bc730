"""The replay of buying: length is conserved, and the buyers differ as they must."""

from dataclasses import replace

import pytest

from demo.buyers.buying_bound import YearAhead
from demo.buyers.buyingyear import (
    STEADY,
    YEAR,
    Buyer,
    Course,
    asked_of,
    fixed_minimum,
    last_years_windows,
    minimum_alone,
    open_jobs,
    replay_buying,
    review,
)
from demo.buyers.odds_replay import scores, told_in_a_year
from demo.buying_replay import World, least
from planner.values import Frame
from stockroom.buying.odds import banded
from stockroom.buying.spare import Stake
from stockroom.replay import Order, ReplayFault, invented_shop

BUSY = invented_shop(5, 1)[0]
STAKE = Stake.until_review(150, 2_150, 7)
SLOW = replace(invented_shop(5, 6)[2], lead=3)
MIDDLING = replace(invented_shop(5, 6)[1], lead=3)


@pytest.mark.parametrize("buyer", [open_jobs, fixed_minimum(4), minimum_alone(4), review(STAKE)])
def test_no_length_is_lost_whoever_buys(buyer: Buyer) -> None:
    year = replay_buying(MIDDLING, buyer, 1, lead=7, days=60)
    assert year.balance == 0
    assert year.frames > 5


def test_a_review_has_fewer_stock_outs_than_open_jobs_alone_and_ties_up_more() -> None:
    alone = replay_buying(MIDDLING, open_jobs, 1, lead=7, days=120)
    covered = replay_buying(MIDDLING, review(STAKE), 1, lead=7, days=120)
    assert covered.stock_outs < alone.stock_outs / 2
    assert covered.tied > alone.tied


def test_a_minimum_alone_leaves_jobs_waiting_that_known_jobs_would_have_bought_for() -> None:
    early = replace(MIDDLING, lead=21)
    blind = replay_buying(early, minimum_alone(1), 1, lead=7, days=120)
    known = replay_buying(early, fixed_minimum(1), 1, lead=7, days=120)
    assert known.stock_outs == 0 < blind.stock_outs
    assert known.balance == blind.balance == 0


def test_jobs_known_longer_than_an_order_takes_need_no_cover() -> None:
    early = replace(MIDDLING, lead=21)
    assert replay_buying(early, open_jobs, 1, lead=7, days=120).stock_outs == 0


def test_demand_changes_with_the_year_and_the_history_does_not() -> None:
    def frames(times: float) -> tuple[int, int]:
        orders = asked_of(BUSY, 1, YEAR, Course(times))
        before = sum(order.day < YEAR for order in orders)
        return before, len(orders) - before

    plain, doubled, halved = frames(1.0), frames(2.0), frames(0.5)
    assert doubled[0] == pytest.approx(plain[0], rel=0.15)
    assert doubled[1] == pytest.approx(2 * plain[1], rel=0.15)
    assert halved[1] == pytest.approx(plain[1] / 2, rel=0.2)


def test_a_season_is_in_the_history_and_in_the_year() -> None:
    orders = asked_of(BUSY, 1, YEAR, Course(season=0.6))
    halves = [sum(order.day * 2 // YEAR == half for order in orders) for half in range(4)]
    # A sine's half is 1 + 0.6 * 2 / pi times the mean, the other half as much below it.
    assert halves[0] / halves[1] == pytest.approx(1.382 / 0.618, rel=0.2)
    assert halves[2] / halves[3] == pytest.approx(1.382 / 0.618, rel=0.2)


def test_a_minimum_of_last_years_windows_knows_nothing_of_the_year() -> None:
    windows = last_years_windows(BUSY, 1, 14)
    assert len(windows) == 51
    assert windows != last_years_windows(BUSY, 2, 14)
    assert max(windows) > sum(windows) / len(windows) > min(windows)
    usable = 2_980_000
    longest = sum(
        sum(order.frame.rails) for order in asked_of(BUSY, 1, 1, STEADY) if order.day < 14
    )
    assert windows[0] >= longest / usable


def test_the_table_finds_the_least_minimum_that_does_as_well() -> None:
    world = World(7, STEADY, 3, seed=1, days=28, profiles=3)
    del world.demands[0]  # The busy one takes the longest.
    row = world.minimums(lambda _: 4)
    step, found = world.one_number(row.stock_outs)
    assert step <= 4
    assert found.stock_outs <= row.stock_outs
    assert step == 0 or world.minimums(lambda _: step - 1).stock_outs > row.stock_outs
    best = world.hindsight(row.stock_outs + 2)
    assert min(one.money for one in best.values() if one.stock_outs <= found.stock_outs) <= (
        found.money
    )
    assert all(one.stock_outs == waits for waits, one in best.items())
    bound = world.foresight()
    assert bound.money < min(
        one.money for one in best.values() if one.stock_outs <= bound.stock_outs
    )
    assert world.enough_last_year(0.95).money > 0
    with pytest.raises(ReplayFault, match="no minimum below 80"):
        least(lambda _: False)


def test_nobody_ties_up_less_than_is_proven_however_many_wait() -> None:
    world = World(7, STEADY, 3, seed=1, days=84, profiles=3)
    del world.demands[0]  # The busy one takes the longest.
    none, known, few = world.foresight(), world.foresight_as_good(5), world.minimums(lambda _: 2)
    assert none.stock_outs <= known.stock_outs <= 5 < few.stock_outs
    assert world.proven(5) <= known.money <= none.money
    assert 0 < world.proven(5) < world.proven(none.stock_outs) <= none.money
    assert world.proven(few.stock_outs) <= few.money


def test_the_proven_floor_is_what_a_year_of_few_frames_shows_by_hand() -> None:
    # Frames of 4 x 500 mm, out of sticks of 3 m that come on days 364 + 0, 7, 14, ...
    def floor(*due: int, waits: int = 0) -> list[int]:
        frame = Frame("F", "P01", (500_000,) * 4)
        orders = [Order(YEAR + day - 3, YEAR + day, replace(frame, id=f"F{day}")) for day in due]
        return YearAhead(BUSY, orders, 7, 28).least_held(waits)

    # One due five days after a delivery lies for five evenings, one due with it for none.
    assert floor(5) == [5 * 2_000_000]
    assert floor(7) == [0]
    # The dearest is the one that is let wait.
    assert floor(5, 9, 13, waits=2) == [(5 + 2 + 6) * 2_000_000, 7 * 2_000_000, 2 * 2_000_000]
    # Two frames in the third week and one in the fourth take three sticks' 3 m, or leave some over.
    left = YearAhead(BUSY, [], 7, 28).least_left(0)
    assert left == [0]


def test_the_odds_that_a_year_of_reviews_tells_come_true() -> None:
    kept = [one for wait in (5, 20) for one in told_in_a_year(SLOW, wait, 2)]
    assert len(kept) > 90
    assert 0.1 < sum(one.fell_short for one in kept) / len(kept) < 0.7
    bands = banded(kept)
    assert len(bands) >= 2
    assert [band.off for band in bands] == [0] * len(bands)
    told, mean = scores(kept)
    assert told < mean
