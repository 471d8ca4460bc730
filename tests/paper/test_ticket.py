"""Tickets read back: words, scale, and that nothing overlaps or leaves the page."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from stockroom.frame.bench_ticket import Ticket, ticket
from stockroom.frame.fitting import STEPS
from stockroom.frame.hanging import Hanging
from stockroom.frame.sizes import Mat, Moulding, Readings, frame_sizes
from stockroom.frame.ticket_told import Bench, Work
from stockroom.paper.page import FORMATS
from stockroom.paper.section import scale_for, section
from stockroom.paper.ticket_page import ticket_page
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import Micrometres as Um
from tests.paper.reading import (
    assert_as_kept,
    assert_inside,
    assert_words_apart,
    outlines,
    pages_of,
    picture,
)
from tests.paper.scanning import read_by

HEAD_MM = 30.0
ASH = Moulding("rabbeted", Um(22_000), Um(6_000), Um(14_000))
FLOAT = Moulding("float", Um(12_000), wall_um=Um(12_000), recess_depth_um=Um(45_000))


def made(
    moulding: Moulding, *, depth: int | None = None, mat: Mat | None = None,
    bench: Bench | None = None, size: int = 600_000, customer: str = "R. Aldous",
    title: str = "Harbour", note: str = "", slack: int = 9_000,
) -> Ticket:  # fmt: skip
    """A ticket of an invented job."""
    readings = Readings((size,), (size * 5 // 4, size * 5 // 4 - 500))
    sizes = frame_sizes(readings, moulding, slack, depth=depth, mat=mat)
    borders = (mat.left, mat.right, mat.top, mat.bottom) if mat else None
    work = Work("J12", customer, title, "PROFILE-1", "plain", "white ash", date(2026, 12, 4), 2,
                readings, depth, mat is not None, None, borders, note=note)  # fmt: skip
    return ticket(work, moulding, sizes, bench or Bench(), Hanging(), shop="The Glue Pot",
                  day=date(2026, 11, 23))  # fmt: skip


def read(pdf: bytes) -> Any:
    """The only page of a PDF."""
    (page,) = pages_of(pdf)
    return page


def extent(points: list[tuple[float, float]]) -> tuple[float, float]:
    """How wide and high an outline is."""
    across, up = [p[0] for p in points], [p[1] for p in points]
    return max(across) - min(across), max(up) - min(up)


def assert_sound(page: Any) -> None:
    """No word overlaps another, and nothing leaves the page's margins."""
    assert_words_apart(page)
    assert_inside(page, 40, 40, page.width - 40, page.height - 30)


CASES = {
    "float": made(FLOAT, depth=38_000, bench=Bench(height_um=54_000, method="wire")),
    "matted": made(ASH, depth=9_000, mat=Mat(60_000, 60_000, 60_000, 80_000, 3_000), slack=3_000),
    "plain": made(ASH, slack=3_000),
}


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("size", FORMATS)
def test_a_section_is_drawn_to_its_printed_scale(name: str, size: str) -> None:
    page = read(ticket_page(CASES[name], Settings(unit="mm"), size))
    drawing = section(CASES[name])
    words = page.extract_text().split("scale ")[1].split()
    scale = int(words[0]) / int(words[2])
    drawn = (points for points in outlines(page) if min(y for _, y in points) > HEAD_MM)
    found = sorted(extent(points) for points in drawn)
    expected = sorted(
        (
            (max(p[0] for p in shape.points) - min(p[0] for p in shape.points)) / 1000 * scale,
            (max(p[1] for p in shape.points) - min(p[1] for p in shape.points)) / 1000 * scale,
        )
        for shape in drawing.shapes
    )
    assert len(found) == len(expected)
    for paper, real in zip(found, expected, strict=True):
        assert paper == pytest.approx(real, rel=5e-3, abs=0.01)


