"""What the week's lists said is kept with their orders, and told beside what came of it."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from stockroom.buying.odds import FEWEST
from stockroom.record.database import reading
from stockroom.record.ledger import Hand
from stockroom.refusals import Refused
from stockroom.services.morning import day_plan as morning
from stockroom.services.morning.problem import Choices
from stockroom.services.morning.sheets import to_settle
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop
from stockroom.services.weekly import purchase_orders as ordering
from stockroom.services.weekly.odds_kept import lines_told, odds_kept
from stockroom.services.weekly.purchase_orders import Advised, Wanted
from tests.stockroom.conftest import assert_true, stocked
from tests.stockroom.conftest import told as told_of
from tests.stockroom.hard.shopwork import MONDAY, sticks, take

WEEK = timedelta(7)


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """A stocked shop whose record must be true when the test ends."""
    made = stocked(str(tmp_path / "shop.db"))
    yield made
    assert_true(made)


def on(shop: Shop, day: date) -> Shop:
    """The same shop on another day."""
    return replace(shop, hand=Hand("ada", day))


def ordered(shop: Shop, advised: int, sticks: int, short: float = 0.25) -> None:
    """An order that is placed today, of a list that covered a week."""
    line = Wanted("ASH-22", sticks, "2 spare", Advised(advised, short, 7))
    order = ordering.draft(shop, "LARK", [line])
    ordering.place(shop, str(order.number))


def told(shop: Shop) -> list[tuple[float, bool]]:
    """The odds of each line whose time is over, and whether it fell short."""
    with reading(shop.engine) as session:
        return [(line.short, line.fell_short) for line in lines_told(session, shop)]


def test_a_line_fell_short_where_a_frame_that_came_in_was_cut_too_late(shop: Shop) -> None:
    ordered(shop, 2, 2)
    later = on(shop, MONDAY + timedelta(2))
    take(later, due=str(later.hand.day + timedelta(1)))
    assert told(later) == []
    # It waits: its day passes, and so do the days that the list covered.
    assert told(on(shop, MONDAY + timedelta(9))) == [(0.25, True)]
    # Another week's is cut on its day.
    next_week = on(shop, MONDAY + 2 * WEEK)
    ordered(next_week, 1, 3, 0.1)
    day_after = on(shop, MONDAY + 2 * WEEK + timedelta(1))
    take(day_after, due=str(day_after.hand.day))
    sticks(day_after, 4)
    plan = morning.plan_day(day_after, Choices(day_after.hand.day, seconds=2)).plan or 0
    morning.accept(day_after, plan)
    for piece in to_settle(day_after, plan):
        record_cut(day_after, SawReport(plan, piece))
    assert told(on(shop, MONDAY + 4 * WEEK)) == [(0.25, True), (0.1, False)]


def test_lines_ordered_for_less_than_was_said_and_drafts_tell_nothing(shop: Shop) -> None:
    ordered(shop, 3, 2)
    ordering.draft(shop, "LARK", [Wanted("ASH-22", 3, "", Advised(3, 0.2, 7))])
    assert told(on(shop, MONDAY + 2 * WEEK)) == []


def test_once_enough_lines_are_over_the_list_says_how_its_odds_came_out(shop: Shop) -> None:
    for week in range(FEWEST):
        assert odds_kept(on(shop, MONDAY + week * WEEK)) == []
        ordered(on(shop, MONDAY + week * WEEK), 2, 2, 0.05)
    later = on(shop, MONDAY + (FEWEST + 1) * WEEK)
    assert told_of(*odds_kept(later)) == (
        "Of 12 lines of past lists that said: run out one time in 20, 0 did, where 0.6 should "
        "have: such odds can be trusted"
    )
    for week in range(FEWEST):
        day = MONDAY + week * WEEK + timedelta(1)
        take(on(shop, day), due=str(day))
    said = told_of(*odds_kept(later))
    assert "12 did, where 0.6 should have, more than chance explains: hold more" in said


def test_odds_that_are_none_are_refused() -> None:
    with pytest.raises(Refused, match="reckon the list again"):
        Advised(2, 1.5, 7)
