"""Orders from draft to rack: changed, placed, received in part and over, late, given up, undone."""

import random
from collections import Counter
from dataclasses import replace
from datetime import date, timedelta

import pytest

from stockroom.record.database import reading
from stockroom.record.ledger import Hand, on_rack
from stockroom.record.orders import OrderState, on_order, order_named
from stockroom.record.tables import Supplier
from stockroom.refusals import Clash, Refused, StockroomError, Unknown, Unlikely, Unreadable
from stockroom.services.rack.pieces import Arrival
from stockroom.services.record.undo import undo
from stockroom.services.shop import Shop
from stockroom.services.weekly import purchase_orders as ordering
from stockroom.services.weekly.purchase_orders import Wanted, delivery_after
from stockroom.services.weekly.receive_order import Bundle, check_not_come, receive_order
from stockroom.words.language import Voice
from tests.stockroom.conftest import assert_true
from tests.stockroom.hard.shopwork import take

MONDAY = date(2026, 11, 23)


def bundle(count: int, length: int = 3_000_000, profile: str = "ASH-22") -> Bundle:
    """Sticks of one batch that came."""
    return Bundle(profile, "B9", (Arrival(length),) * count)


def placed(shop: Shop, sticks: int = 3) -> OrderState:
    """A placed order for sticks of plain ash."""
    number = ordering.draft(shop, "lark", [Wanted("ash-22", sticks, "two jobs")]).number
    return ordering.place(shop, str(number), "R-17")


def coming(shop: Shop) -> dict[str, list[tuple[date | None, int]]]:
    """What is on order."""
    with reading(shop.engine) as session:
        return on_order(session)


def on_the_rack(shop: Shop) -> int:
    """How many pieces lie on the rack."""
    with reading(shop.engine) as session:
        return len(on_rack(session))


def test_an_order_knows_its_supplier_its_lines_and_their_reasons(shop: Shop) -> None:
    order = ordering.draft(shop, "lark", [Wanted("ash-22", 3, "two jobs"), Wanted("LEAF-40", 1)])
    assert (order.number, order.supplier, order.state, order.to_come) == (1, "LARK", "draft", 0)
    assert [(line.profile, line.sticks, line.why) for line in order.lines] == [
        ("ASH-22", 3, "two jobs"), ("LEAF-40", 1, ""),
    ]  # fmt: skip
    assert order.price() == (3 * 1_850, 1)


def test_a_draft_is_not_yet_on_order_and_a_placed_one_is(shop: Shop) -> None:
    ordering.draft(shop, "LARK", [Wanted("ASH-22", 3)])
    assert coming(shop) == {}
    order = ordering.place(shop, "O1", "R-17")
    assert (order.reference, order.due) == ("R-17", date(2026, 11, 30))
    assert coming(shop) == {"ASH-22": [(date(2026, 11, 30), 3)]}


@pytest.mark.parametrize(
    ("lead", "weekday", "comes"),
    [
        (0, None, date(2026, 11, 23)), (None, None, date(2026, 11, 30)),
        (2, 2, date(2026, 11, 25)), (3, 2, date(2026, 12, 2)), (0, 6, date(2026, 11, 29)),
    ],
)  # fmt: skip
def test_an_order_comes_on_the_first_delivery_day_after_the_lead_time(
    lead: int | None, weekday: int | None, comes: date
) -> None:
    supplier = Supplier(code="LARK", name="Lark", lead_days=lead, delivery_day=weekday)
    assert delivery_after(supplier, MONDAY) == comes


def test_sticks_in_part_leave_the_rest_on_order_until_they_come(shop: Shop) -> None:
    placed(shop)
    first = receive_order(shop, "1", [bundle(2)])
    assert (first.order.state, first.order.to_come, first.differences) == ("placed", 1, ())
    assert coming(shop) == {"ASH-22": [(date(2026, 11, 30), 1)]}
    last = receive_order(shop, "1", [bundle(1)])
    assert (last.order.state, last.order.to_come, on_the_rack(shop)) == ("received", 0, 3)
    with pytest.raises(Clash, match="is received"):
        receive_order(shop, "1", [bundle(1)])


