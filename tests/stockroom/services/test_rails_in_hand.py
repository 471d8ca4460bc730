"""Rails in hand are stock: miscut ones, and those of a job that was changed or cancelled."""

from collections import Counter
from datetime import timedelta

import pytest

from stockroom.record.catalogue import profiles
from stockroom.record.database import reading
from stockroom.refusals import Clash, Refused
from stockroom.services.counter.amend import at_stake, cancel
from stockroom.services.counter.job_list import job_row
from stockroom.services.counter.stages import reach
from stockroom.services.counter.typed_jobs import change_told, wanted_told
from stockroom.services.insight.replayed_days import lived
from stockroom.services.morning.sheets import sheet_of, to_settle
from stockroom.services.rack.pieces import Arrival, find, receive
from stockroom.services.rack.rails_back import NOT_MEASURED
from stockroom.services.record.history import job_life, piece_life
from stockroom.services.record.undo import undo
from stockroom.services.saw.bench_work import bench_work
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import CutDone, record_cut
from stockroom.services.saw.unlabelled import unlabelled
from stockroom.services.shop import Shop
from tests.stockroom.hard.shopwork import MONDAY, accepted, sticks, take

# A stick of 3 m, trims of 10 mm, rails of 535, 435, 535, 435 mm, cuts of 5.026 mm: what is left.
LEFT = 3_000_000 - 10_000 - 1_940_000 - 4 * 5_026


def cut(shop: Shop, **told: object) -> CutDone:
    """A job's frame, cut from one new stick; what is told of it."""
    (stick,) = sticks(shop)
    take(shop)
    return record_cut(shop, SawReport(accepted(shop), stick, **told))  # type: ignore[arg-type]


def offcuts(shop: Shop) -> Counter[int]:
    """The lengths of the offcuts on the rack, um."""
    return Counter(piece.length for piece in find(shop, kind="offcut"))


def test_a_miscut_rail_goes_back_as_an_offcut_mitred_at_both_ends(shop: Shop) -> None:
    done = cut(shop, miscut=frozenset({1}), spot="C2")
    left, spoilt = done.offcuts
    # Nobody measured it: a bad end that is cut off again takes a cut.
    assert (left.length, spoilt.length, spoilt.spot) == (LEFT, 535_000 - 5_026, "C2")
    assert (spoilt.ends, spoilt.batch, spoilt.note) == (("cut", "cut"), "B1", NOT_MEASURED)
    (life,) = [one for one in piece_life(shop, 1).offspring if one.number == spoilt.id]
    assert (life.length, life.on_rack) == (529_974, True)
    assert [piece.id for piece in unlabelled(shop)] == [left.id, spoilt.id]
    undo(shop)
    assert offcuts(shop) == Counter()


def test_what_remains_of_a_miscut_rail_is_what_the_tape_says_and_the_rest_is_left(
    shop: Shop,
) -> None:
    done = cut(shop, miscut=frozenset({1, 2}), remains={1: 500_000, 2: 0})
    assert offcuts(shop) == Counter({LEFT + 35_000: 1, 500_000: 1})
    assert [piece.note for piece in done.offcuts] == ["", "a miscut rail"]
    assert (done.again, done.difference) == (("J1", "J1"), 0)


def test_a_miscut_rail_of_17_and_a_quarter_inches_is_an_offcut_and_no_scrap(shop: Shop) -> None:
    # 17 1/4 in are 438.15 mm, and what the shop keeps begins at 300.
    done = cut(shop, miscut=frozenset({1}), remains={1: 438_150})
    assert [(one.length, one.ends) for one in done.offcuts if one.note == "a miscut rail"] == [
        (438_150, ("cut", "cut"))
    ]


def test_a_miscut_rail_shorter_than_what_is_kept_is_scrap(shop: Shop) -> None:
    cut(shop, miscut=frozenset({2}), remains={2: 299_000})
    assert offcuts(shop) == Counter({LEFT + 236_000: 1})


def test_what_remains_is_of_a_miscut_rail_and_no_more_than_the_piece_had(shop: Shop) -> None:
    with pytest.raises(Refused, match="rail 2 of piece 1 is not named miscut"):
        cut(shop, miscut=frozenset({1}), remains={2: 400_000})
    with pytest.raises(Refused, match="too short for what was cut"):
        record_cut(shop, SawReport(1, 1, miscut=frozenset({1}), remains={1: 2_500_000}))
    assert offcuts(shop) == Counter()


def test_a_rail_that_went_back_gives_a_rail_of_its_length_less_the_margin(shop: Shop) -> None:
    cut(shop)
    cancel(shop, "J1", "withdrew")
    # Four rails of 535 - 3 and 435 - 3 mm come out of the four, without a stick or the leftover.
    take(shop, width="497", height="397")
    number = accepted(shop)
    lengths = {piece.number: piece.length for piece in sheet_of(shop, number).pieces}
    assert Counter(lengths.values()) == Counter({535_000: 2, 435_000: 2})
    for piece in to_settle(shop, number):
        record_cut(shop, SawReport(number, piece))
    assert offcuts(shop) == Counter({LEFT: 1})


def test_the_rails_of_a_cancelled_job_go_back_and_its_undoing_takes_them_again(shop: Shop) -> None:
    cut(shop, spot="C2")
    assert [rail.length for rail in at_stake(shop, "J1")] == [535_000, 435_000] * 2
    result = cancel(shop, "J1", "withdrew")
    assert offcuts(shop) == Counter({LEFT: 1, 535_000: 2, 435_000: 2})
    assert {piece.spot for piece in result.back} == {"A1"}
    assert {one.number for one in piece_life(shop, 1).offspring} >= {p.id for p in result.back}
    row, _ = job_row(shop, "J1")
    assert (row.state, row.across, row.upright) == ("cancelled", 535_000, 435_000)
    undo(shop)
    row, _ = job_row(shop, "J1")
    assert (row.state, row.frames_cut, offcuts(shop)) == ("cut", 1, Counter({LEFT: 1}))


