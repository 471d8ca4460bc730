"""A day at the shop: plan, accept, cut, undo; each on both databases."""

from datetime import date, timedelta

import pytest

from stockroom.record.ledger import RackPiece
from stockroom.refusals import Clash, Refused, Unknown
from stockroom.services.counter import amend as amending
from stockroom.services.counter import take as counter
from stockroom.services.counter.job_list import job_row
from stockroom.services.counter.typed_jobs import job_told
from stockroom.services.morning import day_plan as morning
from stockroom.services.morning.problem import Choices
from stockroom.services.morning.sheets import plan_rows, sheet_of, to_settle
from stockroom.services.rack import pieces as rack
from stockroom.services.rack.pieces import Arrival
from stockroom.services.record.undo import undo
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut, record_left
from stockroom.services.shop import Shop
from stockroom.views.sheet import Sheet

UNTIL = date(2026, 11, 30)
# Kerf 3.2 mm at 45 degrees takes 4.526 mm, and 0.5 mm of clean-up: 5 026 um a cut, rounded up.
CUT = 5_026


def take(shop: Shop, **more: object) -> int:
    """A job of one frame with rails of 535 and 435 mm in plain ash; gives its number."""
    usual = {"customer": "R. Aldous", "profile": "ASH-22", "width": "500", "height": "400"}
    taken = counter.take(shop, job_told({**usual, "due": "2026-11-27", **more}, shop))
    assert taken.number is not None
    return taken.number


def sticks(shop: Shop, count: int = 1, profile: str = "ASH-22", batch: str = "B1") -> list[int]:
    """New sticks of 3 m; gives their numbers."""
    arrivals = [Arrival(3_000_000)] * count
    return [piece.id for piece in rack.receive(shop, profile, batch, arrivals, "A1")]


def plan(shop: Shop, **more: object) -> Sheet:
    """A plan for all that is due within the week."""
    return morning.plan_day(shop, Choices(UNTIL, seconds=5, **more))  # type: ignore[arg-type]


def cut_all(shop: Shop, number: int) -> None:
    """Cuts all pieces of a plan as planned."""
    for piece in to_settle(shop, number):
        record_cut(shop, SawReport(number, piece))


def accepted(shop: Shop, **more: object) -> int:
    """The number of a plan, made and accepted."""
    number = plan(shop, **more).plan
    assert number is not None
    morning.accept(shop, number)
    return number


def by_id(shop: Shop) -> dict[int, RackPiece]:
    """The rack by piece."""
    return {piece.id: piece for piece in rack.find(shop)}


def test_a_frame_is_planned_accepted_and_cut_and_its_offcut_is_on_the_rack(shop: Shop) -> None:
    take(shop)
    (stick,) = sticks(shop)
    number = accepted(shop)
    assert by_id(shop)[stick].held_by == number
    done = record_cut(shop, SawReport(number, stick, spot="C2"))
    left = 3_000_000 - 10_000 - 2 * (535_000 + 435_000) - 4 * CUT
    assert [(o.length, o.spot, o.kind) for o in done.offcuts] == [(left, "C2", "offcut")]
    assert (done.finished, done.plan_finished, done.difference) == (("J1",), True, 0)
    assert job_row(shop, "J1")[0].state == "cut"


def test_an_offcut_is_used_before_a_stick_is_opened(shop: Shop) -> None:
    take(shop)
    sticks(shop)
    offcut = rack.log_found(shop, "ASH-22", "B1", Arrival(2_000_000))
    assert [piece.number for piece in plan(shop).pieces] == [offcut.id]


def test_a_measured_leftover_counts_and_what_is_amiss_is_named(shop: Shop) -> None:
    take(shop)
    (stick,) = sticks(shop)
    number = accepted(shop)
    done = record_cut(shop, SawReport(number, stick, leftovers=(900_000,)))
    assert [o.length for o in done.offcuts] == [900_000]
    assert done.difference > 0


def test_a_leftover_longer_than_the_stick_had_is_refused_and_nothing_is_recorded(
    shop: Shop,
) -> None:
    take(shop)
    (stick,) = sticks(shop)
    number = accepted(shop)
    with pytest.raises(Refused, match="measure the leftover again"):
        record_cut(shop, SawReport(number, stick, leftovers=(1_500_000,)))
    assert to_settle(shop, number) == [stick]


def test_a_short_leftover_is_scrap(shop: Shop) -> None:
    take(shop)
    rack.log_found(shop, "ASH-22", "B1", Arrival(2_000_000))
    number = accepted(shop)
    (piece,) = to_settle(shop, number)
    assert record_cut(shop, SawReport(number, piece)).offcuts == ()
    assert rack.find(shop) == []