def test_more_sticks_shorter_ones_and_another_price_are_recorded_and_named(shop: Shop) -> None:
    placed(shop, 1)
    come = (Arrival(3_000_000), Arrival(2_990_000))
    got = receive_order(shop, "1", [Bundle("ASH-22", "B9", come, price=1_900)])
    assert list(map(Voice("on_a_page", shop.settings).say, got.differences)) == [
        "ASH-22: 1 more than ordered",
        "ASH-22: 1 of 2 shorter than 3000 mm, the shortest 2990 mm (piece 2)",
        "ASH-22: $19.00 a stick, was $18.50",
    ]
    assert (got.order.state, on_the_rack(shop)) == ("received", 2)


def test_a_delivery_names_the_jobs_that_can_now_be_cut(shop: Shop) -> None:
    take(shop)
    take(shop, width="1200", height="1200")
    placed(shop)
    got = receive_order(shop, "1", [bundle(1)])
    assert got.cuttable == ("J1",)
    assert receive_order(shop, "1", [bundle(2)]).cuttable == ("J2",)


def test_a_bundle_typed_again_on_its_day_is_asked_about(shop: Shop) -> None:
    placed(shop, 4)
    check_not_come(shop, "1", bundle(2))
    receive_order(shop, "1", [bundle(2)])
    with pytest.raises(Unlikely, match="2 sticks of these lengths came today already: order 1"):
        check_not_come(shop, "1", bundle(2))
    check_not_come(shop, "1", bundle(1))
    check_not_come(replace(shop, hand=Hand("ada", MONDAY + timedelta(1))), "1", bundle(2))
    undo(shop)
    check_not_come(shop, "1", bundle(2))


def test_an_order_is_late_when_its_day_is_past_and_something_is_to_come(shop: Shop) -> None:
    order = placed(shop)
    assert [order.late(date(2026, 11, day)) for day in (29, 30)] == [0, 0]
    assert order.late(date(2026, 12, 4)) == 4
    got = receive_order(shop, "1", [bundle(3)])
    assert got.order.late(date(2026, 12, 4)) == 0


def test_what_has_not_come_can_be_given_up(shop: Shop) -> None:
    placed(shop)
    receive_order(shop, "1", [bundle(2)])
    assert ordering.cancel(shop, "1", "sold out").state == "received"
    assert coming(shop) == {}
    placed(shop)
    assert ordering.cancel(shop, "2").state == "cancelled"
    assert ordering.order_rows(shop) == []
    assert [order.state for order in ordering.order_rows(shop, closed=True)] == [
        "received", "cancelled",
    ]  # fmt: skip


def test_an_order_is_changed_but_never_below_what_has_come(shop: Shop) -> None:
    placed(shop)
    receive_order(shop, "1", [bundle(2)])
    with pytest.raises(Refused, match="2 sticks of ASH-22 have come"):
        ordering.change(shop, "1", [Wanted("ASH-22", 1)])
    assert ordering.change(shop, "1", [Wanted("LEAF-40", 4)]).to_come == 5
    order = ordering.change(shop, "1", [Wanted("LEAF-40", 0), Wanted("ASH-22", 2)])
    assert (order.state, order.to_come) == ("received", 0)


def test_what_makes_no_sense_is_refused_and_leaves_no_trace(shop: Shop) -> None:
    for wanted in ([], [Wanted("ASH-22", 0)], [Wanted("ASH-22", 1), Wanted("ash-22", 2)]):
        with pytest.raises(Refused):
            ordering.draft(shop, "LARK", wanted)
    for number, error in (("7", Unknown), ("seven", Unreadable)):
        with pytest.raises(error):
            ordering.order_row(shop, number)
    with pytest.raises(Refused):
        Wanted("ASH-22", -1)
    assert ordering.order_rows(shop, closed=True) == []
    placed(shop)
    with pytest.raises(Refused, match="is not on order 1"):
        receive_order(shop, "1", [bundle(1), bundle(1, profile="LEAF-40")])
    with pytest.raises(Refused, match="nothing was received"):
        receive_order(shop, "1", [])
    assert on_the_rack(shop) == 0


