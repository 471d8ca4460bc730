"""What ends and what is bought another way: last buys, rails cut to size, orders filled up."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from stockroom.record.database import changing, reading
from stockroom.record.jobs import open_frames
from stockroom.record.ledger import post
from stockroom.refusals import Clash, Refused, Unreadable
from stockroom.services.catalogue.profiles import change_profile
from stockroom.services.catalogue.suppliers import change_supplier
from stockroom.services.past.kept_worth import KIND
from stockroom.services.past.old_book import load_past
from stockroom.services.record.undo import undo
from stockroom.services.saw.supplied import Chops, supplied
from stockroom.services.shop import Shop
from stockroom.services.weekly import purchase_orders as ordering
from stockroom.services.weekly.budget import within
from stockroom.services.weekly.purchase_orders import Wanted
from stockroom.services.weekly.review import OrderLine, leave_lines, reorder, review_week
from stockroom.services.weekly.supplier_terms import filled, standing_notes, terms_of
from tests.stockroom.conftest import assert_true, stocked, told
from tests.stockroom.hard.shopwork import MONDAY, accepted, sticks, take
from tests.stockroom.services.test_old_book import book


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """A stocked shop on SQLite whose record must be true when the test ends."""
    made = stocked(str(tmp_path / "shop.db"))
    yield made
    assert_true(made)


@pytest.fixture
def asked(shop: Shop, tmp_path: Path) -> Shop:
    """The same with a year of a job a week in plain ash behind it."""
    load_past(shop, book(tmp_path, 52))
    return hurried(shop)


@pytest.fixture
def rare(shop: Shop, tmp_path: Path) -> Shop:
    """The same with a year in which nobody asked for plain ash, which Lark cuts to size."""
    load_past(shop, book(tmp_path, 52, profile="leaf-40"))
    set_up_cutting(shop)
    return shop


def hurried(shop: Shop) -> Shop:
    """The same where jobs are promised for the day they come in."""
    return replace(shop, settings=replace(shop.settings, promise=0))


def line(shop: Shop, profile: str = "ASH-22") -> OrderLine | None:
    """What to buy of a profile."""
    return next(iter(reorder(shop, profile=profile)), None)


def next_week(shop: Shop) -> date:
    """The day of the next review."""
    return shop.hand.day + timedelta(7)


def set_up_cutting(shop: Shop, **more: str) -> None:
    """Lark cuts to size, and plain ash has no minimum."""
    change_profile(shop, "ASH-22", {"minimum_sticks": "0", "price_per_metre": "6.50"})
    change_supplier(shop, "LARK", {"cut_percent": "40", **more})


def test_the_last_buy_of_a_profile_covers_the_life_of_its_sample_and_says_so(asked: Shop) -> None:
    usual = line(asked)
    change_profile(asked, "ASH-22", {"last_order": str(MONDAY + timedelta(8))})
    before = line(asked)
    change_profile(asked, "ASH-22", {"last_order": str(MONDAY + timedelta(6))})
    last = line(asked)
    assert usual is not None
    assert before is not None
    assert last is not None
    assert before.sticks == usual.sticks
    assert told(*before.why).endswith("orders until 2026-12-01")
    # A frame a week out of two thirds of a stick: thirteen weeks always want nine sticks.
    assert last.sticks == 9
    assert "for 91 days: run out hardly ever" in told(*last.why)
    down = [told(fact) for fact in review_week(asked, profile="ASH-22").said]
    assert down == ["ASH-22: take its sample down by Mon 2027-02-22, which is as long as these "
                    "sticks are for"]  # fmt: skip
    dear = replace(asked, settings=replace(asked.settings, wait_cost="0"))
    assert [told(fact) for fact in review_week(dear, profile="ASH-22").said] == [
        "ASH-22: take its sample down, nothing is bought of it any more"
    ]
    cheap = replace(asked, settings=replace(asked.settings, last_buy_days=28))
    few = line(cheap)
    assert few is not None
    assert few.sticks < 5
    assert told(*last.why).endswith("last buy, orders until 2026-11-29")


def test_a_line_is_left_for_the_next_review_and_kept_with_what_was_recommended(
    asked: Shop,
) -> None:
    usual = line(asked)
    assert usual is not None
    (left,) = leave_lines(asked, ["ash-22"], "cheaper from Friday on")
    assert (left.profile, left.sticks, left.until) == ("ASH-22", usual.sticks, next_week(asked))
    assert line(asked) is None
    said = f"ASH-22: {usual.sticks} sticks left until Mon 2026-11-30 (cheaper from Friday on)"
    assert said in [told(fact) for fact in review_week(asked, profile="ASH-22").said]
    with pytest.raises(Refused, match="asks for nothing of ASH-22"):
        leave_lines(asked, ["ASH-22"])
    # The next review asks for it again; so does this one where more is wanted, or it is undone.
    assert line(replace(asked, hand=replace(asked.hand, day=next_week(asked)))) is not None
    take(asked, due=str(MONDAY), quantity="4")
    more = line(asked)
    assert more is not None
    assert more.sticks > usual.sticks
    leave_lines(asked, ["ASH-22"])
    assert line(asked) is None
    undo(asked)
    assert line(asked) == more


def test_an_order_keeps_what_the_list_recommended_beside_what_was_ordered(asked: Shop) -> None:
    found = line(asked)
    assert found is not None
    order = ordering.draft(asked, "LARK", [replace(found.wanted("spare"), sticks=1)])
    assert [(one.sticks, one.advised) for one in order.lines] == [(1, found.sticks)]
    by_hand = ordering.draft(asked, "LARK", [Wanted("ASH-22", 3)])
    assert [(one.sticks, one.advised) for one in by_hand.lines] == [(3, None)]


def test_a_profile_may_say_for_itself_what_a_frame_that_waits_costs(asked: Shop) -> None:
    usual = line(asked)
    assert usual is not None
    change_profile(asked, "ASH-22", {"wait_cost": "0 %"})
    assert line(asked) is None
    cheap = replace(asked, settings=replace(asked.settings, wait_cost="0"))
    change_profile(asked, "ASH-22", {"wait_cost": "40"})
    own = line(cheap)
    assert own is not None
    assert own == line(asked)
    assert own.sticks == usual.sticks
    with pytest.raises(Unreadable, match="a number"):
        change_profile(asked, "ASH-22", {"wait_cost": "-3 %"})
    change_profile(asked, "ASH-22", {"wait_cost": ""})
    assert line(cheap) is None


def test_no_more_is_ordered_than_the_supplier_has_left(asked: Shop) -> None:
    take(asked)
    change_profile(asked, "ASH-22", {"last_sticks": "3", "discontinued": "yes"})
    found = line(asked)
    assert found is not None
    assert (found.sticks, found.for_jobs, found.for_expected) == (3, 1, 2)
    assert told(*found.why).endswith("last buy, 3 whole sticks to be had")


def test_jobs_in_a_profile_that_is_gone_are_named_and_nothing_is_ordered(asked: Shop) -> None:
    change_profile(asked, "ASH-22", {"last_order": "2026-11-20"})
    assert line(asked) is None
    take(asked)
    found = line(asked)
    assert found is not None
    assert (found.sticks, told(*found.why)) == (
        0, "sold no more since 2026-11-20: 1 for J1 not to be had, choose another and take its "
        "sample down"
    )  # fmt: skip
    sticks(asked, 1)
    assert line(asked) is None


def test_a_job_of_a_new_shop_is_bought_by_the_stick(shop: Shop) -> None:
    set_up_cutting(shop)
    take(shop, width="300", height="200")
    new = line(shop)
    assert new is not None
    assert (new.sticks, new.cut) == (1, ())


def test_a_job_in_what_nobody_asks_for_is_cheaper_cut_to_size(rare: Shop) -> None:
    take(rare, width="300", height="200")
    found = line(rare)
    assert found is not None
    # Rails of 2 x (335 + 235) mm at 6.50 a metre and 40 %.
    assert (found.sticks, found.price) == (0, 1037)
    (cut,) = found.cut
    assert (cut.job, cut.price, cut.frames) == (1, 1037, ((335_000, 235_000) * 2,))
    # One job in a year: 1 - (1 - chance)^52 of the worth of the 1,820 mm left counts.
    assert re.fullmatch(
        r"J1 cut to size \(chop\), \$10\.37: by the stick \$18\.50 less \$[5-7]\.\d\d for what "
        "is left",
        told(*found.why),
    )
    plain = reorder(rare, profile="ASH-22", sticks_only=True)
    assert [(one.sticks, one.price, one.cut) for one in plain] == [(1, 1_850, ())]


def test_two_jobs_that_share_a_stick_are_not_cut_to_size(rare: Shop) -> None:
    for _ in range(2):
        take(rare, width="300", height="200")
    found = line(rare)
    assert found is not None
    # Both come out of one stick, 9.25 each: less than 10.37.
    assert (found.sticks, found.cut, told(*found.why)) == (1, (), "1 for J1, J2")


def test_a_job_cut_to_size_has_its_rails_and_can_be_undone(shop: Shop) -> None:
    set_up_cutting(shop)
    number = take(shop)
    assert supplied(shop, f"J{number}", "K4") == Chops(4, "K4", {})
    with reading(shop.engine) as session:
        assert open_frames(session) == []
    with pytest.raises(Refused, match="waits for no rail"):
        supplied(shop, "1", "K4")
    assert_true(shop)
    undo(shop)
    with reading(shop.engine) as session:
        assert [frame.label for frame in open_frames(session)] == ["J1"]


def test_rails_that_a_plan_holds_are_not_taken_from_it(shop: Shop) -> None:
    sticks(shop, 1)
    take(shop)
    accepted(shop)
    with pytest.raises(Clash, match="about to cut rails of J1"):
        supplied(shop, "J1", "K4")


def test_the_reckoning_uses_the_profiles_own_learned_worth(shop: Shop) -> None:
    set_up_cutting(shop)
    take(shop, width="300", height="200")
    by_default = line(shop)
    with changing(shop.engine) as session:
        post(session, shop.hand, KIND, detail={"points_um": [[300_000, 0], [3_000_000, 0]]},
             touches=[("profile", "ASH-22")])  # fmt: skip
    worthless = line(shop)
    assert by_default is not None
    assert worthless is not None
    assert by_default.cut == ()
    assert told(worthless.cut[0].why) == "J1 cut to size (chop), $10.37: by the stick $18.50"


def test_an_order_is_filled_up_where_that_pays(asked: Shop) -> None:
    change_supplier(asked, "LARK", {"free_carriage": "130", "carriage": "14"})
    lines = reorder(asked)
    before = sum(one.price or 0 for one in lines)
    terms = terms_of(asked, lines)
    assert terms[0].fill
    more = filled(asked, lines, terms)
    assert sum(one.price or 0 for one in more) >= 13_000 > before
    assert terms_of(asked, more) == []
    (ash,) = (one for one in more if one.profile == "ASH-22")
    assert f"{ash.for_fill} to fill the order up" in told(*ash.why)
    kept, _ = within(more, before)
    assert sum(one.price or 0 for one in kept) <= before
    assert all(one.for_fill == 0 for one in kept)


def test_a_profile_sold_in_boxes_fills_an_order_up_by_boxes(asked: Shop) -> None:
    change_profile(asked, "ASH-22", {"box_sticks": "4"})
    change_supplier(asked, "LARK", {"free_carriage": "130", "carriage": "14"})
    lines = reorder(asked)
    (terms,) = terms_of(asked, lines)
    assert terms.fill["ASH-22"] % 4 == 0


def test_carriage_that_is_paid_each_week_is_named_with_what_would_cost_least(asked: Shop) -> None:
    change_supplier(asked, "LARK", {"free_carriage": "900", "carriage": "30"})
    (terms,) = terms_of(asked, reorder(asked))
    assert "pay the $30.00, " in told(terms.said)
    assert "weeks would cost least in carriage and money tied up" in told(terms.said)


def test_jobs_under_a_suppliers_minimum_are_not_told_to_be_left(shop: Shop) -> None:
    change_supplier(shop, "LARK", {"order_minimum": "100"})
    take(shop)
    (terms,) = terms_of(shop, reorder(shop))
    assert "jobs wait for it, so order more or ask for less" in told(terms.said)


def test_late_orders_and_drafts_are_said_beside_the_week(shop: Shop) -> None:
    ordering.draft(shop, "LARK", [ordering.Wanted("ASH-22", 2)])
    assert list(map(told, standing_notes(shop))) == [
        "Order 1 to LARK is a draft and not counted: place it, or cancel it"
    ]
    ordering.place(shop, "1")
    assert standing_notes(shop) == []
    later = replace(shop, hand=replace(shop.hand, day=date(2026, 12, 4)))
    assert list(map(told, standing_notes(later))) == [
        "Order 1 to LARK is 4 days late, 2 sticks to come; they are counted as coming"
    ]


@pytest.mark.parametrize("lead", ["0", ""])
def test_a_supplier_who_delivers_the_same_day_is_covered_for_the_week_until_the_next_review(
    asked: Shop, lead: str
) -> None:
    change_supplier(asked, "LARK", {"lead_days": lead})
    found = line(asked)
    assert found is not None
    assert f"for {7 if lead else 14} days" in told(*found.why)


def test_nothing_is_kept_for_what_is_asked_for_three_times_a_year(
    shop: Shop, tmp_path: Path
) -> None:
    past = with_ash(book(tmp_path, 52, profile="leaf-40"), (2, 20, 38))
    load_past(shop, past)
    assert line(shop) is None
    take(shop)
    found = line(shop)
    assert found is not None
    assert (found.sticks, told(*found.why)) == (1, "1 for J1")


def with_ash(path: Path, weeks: tuple[int, ...]) -> Path:
    """The same book with jobs in plain ash so many weeks ago."""
    rows = [f"{MONDAY - timedelta(7 * back)},ASH-22,500,400,\n" for back in weeks]
    path.write_text(path.read_text() + "".join(rows))
    return path
