"""A job of several mouldings: taken, ticketed, planned, changed, priced and promised as one."""

import csv
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from stockroom.frame.ticket_told import Bench
from stockroom.paper.section import section
from stockroom.record.catalogue import profile_named
from stockroom.record.database import reading
from stockroom.record.jobs import open_frames
from stockroom.refusals import Refused, Unknown
from stockroom.services.catalogue.profiles import add_profile, change_profile
from stockroom.services.catalogue.save import save
from stockroom.services.counter import take as counter
from stockroom.services.counter.amend import cancel, change
from stockroom.services.counter.cut_afresh import cut_afresh
from stockroom.services.counter.job_list import job_row, job_rows, jobs_found
from stockroom.services.counter.make_ticket import ticket_of
from stockroom.services.counter.typed_jobs import job_told, take_file, wanted_told
from stockroom.services.morning.day_plan import plan_day
from stockroom.services.morning.problem import Choices
from stockroom.services.past.frames_asked import frames_asked
from stockroom.services.rack.pieces import Arrival, receive
from stockroom.services.record.undo import undo
from stockroom.services.saw.supplied import supplied
from stockroom.services.shop import Shop
from stockroom.services.weekly.job_cost import price_job, ways_for
from stockroom.services.weekly.promise import promise_for
from stockroom.services.weekly.review import reorder
from stockroom.words.language import word
from tests.stockroom.conftest import told as said

pytestmark = pytest.mark.parametrize("where", ["sqlite"], indirect=True)
DUE = "2026-11-27"
FILLET = {"supplier": "LARK", "name": "fillet", "kind": "rabbeted", "face": "8 mm",
          "rabbet_width": "4 mm", "rabbet_depth": "2 mm", "height": "6 mm",
          "stick_length": "2440 mm", "shortest_kept": "200 mm", "end_trim": "5 mm",
          "price_per_stick": "9.00"}  # fmt: skip


def told(shop: Shop, **more: str) -> counter.NewJob:
    """Plain ash with leaf round it, unless told otherwise."""
    job = {"customer": "C. Voss", "profile": "ASH-22", "width": "500", "height": "400",
           "due": DUE, "around": "LEAF-40"}  # fmt: skip
    return job_told({name: text for name, text in {**job, **more}.items() if text}, shop)


def taken(shop: Shop, **more: str) -> counter.Taken:
    """The same, taken in."""
    return counter.take(shop, told(shop, **more))


def changed(shop: Shop, **more: str) -> counter.Taken:
    """J1 changed so."""
    wanted: dict[str, Any] = wanted_told(shop, "J1", more)
    return change(shop, "J1", wanted)


