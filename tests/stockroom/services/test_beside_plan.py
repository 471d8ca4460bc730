"""What is true at the bench is recorded though its plan is gone; each on both databases."""

from datetime import datetime, timedelta, timezone

import pytest

from stockroom.record.database import reading
from stockroom.record.tables import Entry, Frame, Plan
from stockroom.refusals import Clash, Recorded, Refused
from stockroom.services.morning import day_plan as morning
from stockroom.services.rack.pieces import find, write_off
from stockroom.services.record.history import entry_rows
from stockroom.services.record.undo import undo
from stockroom.services.saw.beside_plan import record_beside_plan
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import cut_before, record_cut
from stockroom.services.shop import Shop, for_hand
from stockroom.words.language import word
from tests.stockroom.services.test_day import accepted, sticks, take


def moved(shop: Shop) -> list[tuple[str, int]]:
    """The lines of the newest entry."""
    return [(word(place), length) for place, length in entry_rows(shop, last=1)[0].moved]


def test_rails_cut_after_their_plan_was_dropped_are_their_frames_rails(shop: Shop) -> None:
    (piece,) = sticks(shop)
    take(shop)
    number = accepted(shop)
    morning.drop(shop, number)
    with pytest.raises(Clash):
        record_cut(shop, SawReport(number, piece))
    done = record_beside_plan(shop, SawReport(number, piece))
    assert done.finished == ("J1",)
    assert [offcut.id for offcut in done.offcuts] == [2]
    undo(shop, done.entry)
    assert [one.id for one in find(shop)] == [piece]


def test_another_plan_that_holds_the_piece_now_goes_without_it(shop: Shop) -> None:
    (piece,) = sticks(shop)
    take(shop)
    first = accepted(shop)
    morning.drop(shop, first)
    second = accepted(shop)
    done = record_beside_plan(shop, SawReport(first, piece))
    # The second plan was about to cut the same rails: those that lie there go on the rack.
    assert done.finished == ()
    assert sorted(one.length for one in done.offcuts)[:4] == [435_000, 435_000, 535_000, 535_000]
    with reading(shop.engine) as session:
        assert session.get_one(Plan, second).state == "finished"
        assert session.get_one(Frame, 1).done_in is None
    undo(shop, done.entry)
    record_cut(shop, SawReport(second, piece))


def test_rails_of_a_piece_that_the_record_has_as_gone_are_found_at_the_bench(shop: Shop) -> None:
    (piece,) = sticks(shop)
    take(shop)
    number = accepted(shop)
    morning.drop(shop, number)
    write_off(shop, piece, "taken for dead")
    done = record_beside_plan(shop, SawReport(number, piece, miscut=frozenset({4})))
    found = [length for place, length in moved(shop) if place.startswith("found")]
    assert len(found) == 3
    assert done.finished == ()
    with pytest.raises(Refused, match="no rail was cut well"):
        record_beside_plan(shop, SawReport(number, piece, miscut=frozenset({1, 2, 3, 4})))


def test_a_piece_that_its_plan_still_holds_is_cut_as_ever(shop: Shop) -> None:
    (piece,) = sticks(shop)
    take(shop)
    number = accepted(shop)
    assert record_beside_plan(shop, SawReport(number, piece)).plan_finished


def test_a_cut_under_a_key_is_told_again_as_it_was_and_keeps_the_time_of_the_bench(
    shop: Shop,
) -> None:
    (piece,) = sticks(shop)
    take(shop)
    number = accepted(shop)
    tablet = for_hand(shop, "ben", shop.hand.day, "a" * 32)
    at = datetime(2026, 11, 23, 10, 40, tzinfo=timezone(timedelta(hours=1)))
    done = record_cut(tablet, SawReport(number, piece, cut_at=at))
    undo(shop, done.entry)
    again = for_hand(shop, "ben", shop.hand.day, "a" * 32)
    with pytest.raises(Recorded) as before:
        record_cut(again, SawReport(number, piece, cut_at=at))
    assert before.value.entry == done.entry
    assert before.value.undone_by == done.entry + 1
    assert cut_before(shop, done.entry).entry == done.entry
    with reading(shop.engine) as session:
        entry = session.get_one(Entry, done.entry)
        assert (entry.who, entry.key) == ("ben", "a" * 32)
        assert entry.detail["cut_at"] == "2026-11-23T09:40:00+00:00"
