"""The week's order: open jobs first, what is on order counted, then cover for what may come."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from sqlmodel import select

from stockroom.record.database import changing
from stockroom.record.ledger import Hand
from stockroom.record.tables import Job, Supplier
from stockroom.refusals import Refused
from stockroom.services.catalogue.profiles import change_profile, profile_cells
from stockroom.services.shop import Shop
from stockroom.services.weekly import purchase_orders as ordering
from stockroom.services.weekly.profile_state import horizon
from stockroom.services.weekly.review import OrderLine, reorder, review_week
from stockroom.services.weekly.supplier_terms import terms_of
from tests.stockroom.conftest import told
from tests.stockroom.hard.shopwork import MONDAY, sticks, take


def on(shop: Shop, day: date) -> Shop:
    """The same shop on another day."""
    return replace(shop, hand=Hand("ada", day))


def year(shop: Shop, every: int = 7, weeks: int = 30) -> Shop:
    """A past of one job every so many days, put on hold so that only their asking counts."""
    for back in range(weeks * 7, 0, -every):
        day = MONDAY + timedelta(weeks * 7 - back)
        take(on(shop, day), due=(day + timedelta(5)).isoformat())
    hold_all(shop)
    return on(shop, MONDAY + timedelta(weeks * 7))


def hold_all(shop: Shop) -> None:
    """Holds all jobs back."""
    with changing(shop.engine) as session:
        for job in session.exec(select(Job)):
            job.state = "held"


def line(shop: Shop) -> OrderLine | None:
    """What to buy of plain ash."""
    return next(iter(reorder(shop, profile="ASH-22")), None)


def test_a_new_shop_keeps_its_minimum_until_a_quarter_has_shown_its_demand(shop: Shop) -> None:
    found = line(shop)
    assert found is not None
    assert (found.sticks, found.for_minimum, found.for_expected) == (2, 2, 0)
    assert told(*found.why) == "2 to keep 2 whole sticks (0 left)"


def test_open_jobs_count_once_and_what_is_on_order_serves_them(shop: Shop) -> None:
    change_profile(shop, "ASH-22", {"minimum_sticks": "0"})
    take(shop)
    found = line(shop)
    assert found is not None
    assert (found.sticks, told(*found.why)) == (1, "1 for J1")
    ordering.draft(shop, "LARK", [ordering.Wanted("ASH-22", 1)])
    assert line(shop) == found
    ordering.place(shop, "1")
    assert line(shop) is None


def test_a_busy_profile_is_bought_for_what_its_past_makes_likely(shop: Shop) -> None:
    later = year(shop)
    found = line(later)
    assert found is not None
    assert (found.for_short, found.for_jobs, found.for_minimum) == (0, 0, 0)
    # A frame a week, nine days until the next order comes: two frames in two windows of seven.
    assert found.for_expected == 2
    assert told(*found.why) == (
        "1 usual and 1 spare ($37.00) for 14 days, jobs come 5 ahead: run out one time in 24, "
        "1 ($18.50) one time in 3, without them most times; busy, in 30 of 31 weeks"
    )
    sticks(later, 2)
    assert line(later) is None


def week_line(shop: Shop) -> OrderLine | None:
    """What to buy of plain ash, in the whole week's list."""
    return next((one for one in reorder(shop) if one.profile == "ASH-22"), None)


def test_an_order_for_spare_sticks_alone_must_save_more_than_its_carriage(shop: Shop) -> None:
    later = year(shop)
    settings = replace(later.settings, wait_cost="9")
    later = replace(later, settings=settings)
    assert week_line(later) is not None

    def carriage(minor: int, free: int | None = None) -> None:
        with changing(shop.engine) as session:
            supplier = session.get_one(Supplier, "LARK")
            supplier.carriage_minor, supplier.free_carriage_minor = minor, free
            session.add(supplier)

    carriage(4_000)
    assert week_line(later) is None
    said = told(*review_week(later).said)
    assert said.startswith("Lark Hollow Mouldings: 2 ASH-22 spare would save $8.55 in ")
    assert said.endswith("in waits, less than the carriage of $40.00: left for next week")
    # Free carriage from what they come to, or a job that needs a stick anyway: they come along.
    carriage(4_000, 3_000)
    assert week_line(later) is not None
    carriage(4_000)
    take(later, due=later.hand.day.isoformat())
    found = week_line(later)
    assert found is not None
    assert found.for_short == 1
    assert found.for_expected > 0


