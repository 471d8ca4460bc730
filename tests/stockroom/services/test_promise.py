"""Can it be ready by then? The same as a plan made with what the calendar will have brought."""

import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from stockroom.record.ledger import Hand
from stockroom.services.catalogue.profiles import change_profile
from stockroom.services.catalogue.suppliers import change_supplier
from stockroom.services.counter.amend import hold
from stockroom.services.counter.artwork import Artwork
from stockroom.services.counter.job_list import job_rows
from stockroom.services.counter.take import NewJob
from stockroom.services.counter.take import take as take_in
from stockroom.services.morning import day_plan as morning
from stockroom.services.morning.problem import Choices
from stockroom.services.rack.pieces import Arrival, log_found, receive
from stockroom.services.shop import Shop
from stockroom.services.weekly import purchase_orders as ordering
from stockroom.services.weekly.promise import promise_for
from stockroom.units.lengths import Micrometres
from tests.stockroom.cli.bench import run
from tests.stockroom.conftest import assert_true, stocked
from tests.stockroom.hard.shopwork import MONDAY, sticks, take

FRIDAY = MONDAY + timedelta(4)


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """A stocked shop whose record must be true when the test ends."""
    made = stocked(str(tmp_path / "shop.db"))
    yield made
    assert_true(made)


def asked(due: date = FRIDAY, width: int = 500, height: int = 400, **more: object) -> NewJob:
    """A job in plain ash, in millimetres of artwork."""
    size = Artwork((width * 1_000,), (height * 1_000,))
    return replace(NewJob("R. Aldous", "ASH-22", size, due), **more)  # type: ignore[arg-type]


def test_what_the_rack_yields_is_ready_now_from_named_pieces(shop: Shop) -> None:
    (piece,) = sticks(shop, 1)
    told = promise_for(shop, asked())
    assert (told.answer, told.pieces) == ("now", (piece,))
    # Nothing is reserved: it is said again, and of another job.
    assert promise_for(shop, asked(width=300)).answer == "now"


def test_an_open_job_due_sooner_comes_first_and_a_later_one_does_not(shop: Shop) -> None:
    sticks(shop, 1)
    take(shop, due=str(FRIDAY), width="900")
    assert promise_for(shop, asked(width=900)).answer == "later"
    assert promise_for(shop, asked(FRIDAY - timedelta(1), width=900)).answer == "now"


def test_sticks_on_order_count_from_the_day_they_are_due(shop: Shop) -> None:
    change_supplier(shop, "LARK", {"lead_days": "3"})
    ordering.draft(shop, "LARK", [ordering.Wanted("ASH-22", 1)])
    # A draft is not on order: it is to be ordered, by Tuesday for Friday.
    told = promise_for(shop, asked())
    assert (told.answer, told.day) == ("to order", MONDAY + timedelta(1))
    ordering.place(shop, "1")
    told = promise_for(shop, asked())
    assert (told.answer, told.day) == ("coming", MONDAY + timedelta(3))
    told = promise_for(shop, asked(MONDAY + timedelta(2)))
    assert (told.answer, told.day) == ("later", MONDAY + timedelta(3))


def test_days_at_the_bench_are_left_after_the_cut(shop: Shop) -> None:
    change_supplier(shop, "LARK", {"lead_days": "3"})
    told = promise_for(shop, asked(bench_days=2))
    # Cut by Wednesday; sticks come on Thursday, so Monday is the first day it could be due.
    assert (told.answer, told.cut_by) == ("later", MONDAY + timedelta(2))
    assert told.day == MONDAY + timedelta(7)


def test_a_moulding_sold_no_more_is_never_and_one_like_it_is_named(shop: Shop) -> None:
    change_profile(shop, "ASH-22", {"discontinued": "yes"})
    told = promise_for(shop, asked())
    assert (told.answer, told.alike) == ("never", ())
    change_profile(shop, "LEAF-40", {"face": "24 mm"})
    receive(shop, "LEAF-40", "G1", [Arrival(Micrometres(3_000_000))], "B1")
    # As wide as it, but leaf is no ash.
    assert promise_for(shop, asked()).alike == ()
    change_profile(shop, "LEAF-40", {"name": "limed ash"})
    receive(shop, "ASH-22", "A7", [Arrival(Micrometres(400_000))], "B1")
    assert promise_for(shop, asked(match="A7")).alike == ("LEAF-40",)
    change_profile(shop, "LEAF-40", {"face": "34 mm"})
    assert promise_for(shop, asked()).alike == ()


def test_a_matched_job_is_not_promised_from_two_batches(shop: Shop) -> None:
    for batch in ("B1", "B2"):
        receive(shop, "ASH-22", batch, [Arrival(Micrometres(3_000_000))], "A1")
    assert promise_for(shop, asked(width=900, height=800)).answer == "now"
    assert promise_for(shop, asked(width=900, height=800, one_batch=True)).answer == "later"


@pytest.mark.parametrize("seed", range(4))
def test_the_answer_is_that_of_a_plan_with_what_has_come(shop: Shop, seed: int) -> None:
    """Random racks, open jobs and orders: what is promised, a plan of that day cuts."""
    dice = random.Random(seed)
    change_supplier(shop, "LARK", {"lead_days": "2"})
    change_profile(shop, "ASH-22", {"margin": "0"})
    for _ in range(dice.randrange(4)):
        length = Micrometres(dice.randrange(400, 1_900) * 1_000)
        log_found(shop, "ASH-22", "B1", Arrival(length), "A1")
    for _ in range(dice.randrange(3)):
        take(
            shop,
            due=str(MONDAY + timedelta(dice.randrange(5))),
            width=str(dice.randrange(200, 900)),
        )
    if dice.random() < 0.6:
        ordering.draft(shop, "LARK", [ordering.Wanted("ASH-22", dice.randint(1, 2))])
        ordering.place(shop, "1")
    job = asked(MONDAY + timedelta(dice.randrange(5)), width=dice.randrange(200, 900),
                quantity=dice.randint(1, 2))  # fmt: skip
    told = promise_for(shop, job)
    on_day = replace(shop, hand=Hand("ada", told.cut_by))
    if told.answer == "coming":
        (order,) = ordering.order_rows(shop)
        sticks(on_day, order.to_come)
    if told.answer == "to order":
        sticks(on_day, 40)
    taken = take_in(on_day, job)
    plan = morning.plan_day(on_day, Choices(told.cut_by, seconds=5))
    short = {label for label, _ in plan.short}
    ours = {f"J{taken.number}"} | {f"J{taken.number}.{n}" for n in range(1, job.quantity + 1)}
    if told.answer in ("now", "coming", "to order"):
        # A plan may leave any frame: as many are left as without the job, and of that no more.
        before = set(plan_without(on_day, taken.number, told.cut_by))
        assert len(short) == len(before - ours)
    else:
        assert short


def plan_without(shop: Shop, number: int | None, until: date) -> list[str]:
    """The frames that a plan of this day leaves where a job is held back."""
    hold(shop, f"J{number}")
    if all(row.number == number for row in job_rows(shop, until=until)):
        return []
    plan = morning.plan_day(shop, Choices(until, seconds=5))
    return [label for label, _ in plan.short]


def test_the_command_says_it_in_a_sentence(shop: Shop, tmp_path: Path) -> None:
    where = str(tmp_path / "shop.db")
    sticks(shop, 1)
    said = run(where, "promise", "-p", "ASH-22", "-w", "500 mm", "--height", "400 mm",
               "--due", str(FRIDAY)).stderr  # fmt: skip
    assert said.startswith("Yes, by Fri 2026-11-27: cut now from piece 1.")
