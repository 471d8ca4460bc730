"""A triptych hangs together: the frames of a job are cut from one batch, unless told otherwise."""

from datetime import date

from stockroom.screens.plan_screen import plan_lines
from stockroom.services.counter import take as counter
from stockroom.services.counter.typed_jobs import job_told
from stockroom.services.morning import day_plan as morning
from stockroom.services.morning.problem import Choices
from stockroom.services.morning.sheets import to_settle
from stockroom.services.rack import pieces as rack
from stockroom.services.rack.pieces import Arrival
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop
from stockroom.services.weekly.review import reorder
from stockroom.views.sheet import Sheet

UNTIL = date(2026, 11, 30)


def on_rack(shop: Shop, batch: str, *lengths: int) -> None:
    """Sticks of leaf, by batch, of these lengths in millimetres."""
    rack.receive(shop, "LEAF-40", batch, [Arrival(mm * 1000) for mm in lengths], "B1")


def triptych(shop: Shop, quantity: int = 3) -> str:
    """A job of several frames in leaf; gives its number."""
    told = {"customer": "C. Voss", "profile": "LEAF-40", "width": "500", "height": "400",
            "due": "2026-11-27", "quantity": str(quantity)}  # fmt: skip
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