def test_a_miscut_rail_goes_into_the_next_plan_from_the_same_batch(shop: Shop) -> None:
    take(shop, profile="LEAF-40")
    sticks(shop, 1, "LEAF-40", "G1")
    number = accepted(shop)
    (stick,) = to_settle(shop, number)
    done = record_cut(shop, SawReport(number, stick, miscut=frozenset({1}), why="slipped"))
    assert done.again == ("J1",)
    assert job_row(shop, "J1")[0].rails_waiting == 1
    wrong = rack.log_found(shop, "LEAF-40", "G2", Arrival(700_000))
    sheet = plan(shop)
    assert wrong.id not in [piece.number for piece in sheet.pieces]
    assert [len(piece.rails) for piece in sheet.pieces] == [1]
    morning.accept(shop, sheet.plan or 0)
    cut_all(shop, sheet.plan or 0)
    assert job_row(shop, "J1")[0].state == "cut"


def test_a_rail_not_cut_waits_and_its_length_stays_on_the_offcut(shop: Shop) -> None:
    take(shop)
    (stick,) = sticks(shop)
    number = accepted(shop)
    done = record_cut(shop, SawReport(number, stick, uncut=frozenset({4})))
    left = 3_000_000 - 10_000 - 2 * 535_000 - 435_000 - 3 * CUT
    assert [o.length for o in done.offcuts] == [left]
    assert job_row(shop, "J1")[0].state == "part cut"


def test_another_piece_may_be_taken_of_the_same_profile(shop: Shop) -> None:
    take(shop)
    first, second = sticks(shop, 2)
    number = accepted(shop)
    other = second if to_settle(shop, number) == [first] else first
    (planned,) = to_settle(shop, number)
    done = record_cut(shop, SawReport(number, planned, instead=other))
    assert done.piece == other
    assert by_id(shop)[planned].held_by is None


def test_another_piece_of_another_batch_is_refused_where_it_would_mix(shop: Shop) -> None:
    take(shop, profile="LEAF-40", width="1400", height="1400")
    sticks(shop, 3, "LEAF-40", "G1")
    (other,) = sticks(shop, 1, "LEAF-40", "G2")
    number = accepted(shop)
    first, second, *_ = to_settle(shop, number)
    record_cut(shop, SawReport(number, first))
    with pytest.raises(Refused, match="wants one batch"):
        record_cut(shop, SawReport(number, second, instead=other))
    # It is cut already: the record takes what is so, and nothing of it goes into the frame.
    wrong = record_cut(shop, SawReport(number, second, instead=other, miscut=frozenset({1, 2}),
                                       remains={1: 1_400_000, 2: 0}))  # fmt: skip
    assert [(one.batch, one.length) for one in wrong.offcuts] == [("G2", 1_400_000)]
    assert set(wrong.again) == {"J1"}


def test_another_piece_keeps_the_batch_of_all_the_set_and_is_none_kept_from_the_job(
    shop: Shop,
) -> None:
    first = take(shop, profile="LEAF-40")
    take(shop, profile="LEAF-40", set_with=f"J{first}", width="600")
    sticks(shop, 2, "LEAF-40")
    two_more = [Arrival(3_000_000), Arrival(3_000_000, grade="second")]
    other, second = rack.receive(shop, "LEAF-40", "G2", two_more)
    number = accepted(shop)
    one, two = to_settle(shop, number)
    with pytest.raises(Refused, match="is a second or a customer's own"):
        record_cut(shop, SawReport(number, one, instead=second.id))
    record_cut(shop, SawReport(number, one))
    with pytest.raises(Refused, match="wants one batch"):
        record_cut(shop, SawReport(number, two, instead=other.id))


def test_a_piece_not_cut_today_is_free_again_with_the_flaw_that_was_found(shop: Shop) -> None:
    take(shop)
    (stick,) = sticks(shop)
    number = accepted(shop)
    record_left(shop, number, stick, "dent", (1_000_000, 1_020_000))
    piece = by_id(shop)[stick]
    assert (piece.held_by, piece.flaws) == (None, ((1_000_000, 1_020_000),))
    assert plan_rows(shop)[0].state == "finished"


def test_a_cut_is_not_recorded_twice(shop: Shop) -> None:
    take(shop)
    (stick,) = sticks(shop)
    number = accepted(shop)
    record_cut(shop, SawReport(number, stick))
    with pytest.raises(Clash, match="settled already: cut, by ada"):
        record_cut(shop, SawReport(number, stick))


def test_two_plans_never_hold_the_same_piece(shop: Shop) -> None:
    take(shop)
    sticks(shop)
    first = plan(shop).plan or 0
    second_hand = Shop(shop.engine, shop.settings, type(shop.hand)("ben", shop.hand.day))
    second = plan(second_hand).plan or 0
    morning.accept(shop, first)
    with pytest.raises(Clash, match=f"plan {second} is out of date: .*accept by ada"):
        morning.accept(second_hand, second)


