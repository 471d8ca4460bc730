"""What hangs together matches: the frames of a job, and of jobs that match one another, are cut
from one batch, unless told otherwise."""

from datetime import date

import pytest

from stockroom.refusals import Refused
from stockroom.screens.plan_screen import plan_lines
from stockroom.services.counter import amend as amending
from stockroom.services.counter import take as counter
from stockroom.services.counter.job_list import job_row
from stockroom.services.counter.take import NewJob
from stockroom.services.counter.typed_jobs import job_told
from stockroom.services.morning import day_plan as morning
from stockroom.services.morning.problem import Choices
from stockroom.services.morning.sheets import to_settle
from stockroom.services.rack import pieces as rack
from stockroom.services.rack.pieces import Arrival
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut, record_left
from stockroom.services.shop import Shop
from stockroom.services.weekly.promise import promise_for
from stockroom.services.weekly.review import reorder
from stockroom.services.weekly.unblocked_jobs import unblocked
from stockroom.views.sheet import Sheet

UNTIL = date(2026, 11, 30)


def on_rack(shop: Shop, batch: str, *lengths: int) -> None:
    """Sticks of leaf, by batch, of these lengths in millimetres."""
    rack.receive(shop, "LEAF-40", batch, [Arrival(mm * 1000) for mm in lengths], "B1")


def triptych(shop: Shop, quantity: int = 3, **more: str) -> str:
    """A job of several frames in leaf; gives its number."""
    told = {"customer": "C. Voss", "profile": "LEAF-40", "width": "500", "height": "400",
            "due": "2026-11-27", "quantity": str(quantity), **more}  # fmt: skip
    return f"J{counter.take(shop, job_told(told, shop)).number}"


def plan(shop: Shop, **more: object) -> Sheet:
    """A plan for all that is due within the week."""
    return morning.plan_day(shop, Choices(UNTIL, seconds=5, **more))  # type: ignore[arg-type]


def batches(sheet: Sheet) -> set[str]:
    """The batches that a plan cuts."""
    return {piece.batch for piece in sheet.pieces}


def test_a_triptych_comes_from_one_batch_although_two_would_open_less(shop: Shop) -> None:
    on_rack(shop, "K10", 2_300, 2_300)
    on_rack(shop, "K11", 3_000, 3_000, 3_000)
    triptych(shop)
    sheet = plan(shop)
    assert (sheet.tally.frames, batches(sheet)) == (3, {"K11"})
    assert not sheet.short


def test_where_no_batch_yields_all_its_frames_they_wait_together(shop: Shop) -> None:
    on_rack(shop, "K10", 2_300, 2_300)
    on_rack(shop, "K11", 2_300)
    job = triptych(shop)
    sheet = plan(shop)
    assert sheet.tally.frames == 0
    assert [frame for frame, _ in sheet.short] == [f"{job}.1", f"{job}.2", f"{job}.3"]
    assert [reason.code for reason in sheet.short[0][1]] == [
        "no_batch_for_link", "buy_batch_or_apart", "buy_for_all"
    ]  # fmt: skip
    # Six rails of 571 mm and six of 471 mm with their cuts take 6 312 mm: more than two sticks.
    shown = ["".join(text for text, _ in line) for line in plan_lines(sheet, shop.settings, 200)]
    (told,) = [line for line in shown if line.startswith(f"  {job}")]
    assert told.startswith(f"  {job}.1..3 (C. Voss, LEAF-40): no batch on the rack yields all 3")
    assert "for all 3 together 3 sticks of 3000 mm would do" in told
    (line,) = reorder(shop, UNTIL, "LEAF-40")
    assert line.for_short == 3
    apart = plan(shop, apart=frozenset({int(job[1:])}))
    assert (apart.tally.frames, batches(apart)) == (3, {"K10", "K11"})


def test_another_job_takes_the_batch_that_the_waiting_one_leaves(shop: Shop) -> None:
    on_rack(shop, "K10", 2_300, 2_300)
    job, single = triptych(shop), triptych(shop, 1)
    sheet = plan(shop)
    assert {frame for frame, _ in sheet.short} == {f"{job}.{number}" for number in (1, 2, 3)}
    assert {part.frame for piece in sheet.pieces for part in piece.rails} == {single}


def test_the_rest_of_a_begun_job_matches_what_was_cut(shop: Shop) -> None:
    on_rack(shop, "K10", 3_000, 3_000)
    triptych(shop, 2)
    number = plan(shop).plan or 0
    morning.accept(shop, number)
    first, *others = to_settle(shop, number)
    record_cut(shop, SawReport(number, first))
    for piece in others:
        record_cut(shop, SawReport(number, piece, miscut=frozenset({1})))
    on_rack(shop, "K11", 3_000)
    assert batches(plan(shop)) <= {"K10"}