def test_an_undone_receipt_takes_its_sticks_off_the_rack_and_puts_them_on_order(
    shop: Shop,
) -> None:
    placed(shop)
    receive_order(shop, "1", [bundle(3)])
    undo(shop)
    assert (on_the_rack(shop), ordering.order_row(shop, "1").to_come) == (0, 3)
    receive_order(shop, "1", [bundle(3)])
    assert (on_the_rack(shop), ordering.order_row(shop, "1").state) == (3, "received")


def test_each_step_of_an_order_can_be_undone_back_to_nothing(shop: Shop) -> None:
    placed(shop)
    ordering.change(shop, "1", [Wanted("ASH-22", 8)])
    ordering.cancel(shop, "1")
    seen = []
    for _ in range(4):
        undo(shop)
        order = ordering.order_row(shop, "1")
        seen.append((order.state, sum(line.sticks for line in order.lines)))
        assert_true(shop)
    assert seen == [("placed", 8), ("placed", 3), ("draft", 3), ("cancelled", 3)]


def test_a_placed_order_is_not_undone_under_what_came_of_it(shop: Shop) -> None:
    placed(shop)
    receive_order(shop, "1", [bundle(1)])
    with reading(shop.engine) as session:
        entry = order_named(session, "1").placed_in
    with pytest.raises(Clash, match="is built on by"):
        undo(shop, entry)


STEPS = ("receive", "over", "wrong lengths", "both", "change", "cancel", "undo", "place", "draft")


FITTING = {"place": "draft", "change": "placed", "cancel": "placed"}


@pytest.mark.parametrize("seed", range(2))
def test_whatever_is_done_no_stick_is_lost_or_comes_twice(shop: Shop, seed: int) -> None:
    dice = random.Random(seed)
    done: Counter[str] = Counter()
    for _ in range(25):
        what = dice.choice(STEPS)
        if not coming(shop):
            placed(shop)
        try:
            step(shop, dice, what)
        except StockroomError:
            continue
        done[what] += 1
        orders = ordering.order_rows(shop, closed=True)
        received = sum(line.received for order in orders for line in order.lines)
        assert received == on_the_rack(shop)
        to_come = sum(order.to_come for order in orders)
        assert to_come == sum(sticks for each in coming(shop).values() for _, sticks in each)
    assert len(done) > 6


def step(shop: Shop, dice: random.Random, what: str) -> None:
    """One thing done to an order that it fits, if there is one, or else to any."""
    every = ordering.order_rows(shop, closed=True)
    fit = [order for order in every if order.state == FITTING.get(what, "placed")]
    order = dice.choice(fit or every)
    number, count = str(order.number), dice.randrange(1, 5)
    to_come = max(1, order.to_come)
    if what in ("receive", "over"):
        sticks = min(count, to_come) if what == "receive" else to_come + count
        receive_order(shop, number, [bundle(sticks)])
    elif what == "wrong lengths":
        lengths = tuple(Arrival(dice.randrange(2_500_000, 3_200_000)) for _ in range(count))
        receive_order(shop, number, [Bundle("ASH-22", "B8", lengths, price=1_900)])
    elif what == "both":
        receive_order(shop, number, [bundle(1), bundle(count, profile="LEAF-40")])
    elif what == "change":
        ordering.change(shop, number, [Wanted("ASH-22", count), Wanted("LEAF-40", count - 1)])
    elif what == "cancel":
        ordering.cancel(shop, number)
    elif what == "place":
        ordering.place(shop, number)
    elif what == "draft":
        ordering.draft(shop, "LARK", [Wanted("ASH-22", count)])
    else:
        undo(shop)


def test_an_order_may_come_the_day_it_is_placed_and_not_before(shop: Shop) -> None:
    ordering.draft(shop, "LARK", [Wanted("ASH-22", 1)])
    with pytest.raises(Refused, match="which is past"):
        ordering.place(shop, "1", due=date(2026, 11, 22))
    later = Shop(shop.engine, shop.settings, Hand("ada", date(2026, 12, 1)))
    assert ordering.place(later, "1", due=date(2026, 12, 1)).due == date(2026, 12, 1)