@pytest.mark.parametrize("name", CASES)
def test_a_ticket_says_what_the_bench_needs(name: str) -> None:
    text = read(ticket_page(CASES[name], Settings(unit="mm"))).extract_text()
    wanted = ("J12", "R. Aldous", "Harbour", "PROFILE-1", "rails, long point", "V-nail",
              "weight in all", "fixings, from the top", "makers' ratings, the wall")  # fmt: skip
    assert [words for words in wanted if words not in text] == []


def test_a_float_whose_height_nobody_told_is_ticketed_with_what_is_known() -> None:
    job = made(FLOAT, depth=38_000)
    text = read(ticket_page(job, Settings(unit="mm"))).extract_text()
    for words in ("rails, long point", "642 792", "spacers, each side 9 mm", "wall 12 mm",
                  "moulding height 51 mm estimated", "measure the ledge first"):  # fmt: skip
        assert words in text
    bare = read(ticket_page(made(FLOAT), Settings(unit="mm"))).extract_text()
    assert "642 792" in bare
    assert "longest screw" not in bare


def test_a_long_name_and_a_long_title_are_told_in_full() -> None:
    customer = "The Society of Friends of the Old Harbour and its Lighthouse at Netherby Quay"
    title = "Three boats at dusk, seen from the upper window of the chandler's house, with gulls"
    for size in FORMATS:
        page = read(ticket_page(made(ASH, customer=customer, title=title), Settings(), size))
        assert_sound(page)
        half = page.within_bbox((130, 40, 400, 140))
        said = " ".join(half.extract_text().split())
        assert all(word in said for word in (*customer.split(), *title.split()))
        assert "…" not in said


def test_estimated_weights_are_told_from_given_ones() -> None:
    text = read(ticket_page(made(ASH, bench=Bench(artwork_g=900)), Settings())).extract_text()
    assert "given: as weighed" in text
    assert "est. white ash" in text


def test_a_work_on_paper_is_ticketed_with_what_is_cut_for_it() -> None:
    text = " ".join(read(ticket_page(CASES["matted"], Settings(unit="mm"))).extract_text().split())
    across, upright = CASES["matted"].sizes.package_um
    glass = f"{across // 1000} × {upright // 1000}"
    for words in (f"glass, cut {glass}", f"mat, cut {glass}", f"backing, cut {glass}", "window",
                  "borders left 60, right 60, top 60, bottom 80", "mat overlaps, each edge 3",
                  "gloves that resist cuts", "never into a bag"):  # fmt: skip
        assert words in text
    assert "gloves" not in read(ticket_page(CASES["float"], Settings())).extract_text()


def test_a_package_deeper_than_its_rabbet_is_minded_though_nobody_told_its_depth() -> None:
    shallow = Moulding("rabbeted", Um(22_000), Um(6_000), Um(6_000))
    matted = Mat(60_000, 60_000, 60_000, 80_000, 3_000)
    text = " ".join(read(ticket_page(made(shallow, mat=matted, slack=3_000),
                                     Settings(unit="mm"))).extract_text().split())  # fmt: skip
    # Glass 2, mat 1.5, paper 0.3 and board 3 mm are 6.8 mm.
    assert "about 7 mm thick as reckoned and the rabbet is 6 mm deep" in text or "6.8" in text
    deep = read(ticket_page(made(ASH, mat=matted, slack=3_000), Settings(unit="mm")))
    assert "as reckoned" not in deep.extract_text()


def test_a_heavy_work_on_a_wire_is_minded_and_its_hook_is_measured_from_the_top() -> None:
    heavy = made(ASH, bench=Bench(method="wire", artwork_g=9_500), slack=3_000)
    text = " ".join(read(ticket_page(heavy, Settings(unit="mm"))).extract_text().split())
    assert "Heavy for a wire: two fixings on the wall, or a cleat, are preferred." in text
    hang = heavy.hanging
    assert hang is not None
    assert hang.rise_um is not None
    assert f"hook, from the top {round((hang.down_um - hang.rise_um) / 1000)}" in text
    pull = hang.pull_n / 9.80665
    assert f"pull in the wire {pull:.2f} kg" in text
    light = made(ASH, bench=Bench(method="wire"), slack=3_000)
    assert "Heavy for" not in read(ticket_page(light, Settings())).extract_text()