def test_sticks_are_ordered_for_a_begun_job_whose_batch_is_there_but_does_not_do(
    shop: Shop,
) -> None:
    on_rack(shop, "K10", 3_000, 2_300)
    job = triptych(shop, 2)
    number = plan(shop).plan or 0
    morning.accept(shop, number)
    first, second = to_settle(shop, number)
    record_cut(shop, SawReport(number, first))
    record_left(shop, number, second, "", not_there=True)
    on_rack(shop, "K10", 700)
    sheet = plan(shop)
    assert {why[0].code for _, why in sheet.short} == {"batch_lacks_for_link"}
    # What comes may be of another batch: its two frames take 4 168 mm, cut anew.
    (line,) = reorder(shop, UNTIL, "LEAF-40")
    assert (line.for_short, job in str(line.why)) == (2, True)
    come = rack.receive(shop, "LEAF-40", "K11", [Arrival(3_000_000)], "B2")
    (told,) = unblocked(shop, come).unmatched
    assert (told.about["wanted"], told.about["came"]) == ("K10", ("K11",))


def test_jobs_that_match_one_another_are_cut_together_from_one_batch_and_the_cost_is_said(
    shop: Shop,
) -> None:
    # Each alone comes from the offcut of a batch of its own; of one batch there are whole sticks.
    offcuts(shop, K10=2_300, K11=2_300)
    on_rack(shop, "K12", 3_000, 3_000)
    first = triptych(shop, 1)
    # Due a month later: it is cut with the first, or the batch is gone.
    second = triptych(shop, 1, set_with=first, due="2026-12-22")
    assert counter_row(shop, second) == f"{first}"
    sheet = plan(shop)
    assert (sheet.tally.frames, batches(sheet)) == (2, {"K12"})
    assert {label for label, _ in sheet.matched} == {first, second}
    shown = ["".join(text for text, _ in line) for line in plan_lines(sheet, shop.settings, 200)]
    assert any("that its frames match costs 6000 mm more of stick opened" in line
               for line in shown)  # fmt: skip
    amending.change(shop, second, {"set_with": 0})
    assert batches(plan(shop)) <= {"K10", "K11"}


def test_a_job_matches_the_batch_that_an_earlier_one_was_cut_from(shop: Shop) -> None:
    on_rack(shop, "K10", 3_000)
    first = triptych(shop, 1)
    number = plan(shop).plan or 0
    morning.accept(shop, number)
    # Taken in while the first is planned and not cut yet.
    third = triptych(shop, 1, set_with=first)
    on_rack(shop, "K11", 3_000)
    assert [reason.code for _, why in plan(shop).short for reason in why][:1] == [
        "no_piece_of_batch"]  # fmt: skip
    for piece in to_settle(shop, number):
        record_cut(shop, SawReport(number, piece))
    on_rack(shop, "K10", 3_000, 3_000)
    assert batches(plan(shop)) == {"K10"}
    assert promise_for(shop, asked(shop, set_with=third)).answer == "now"
    assert promise_for(shop, asked(shop, set_with=third, quantity="4")).answer == "never"


def test_a_job_matches_only_what_it_can(shop: Shop) -> None:
    first = triptych(shop, 1)
    second = triptych(shop, 1, set_with=first)
    other = {"customer": "C. Voss", "profile": "ASH-22", "width": "500", "height": "400",
             "due": "2026-11-27", "set_with": first}  # fmt: skip
    with pytest.raises(Refused, match="a batch is of one moulding"):
        counter.take(shop, job_told(other, shop))
    with pytest.raises(Refused, match="match itself"):
        amending.change(shop, first, {"set_with": int(first[1:])})
    with pytest.raises(Refused, match="is to match J"):
        amending.change(shop, first, {"set_with": int(triptych(shop, 1)[1:])})
    # Whoever matches a job of a set is of the set.
    third = triptych(shop, 1, set_with=second)
    assert counter_row(shop, third) == f"{first}, {second}"
    amending.cancel(shop, first, "withdrawn")
    with pytest.raises(Refused, match="is cancelled"):
        triptych(shop, 1, set_with=first)


def offcuts(shop: Shop, **lengths: int) -> None:
    """An offcut of leaf of each batch, in millimetres."""
    for batch, mm in lengths.items():
        rack.log_found(shop, "LEAF-40", batch, Arrival(mm * 1000))


def counter_row(shop: Shop, job: str) -> str:
    """The jobs that the counter says a job is of one batch with."""
    _, sizes = job_row(shop, job)
    return "; ".join(
        str(one.which) for one in sizes[0].sizes.notices if one.code == "one batch with"
    )


def asked(shop: Shop, **more: str) -> NewJob:
    """A job in leaf that is asked about."""
    return job_told({"customer": "nobody", "profile": "LEAF-40", "width": "500", "height": "400",
                     "due": "2026-11-27", **more}, shop)  # fmt: skip
