"""Undo takes back all that an entry did, in whatever order, and says what stands in its way."""

import pytest
from sqlmodel import col, select

from stockroom.record.database import reading
from stockroom.record.tables import Entry
from stockroom.refusals import Clash, Refused
from stockroom.services.counter import amend as amending
from stockroom.services.counter.job_list import job_row
from stockroom.services.morning import day_plan as morning
from stockroom.services.morning.sheets import plan_rows, to_settle
from stockroom.services.rack import pieces as rack
from stockroom.services.record.undo import undo
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut, record_left
from stockroom.services.shop import Shop, change_setting
from tests.stockroom.conftest import assert_true
from tests.stockroom.hard.shopwork import accepted, sticks, take


def last(shop: Shop, kind: str) -> int:
    """The number of the newest entry of a kind."""
    with reading(shop.engine) as session:
        asked = select(Entry.id).where(Entry.kind == kind).order_by(col(Entry.id).desc())
        return session.exec(asked).first() or 0


def two_pieces_planned(shop: Shop) -> tuple[int, int, int]:
    """A plan of two pieces; gives it and them."""
    take(shop, width="1400", height="1400")
    sticks(shop, 3)
    number = accepted(shop)
    first, second, *_ = to_settle(shop, number)
    return number, first, second


@pytest.mark.parametrize("left", [True, False])
def test_a_plan_that_another_cut_finished_is_open_again_when_an_earlier_cut_is_undone(
    shop: Shop, left: bool
) -> None:
    number, *_ = two_pieces_planned(shop)
    pieces = to_settle(shop, number)
    entry = (record_left(shop, number, pieces[0], "late") if left
             else record_cut(shop, SawReport(number, pieces[0]))).entry  # fmt: skip
    for piece in pieces[1:]:
        record_cut(shop, SawReport(number, piece))
    assert plan_rows(shop)[0].state == "finished"
    undo(shop, entry)
    assert_true(shop)
    assert (plan_rows(shop)[0].state, to_settle(shop, number)) == ("accepted", [pieces[0]])
    record_cut(shop, SawReport(number, pieces[0]))
    assert job_row(shop, "J1")[0].state == "cut"


def test_cuts_are_undone_in_any_order_and_the_frame_is_open_until_all_are_back(
    shop: Shop,
) -> None:
    number, *_ = two_pieces_planned(shop)
    entries = [record_cut(shop, SawReport(number, p)).entry for p in to_settle(shop, number)]
    for entry in entries:
        undo(shop, entry)
        assert_true(shop)
        assert job_row(shop, "J1")[0].frames_cut == 0
    assert job_row(shop, "J1")[0].rails_waiting == 4


def test_a_plan_let_go_is_not_taken_back_after_its_job_changed(shop: Shop) -> None:
    take(shop)
    sticks(shop)
    number = accepted(shop)
    morning.drop(shop, number)
    amending.hold(shop, "J1")
    with pytest.raises(Clash, match=r"built on by entry \d+ \(hold by ada at .*: job 1"):
        undo(shop, last(shop, "drop"))
    undo(shop)
    undo(shop)
    assert plan_rows(shop)[0].state == "accepted"


def test_an_entry_is_undone_once(shop: Shop) -> None:
    sticks(shop)
    entry, reversal = undo(shop)
    with pytest.raises(Refused, match="undone already"):
        undo(shop, entry.id)
    with pytest.raises(Refused, match=r"\(undo\) is not undone"):
        undo(shop, reversal)


def test_what_has_its_own_command_is_not_undone(shop: Shop) -> None:
    change_setting(shop, "kerf", "3 mm")
    with pytest.raises(Refused, match=r"\(setting\) is not undone; set it right"):
        undo(shop)


def test_pieces_received_are_not_taken_back_once_one_of_them_was_marked(shop: Shop) -> None:
    first, _second = sticks(shop, 2)
    rack.mark_flaw(shop, first, 10_000, 20_000)
    with pytest.raises(Clash, match=f"flaw by ada at .* UTC.*: piece {first}; undo entry"):
        undo(shop, last(shop, "receive"))
    undo(shop)
    undo(shop)
    assert rack.find(shop) == []


def test_a_piece_that_is_gone_is_refused_with_who_took_it_and_when(shop: Shop) -> None:
    (stick,) = sticks(shop)
    rack.write_off(shop, stick, "split")
    with pytest.raises(Clash, match=r"left the rack: write off by ada at 20\d\d-.* UTC, entry 3"):
        rack.move(shop, stick, "B2")


def test_a_piece_that_a_plan_holds_is_refused_with_who_holds_it_and_since_when(
    shop: Shop,
) -> None:
    take(shop)
    (stick,) = sticks(shop)
    number = accepted(shop)
    with pytest.raises(Clash, match=rf"held by plan {number} \(accept by ada at .* entry 4\)"):
        rack.write_off(shop, stick, "split")


def test_a_flawed_piece_named_as_taken_instead_of_itself_is_cut_as_planned(shop: Shop) -> None:
    take(shop)
    (stick,) = sticks(shop)
    rack.mark_flaw(shop, stick, 100_000, 120_000)
    number = accepted(shop)
    done = record_cut(shop, SawReport(number, stick, instead=stick))
    assert (done.finished, [piece.length > 800_000 for piece in done.offcuts]) == (("J1",), [True])


def test_a_cut_is_undone_although_another_frame_of_its_job_was_planned_and_cut_since(
    shop: Shop,
) -> None:
    take(shop, quantity="2", width="800", height="550")
    sticks(shop)
    first = accepted(shop)
    entry = record_cut(shop, SawReport(first, to_settle(shop, first)[0])).entry
    sticks(shop)
    second = accepted(shop)
    record_cut(shop, SawReport(second, to_settle(shop, second)[0]))
    undo(shop, entry)
    assert_true(shop)
    assert (job_row(shop, "J1")[0].frames_cut, len(to_settle(shop, first))) == (1, 1)


def test_a_miscut_is_not_undone_while_a_later_plan_holds_its_rail_again(shop: Shop) -> None:
    take(shop)
    sticks(shop, 2)
    first = accepted(shop)
    piece = to_settle(shop, first)[0]
    entry = record_cut(shop, SawReport(first, piece, miscut=frozenset({1}))).entry
    accepted(shop)
    with pytest.raises(Clash, match=r"built on by entry \d+ \(accept by ada"):
        undo(shop, entry)