def test_v_nails_say_when_they_are_stacked() -> None:
    tall = made(ASH, bench=Bench(height_um=48_000), slack=3_000)
    text = " ".join(read(ticket_page(tall, Settings(unit="mm"))).extract_text().split())
    assert "V-nails 32 two a corner, each of two stacked" in text
    low = " ".join(read(ticket_page(CASES["plain"], Settings(unit="mm"))).extract_text().split())
    assert "V-nails 16 two a corner" in low
    assert "stacked" not in low


def test_each_step_and_the_weight_have_a_box_and_the_code_opens_the_job() -> None:
    pdf = ticket_page(CASES["plain"], Settings())
    page = read(pdf)
    empty = [box for box in page.rects if not box["fill"]]
    assert len(empty) == len(STEPS) + 1
    assert [words for words in (*STEPS, "as weighed") if words not in page.extract_text()] == []
    assert read_by("zxing", picture(pdf, 0, 200), "qr") == ["J12"]


@pytest.mark.parametrize("name", CASES)
def test_nothing_overlaps_or_leaves_the_page(name: str) -> None:
    for unit, size in ((Settings(unit="mm"), "a4"), (Settings(step="1/64 in"), "letter")):
        page = read(ticket_page(CASES[name], unit, size))
        assert_sound(page)
        assert "…" not in page.extract_text()


@given(
    st.sampled_from(["rabbeted", "float"]), st.integers(3_000, 200_000), st.integers(2, 120_000),
    st.text(st.characters(categories=("L", "N", "P", "Zs")), max_size=200),
    st.text("漢字мирΩüéñ ab", max_size=200), st.sampled_from(sorted(FORMATS)), st.booleans(),
)  # fmt: skip
@hypothesis_settings(max_examples=8)
def test_any_job_fits_its_page(
    kind: str, face: int, depth: int, customer: str, note: str, size: str, wire: bool
) -> None:
    moulding = (
        Moulding("float", Um(face), wall_um=Um(face), recess_depth_um=Um(face * 2))
        if kind == "float"
        else Moulding("rabbeted", Um(face), Um(face // 3), Um(face // 2))
    )
    bench = Bench(method="wire" if wire else "hangers")
    job = made(moulding, depth=depth, bench=bench, size=900_000, customer=customer,
               title=customer[::-1], note=note)  # fmt: skip
    assert_sound(read(ticket_page(job, Settings(unit="in", step="1/64 in"), size)))


def test_the_same_ticket_has_the_same_bytes() -> None:
    first = ticket_page(CASES["float"], Settings())
    assert first == ticket_page(replace(CASES["float"]), Settings())


def test_a_drawing_takes_the_largest_scale_that_fits() -> None:
    drawing = section(CASES["plain"])
    left, low, right, high = drawing.extent
    drawn, real = scale_for(drawing, 60, 40)
    assert (right - left) / 1000 * drawn / real <= 60
    assert (high - low) / 1000 * drawn / real <= 40
    assert scale_for(drawing, 6_000, 4_000) == (10, 1)


def test_the_drop_shown_is_the_drop_reckoned() -> None:
    job = CASES["float"]
    shown = {d.name: d.length_um for d in section(job).dimensions}
    assert shown["drop"] == job.sizes.drop_um
    assert (shown["gap"],) * 2 == job.sizes.gap_um


def test_a_canvas_that_stands_proud_is_drawn_proud() -> None:
    shown = {d.name: d.length_um for d in section(made(FLOAT, depth=50_000)).dimensions}
    assert shown["proud"] == 5_000


@pytest.mark.parametrize("name", CASES)
def test_a_ticket_looks_as_it_did(name: str) -> None:
    assert_as_kept(ticket_page(CASES[name], Settings(unit="mm")), 0, f"ticket-{name}")