def frames(shop: Shop) -> list[tuple[str, str, int, int]]:
    """The frames that wait: label, moulding, long points (mm)."""
    with reading(shop.engine) as session:
        return [(one.label, one.profile, one.across // 1000, one.upright // 1000)
                for one in open_frames(session, states=("open", "held"))]  # fmt: skip


def test_each_moulding_has_a_frame_of_its_own_and_all_of_them_one_job(shop: Shop) -> None:
    # Computed here: 500 + 3 + 2 (22 - 6) = 535, and 535 + 3 + 2 (40 - 6) = 606.
    job = taken(shop)
    assert [one.sizes.rails_um[0] // 1000 for one in job.layers] == [535, 606]
    assert frames(shop) == [("J1", "ASH-22", 535, 435), ("J1.b", "LEAF-40", 606, 506)]
    taken(shop, quantity="2")
    assert [label for label, *_ in frames(shop)][2:] == ["J2.1", "J2.1b", "J2.2", "J2.2b"]
    row, layers = job_row(shop, "J2")
    assert (row.profile, row.quantity, row.frames, row.rails_waiting) == (
        "ASH-22 + LEAF-40", 2, 4, 16,
    )  # fmt: skip
    assert [word(one.name) for one in layers] == [
        "ASH-22, where the artwork lies",
        "LEAF-40, round it",
    ]
    assert [one.number for one in job_rows(shop, profile="leaf-40")] == [1, 2]
    assert [one.number for one in jobs_found(shop, "leaf")] == [2, 1]


def test_a_fillet_lines_the_mats_window_and_comes_with_the_glass(shop: Shop) -> None:
    # Computed here: under 3 mm of overlap 494 shows; the fillet is 494 + 16 = 510 long, the window
    # 510 - 8 = 502, the glass 502 + 120 = 622.
    add_profile(shop, "FIL-8", FILLET)
    job = taken(shop, mat="60", overlap="3", fillet="FIL-8", depth="8")
    ash, leaf, fillet = (one.sizes for one in job.layers)
    assert (fillet.rails_um[0], fillet.opening_um[0]) == (510_000, 502_000)
    assert (ash.package_um[0], ash.window_um) == (622_000, fillet.opening_um)
    assert (ash.depth_um, leaf.artwork_um) == (12_000, ash.outside_um)
    assert frames(shop)[-1][:2] == ("J1.f", "FIL-8")
    assert job_row(shop, "J1")[0].profile == "FIL-8 + ASH-22 + LEAF-40"
    assert [one.sizes.rails_um for one in job_row(shop, "J1")[1]] == [
        one.sizes.rails_um for one in job.layers
    ]


def test_what_makes_no_frame_in_a_frame_is_refused_and_nothing_is_taken(shop: Shop) -> None:
    with pytest.raises(Refused) as no_mat:
        taken(shop, fillet="ASH-22")
    assert said(no_mat.value).startswith("a fillet lines the window of a mat, and no mat was told")
    with pytest.raises(Unknown, match="there is no profile 'LEEF-40'"):
        taken(shop, around="LEEF-40")
    with pytest.raises(Refused, match="5 mouldings round the first"):
        taken(shop, around=" / ".join(["LEAF-40"] * 5))
    with pytest.raises(Refused) as deep:
        taken(shop, profile="FLOAT-12", depth="20")
    assert said(deep.value).startswith("LEAF-40 holds 9/16 in, and what goes into it is 1 1/2 in")
    with pytest.raises(Refused, match="a float has a gap"):
        taken(shop, around="FLOAT-12", allowance="2", profile="FLOAT-12")
    assert frames(shop) == []
    assert taken(shop, profile="FLOAT-12", depth="20", proud="yes").number == 1


def test_the_ticket_and_its_section_have_all_mouldings_to_one_scale(shop: Shop) -> None:
    change_profile(shop, "ASH-22", {"height": "14.5 mm"})
    change_profile(shop, "LEAF-40", {"height": "30 mm", "rabbet_depth": "15 mm"})
    taken(shop)
    ticket = ticket_of(shop, "J1", Bench())
    drawn = section(ticket)
    assert [mark.name for mark in drawn.marks] == ["ASH-22", "LEAF-40"]
    outer, inner = (shape.points for shape in drawn.shapes[:2])
    # Computed here: the ash begins 34 + 1.5 mm in, and its front meets the lip 15 mm up.
    assert min(x for x, _ in inner) == 35_500
    assert max(y for _, y in inner) == 15_000
    assert (max(x for x, _ in outer), max(y for _, y in outer)) == (40_000, 30_000)
    lengths = {f"{one.number} {one.name}": one.length_um for one in drawn.dimensions}
    assert (lengths["2 covered"], lengths["2 lies deep"], lengths["2 holds"]) == (
        4_500, 14_500, 15_000,
    )  # fmt: skip
    assert ticket.moulding_um == 2 * (535_000 + 435_000) + 2 * (606_000 + 506_000)
    assert [weight.part for weight in ticket.weights][-1] == "LEAF-40"
    alone = ticket_of(shop, f"J{taken(shop, around='').number}", Bench())
    assert ticket.hanging is not None
    assert alone.hanging is not None
    assert ticket.hanging.span_um > alone.hanging.span_um


def test_a_change_reaches_all_mouldings_and_is_undone_as_one(shop: Shop) -> None:
    taken(shop, quantity="2")
    before = frames(shop)
    changed(shop, width="600")
    assert frames(shop)[:2] == [("J1.1", "ASH-22", 635, 435), ("J1.1b", "LEAF-40", 706, 506)]
    undo(shop)
    assert frames(shop) == before
    changed(shop, around="none")
    assert {profile for _, profile, *_ in frames(shop)} == {"ASH-22"}
    changed(shop, around="FLOAT-12 5 mm", quantity="1")
    assert frames(shop) == [("J1", "ASH-22", 535, 435), ("J1.b", "FLOAT-12", 569, 469)]
    undo(shop)
    undo(shop)
    assert frames(shop) == before
    cancel(shop, "J1", "withdrawn")
    assert frames(shop) == []
    undo(shop)
    assert frames(shop) == before


def test_a_job_of_one_moulding_gets_another_round_it_and_its_cut_rails_stay(shop: Shop) -> None:
    taken(shop, around="")
    supplied(shop, "J1", "K1")
    job = changed(shop, around="LEAF-40")
    assert (job.back, frames(shop)) == ((), [("J1.b", "LEAF-40", 606, 506)])
    row, _ = job_row(shop, "J1")
    assert (row.state, row.frames_cut, row.rails_waiting) == ("part cut", 0, 4)
    supplied(shop, "J1.b", "K2")
    assert job_row(shop, "J1")[0].state == "cut"
    assert cut_afresh(shop, "J1.b").frames == ("J1.b",)
    assert frames(shop) == [("J1.b", "LEAF-40", 606, 506)]
    with pytest.raises(Unknown):
        supplied(shop, "J1.d", "K2")


def test_a_layered_job_goes_into_a_file_and_comes_back_the_same(shop: Shop, tmp_path: Path) -> None:
    add_profile(shop, "FIL-8", FILLET)
    taken(shop, mat="60", fillet="FIL-8 1 mm", around="LEAF-40 4 mm / ASH-22")
    before = frames(shop)
    save(shop, "jobs", tmp_path / "jobs.csv")
    text = (tmp_path / "jobs.csv").read_text()
    assert "LEAF-40 4 mm / ASH-22" in text
    (row,) = csv.DictReader(text.splitlines())
    (tmp_path / "again.csv").write_text(text.replace(",1,no,", ",,no,"))
    assert (row["fillet"], row["number"]) == ("FIL-8 1 mm", "1")
    assert take_file(shop, tmp_path / "again.csv").taken == 1
    assert [one[1:] for one in frames(shop)] == [one[1:] for one in before] * 2


def test_it_is_priced_together_and_promised_only_with_all_its_mouldings(shop: Shop) -> None:
    change_profile(shop, "LEAF-40", {"price_per_stick": "40.00"})
    taken(shop)
    taken(shop, around="")
    taken(shop, around="", profile="LEAF-40", width="535", height="435")
    both, ash, leaf = (price_job(shop, f"J{number}") for number in (1, 2, 3))
    assert (both.cost, both.rule, both.rails) == (
        ash.cost + leaf.cost, ash.rule + leaf.rule, ash.rails + leaf.rails,
    )  # fmt: skip
    alone = dict.fromkeys(("stick", "shared stick"), 0)
    for number in (2, 3):
        for way in ways_for(shop, f"J{number}"):
            alone[way.name] += way.cost
    assert {way.name: way.cost for way in ways_for(shop, "J1")} == alone
    for number in (2, 3, 1):
        cancel(shop, f"J{number}", "only priced")
    receive(shop, "ASH-22", "A", [Arrival(3_000_000)])
    wanted = told(shop)
    assert promise_for(shop, wanted).answer != "now"
    receive(shop, "LEAF-40", "B", [Arrival(3_000_000)])
    now = promise_for(shop, wanted)
    assert (now.answer, now.pieces) == ("now", (1, 2))


def test_the_weeks_list_and_what_was_asked_for_count_every_moulding(shop: Shop) -> None:
    taken(shop)
    lines = {line.profile: line.sticks for line in reorder(shop, date(2026, 11, 30))}
    assert lines["ASH-22"] >= 1
    assert lines["LEAF-40"] >= 1
    with reading(shop.engine) as session:
        asked = frames_asked(session, profile_named(session, "LEAF-40"), date(2026, 12, 31))
    assert asked == [(date(2026, 11, 27), (606_000, 506_000) * 2)]


def test_it_is_cut_with_all_its_mouldings_or_not_at_all(shop: Shop) -> None:
    taken(shop)
    receive(shop, "ASH-22", "A", [Arrival(3_000_000)])
    sheet = plan_day(shop, Choices(date(2026, 11, 30), seconds=5))
    assert sheet.pieces == ()
    assert {label: why[0].code for label, why in sheet.short} == {
        "J1": "waits_for_linked", "J1.b": "no_piece"}  # fmt: skip
    receive(shop, "LEAF-40", "B", [Arrival(3_000_000)])
    sheet = plan_day(shop, Choices(date(2026, 11, 30), seconds=5))
    assert (sheet.tally.frames, sheet.short) == (2, ())