def test_a_plan_is_refused_when_its_piece_moved(shop: Shop) -> None:
    take(shop)
    (stick,) = sticks(shop)
    number = plan(shop).plan or 0
    rack.mark_flaw(shop, stick, 100_000, 120_000)
    with pytest.raises(Clash, match=f"piece {stick}: flaw by ada"):
        morning.accept(shop, number)


def test_a_plan_is_refused_when_its_job_changed(shop: Shop) -> None:
    take(shop)
    sticks(shop)
    number = plan(shop).plan or 0
    amending.hold(shop, "J1")
    with pytest.raises(Clash, match="J1: hold by ada"):
        morning.accept(shop, number)


def test_a_job_in_an_accepted_plan_is_left_alone(shop: Shop) -> None:
    take(shop)
    sticks(shop)
    number = accepted(shop)
    with pytest.raises(Clash, match=f"is in plan {number}"):
        amending.cancel(shop, "J1", "withdrawn")


def test_a_plan_let_go_frees_its_pieces(shop: Shop) -> None:
    take(shop)
    (stick,) = sticks(shop)
    number = accepted(shop)
    assert morning.drop(shop, number, "saw is down") == 1
    assert by_id(shop)[stick].held_by is None
    assert accepted(shop) > number


def test_pins_bars_and_jobs_left_out_are_heeded(shop: Shop) -> None:
    take(shop)
    take(shop, customer="B. Ide")
    first, second, third = sticks(shop, 3)
    sheet = plan(shop, pins={"J1": second}, left_alone=frozenset({first}), without=frozenset({2}))
    assert [piece.number for piece in sheet.pieces] == [second]
    assert set(sheet.frames) == {"J1"}
    assert third in by_id(shop)


@pytest.mark.parametrize(
    ("choice", "error"),
    [
        ({"pins": {"J1": 99}}, Unknown),
        ({"pins": {"J9": 1}}, Refused),
        ({"left_alone": frozenset({99})}, Unknown),
        ({"without": frozenset({99})}, Unknown),
        ({"pins": {"J1": 1}, "left_alone": frozenset({1})}, Refused),
    ],
)
def test_choices_that_make_no_sense_are_refused(
    shop: Shop, choice: dict[str, object], error: type[Exception]
) -> None:
    take(shop)
    sticks(shop)
    with pytest.raises(error):
        plan(shop, **choice)


def test_nothing_to_cut_is_said(shop: Shop) -> None:
    take(shop, due="2026-12-24")
    with pytest.raises(Refused, match="no frame waits"):
        plan(shop)
    sticks(shop)
    take(shop)
    number = accepted(shop)
    with pytest.raises(Refused, match=f"to be cut by .* is in plan {number} already"):
        plan(shop)


def test_a_short_frame_is_named_with_why(shop: Shop) -> None:
    take(shop)
    sheet = plan(shop)
    assert sheet.pieces == ()
    assert [label for label, _ in sheet.short] == ["J1"]
    with pytest.raises(Refused, match="cuts nothing"):
        morning.accept(shop, sheet.plan or 0)


def test_a_sheet_read_again_is_the_sheet_that_was_drafted(shop: Shop) -> None:
    take(shop, quantity="2")
    sticks(shop, 2)
    sheet = plan(shop)
    assert sheet_of(shop, sheet.plan or 0) == sheet


def test_a_cut_is_undone_and_cut_again(shop: Shop) -> None:
    take(shop)
    (stick,) = sticks(shop)
    number = accepted(shop)
    record_cut(shop, SawReport(number, stick))
    undo(shop)
    assert by_id(shop)[stick].held_by == number
    assert job_row(shop, "J1")[0].rails_waiting == 4
    record_cut(shop, SawReport(number, stick))
    assert job_row(shop, "J1")[0].state == "cut"


def test_an_acceptance_is_not_undone_under_a_cut(shop: Shop) -> None:
    take(shop)
    (stick,) = sticks(shop)
    number = accepted(shop)
    entry = record_cut(shop, SawReport(number, stick)).entry
    with pytest.raises(Clash, match=f"undo entry {entry} first"):
        undo(shop, entry - 1)


def test_whatever_was_done_last_can_be_undone_one_by_one_to_the_bare_shop(shop: Shop) -> None:
    take(shop)
    (stick,) = sticks(shop)
    amending.hold(shop, "J1")
    amending.release(shop, "J1")
    rack.mark_flaw(shop, stick, 50_000, 60_000)
    rack.move(shop, stick, "B2")
    number = accepted(shop)
    record_left(shop, number, stick, "late")
    for _ in range(8):
        undo(shop)
    assert rack.find(shop) == []
    assert job_row(shop, "J1")[0].state == "cancelled"
    with pytest.raises((Refused, Unknown)):
        undo(shop)


def test_frames_due_later_wait(shop: Shop) -> None:
    take(shop)
    take(shop, due=(UNTIL + timedelta(days=1)).isoformat())
    sticks(shop, 2)
    assert set(plan(shop).frames) == {"J1"}