def test_an_offcut_that_was_a_rail_and_is_cut_again_keeps_its_job_cancelled(shop: Shop) -> None:
    cut(shop)
    cancelled = cancel(shop, "J1", "withdrew")
    take(shop, width="497", height="397")
    number = accepted(shop)
    with pytest.raises(Clash, match="is built on by"):
        undo(shop, number=entry_of(shop, "cancel"))
    assert {piece.id for piece in cancelled.back} == set(to_settle(shop, number))


def entry_of(shop: Shop, kind: str) -> int:
    """The number of the entry of this kind in the life of job 1."""
    return next(row.number for row in job_life(shop, "J1") if row.kind == kind)


def test_rails_that_are_scrap_and_frames_that_are_joined_do_not_go_back(shop: Shop) -> None:
    cut(shop)
    assert cancel(shop, "J1", "burnt", "scrap").scrapped == 4
    assert offcuts(shop) == Counter({LEFT: 1})
    undo(shop)
    assert cancel(shop, "J1", "sold as it is", "joined").back == ()
    row, _ = job_row(shop, "J1")
    assert (row.state, row.frames_cut) == ("cancelled", 1)


def test_an_artwork_told_turned_keeps_all_its_rails(shop: Shop) -> None:
    cut(shop)
    turned = {"width": "400", "height": "500"}
    assert at_stake(shop, "J1", wanted_told(shop, "J1", turned)) == ()
    assert change_told(shop, "J1", turned).back == ()
    row, _ = job_row(shop, "J1")
    assert (row.across, row.upright, row.state) == (435_000, 535_000, "cut")
    undo(shop)
    row, _ = job_row(shop, "J1")
    assert (row.across, row.upright, row.state) == (535_000, 435_000, "cut")


def test_a_change_after_cutting_keeps_the_rails_that_are_right(shop: Shop) -> None:
    cut(shop)
    wider = {"width": "520"}
    assert [rail.length for rail in at_stake(shop, "J1", wanted_told(shop, "J1", wider))] == (
        [535_000, 535_000]
    )
    back = change_told(shop, "J1", wider).back
    row, _ = job_row(shop, "J1")
    assert (row.rails_waiting, row.state, row.frames_cut) == (2, "part cut", 0)
    assert [piece.length for piece in back] == [535_000, 535_000]
    undo(shop)
    row, _ = job_row(shop, "J1")
    assert (row.rails_waiting, row.frames_cut, offcuts(shop)) == (0, 1, Counter({LEFT: 1}))


def test_of_fewer_frames_those_that_are_cut_stay(shop: Shop) -> None:
    (first, _) = sticks(shop, 2)
    take(shop, quantity="2")
    number = accepted(shop)
    plan = sheet_of(shop, number)
    (whole, *rest) = plan.pieces
    record_cut(shop, SawReport(number, whole.number))
    for piece in rest:
        record_cut(shop, SawReport(number, piece.number))
    done = Counter(rail.frame for piece in plan.pieces for rail in piece.rails)
    assert done == Counter({"J1.1": 4, "J1.2": 4})
    assert len(change_told(shop, "J1", {"quantity": "1"}).back) == 4
    row, _ = job_row(shop, "J1")
    assert (row.quantity, row.frames_cut, row.rails_waiting) == (1, 1, 0)
    assert first in {piece.number for piece in plan.pieces}


def test_joined_rails_serve_no_other_size(shop: Shop) -> None:
    cut(shop)
    with pytest.raises(Refused, match="serve no other size"):
        change_told(shop, "J1", {"width": "600"}, "joined")


def test_what_was_noted_as_joined_stays_joined_unless_told(shop: Shop) -> None:
    cut(shop)
    reach(shop, ["J1"], "joined")
    with pytest.raises(Refused, match="serve no other size"):
        change_told(shop, "J1", {"width": "600"})
    assert change_told(shop, "J1", {"width": "600"}, "scrap").scrapped == 2
    row, _ = job_row(shop, "J1")
    assert (row.state, row.rails_waiting) == ("part cut", 2)
    undo(shop)
    assert job_row(shop, "J1")[0].state == "joined"
    assert cancel(shop, "J1", "withdrew").back == ()


def test_days_cut_again_ask_for_no_rail_that_was_sent_back(shop: Shop) -> None:
    cut(shop)
    change_told(shop, "J1", {"width": "450"})
    plan = accepted(shop)
    for piece in to_settle(shop, plan):
        record_cut(shop, SawReport(plan, piece))
    with reading(shop.engine) as session:
        (days,) = lived(session, shop.settings, profiles(session), MONDAY, MONDAY + timedelta(1))
    (order,) = days.orders
    assert sorted(order.frame.rails) == [435_000, 435_000, 485_000, 485_000]
    assert days.happened.needed == 1_840_000 + 4 * 5_026


def test_what_is_kept_goes_by_the_tape_less_the_trim_that_the_far_end_wants(shop: Shop) -> None:
    # 304.9 mm are left by the tape, 294.9 clear of the factory end's trim; 300 and more are kept.
    receive(shop, "ASH-22", "B1", [Arrival(3_000_000 - LEFT + 305_000)])
    take(shop)
    number = accepted(shop)
    (piece,) = bench_work(shop, number).pieces
    assert (piece.leftovers, piece.trims, piece.keep) == ((304_896,), (10_000,), 300_000)
    assert record_cut(shop, SawReport(number, piece.piece.number)).offcuts == ()