def test_one_job_in_two_years_puts_nothing_on_the_list(shop: Shop) -> None:
    take(shop, due="2026-11-24")
    hold_all(shop)
    assert line(on(shop, MONDAY + timedelta(720))) is None


def test_a_demand_that_stopped_is_not_bought_for(shop: Shop) -> None:
    later = year(shop)
    assert line(on(later, later.hand.day + timedelta(7 * 40))) is None


def test_sticks_sold_in_boxes_are_ordered_in_boxes(shop: Shop) -> None:
    change_profile(shop, "ASH-22", {"box_sticks": "6"})
    found = line(shop)
    assert found is not None
    assert (found.sticks, found.for_box, found.price) == (6, 4, 6 * 1_850)
    assert told(*found.why).endswith("4 to fill a box of 6")


def test_many_sticks_cost_what_their_break_says_and_more_are_told_where_they_cost_less(
    shop: Shop,
) -> None:
    change_profile(shop, "ASH-22", {"minimum_sticks": "9", "price_breaks": "6: 18; 10: 16"})
    found = line(shop)
    assert found is not None
    # Nine cost 162.00, ten 160.00.
    assert (found.sticks, found.stick_price, found.price) == (9, 1_800, 9 * 1_800)
    assert told(*found.why).endswith("10 sticks cost $160.00 in all, less than 9 do")
    ordering.draft(shop, "LARK", [ordering.Wanted("ASH-22", 10)])
    assert ordering.order_rows(shop)[0].lines[0].price == 1_600
    with pytest.raises(Refused, match=r"18\.50 are not below its price"):
        change_profile(shop, "ASH-22", {"price_breaks": "6: 18.50"})
    assert profile_cells(shop, "ASH-22")["price_breaks"] == "6: 18.00; 10: 16.00"


def test_a_profile_sold_no_more_is_ordered_for_open_jobs_alone(shop: Shop) -> None:
    change_profile(shop, "ASH-22", {"discontinued": "yes"})
    assert line(shop) is None
    take(shop)
    found = line(shop)
    assert found is not None
    assert (found.sticks, told(*found.why)) == (
        1, "1 for J1; sold no more: for open jobs alone, if any are left",
    )  # fmt: skip


@pytest.mark.parametrize(("lead", "weekday", "days"), [(0, None, 7), (None, None, 14), (3, 2, 16)])
def test_the_review_looks_as_far_as_the_next_order_takes_to_come(
    lead: int | None, weekday: int | None, days: int
) -> None:
    supplier = Supplier(code="LARK", name="Lark", lead_days=lead, delivery_day=weekday)
    assert horizon(supplier, MONDAY) == days


def test_an_order_below_the_suppliers_minimum_says_what_would_fill_it_or_why_not(
    shop: Shop,
) -> None:
    def least(minor: int) -> None:
        with changing(shop.engine) as session:
            supplier = session.get_one(Supplier, "LARK")
            supplier.order_minimum_minor = minor
            session.add(supplier)

    least(10_000)
    (terms,) = terms_of(shop, reorder(shop, profile="ASH-22"))
    assert told(terms.said) == (
        "Lark Hollow Mouldings: $37.00, $63.00 below its order minimum: leave it, nothing else "
        "will be needed that would fill it"
    )
    later = year(shop)
    (terms,) = terms_of(later, reorder(later, profile="ASH-22"))
    assert terms.fill == {"ASH-22": 4}
    assert "add 4 ASH-22, filled up with what is needed within" in told(terms.said)
    least(3_000)
    assert terms_of(later, reorder(later, profile="ASH-22")) == []
