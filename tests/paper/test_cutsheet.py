"""Cut sheets read back: every rail to scale with its box, all words apart, all on the page."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
import zxingcpp
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from planner.values import Reason
from stockroom.paper.cut_sheet import cut_sheet, stop_sheet
from stockroom.paper.page import FORMATS, MARGIN, POINT_MM
from stockroom.settings.shop_settings import Settings
from stockroom.views.collating import alike_told, stops_set
from stockroom.views.sheet import CAUTIONS, Part, PartKind, Sheet, SheetPiece
from stockroom.words.language import word as said_as
from tests.paper.reading import (
    assert_as_kept,
    assert_clear_of,
    assert_inside,
    assert_words_apart,
    outlines,
    pages_of,
    picture,
)
from tests.stockroom.screens.sheets import MM, any_sheet, fixed, row, told

HEAD_MM = 44.0
TICK, FOOT = 6 / POINT_MM - 0.1, 29 / POINT_MM
INCHES, MILLIMETRES = Settings(unit="in", step="1/64 in"), Settings(unit="mm")


def monday(pieces: int = 3) -> Sheet:
    """An accepted plan of this many pieces."""
    sheet = replace(fixed(), state="accepted")
    return replace(sheet, pieces=(sheet.pieces * pieces)[:pieces])


def busy(pieces: int) -> Sheet:
    """A plan of sticks that each give six rails and an offcut."""
    rails: list[tuple[PartKind, int] | tuple[PartKind, int, str, int]] = []
    for number in range(6):
        rails += [("rail", 400, f"J{number}", number % 4), ("saw", 5)]
    parts = row(("trim", 10), *rails, ("leftover", 560))
    why = told("for J3: at least 236 1/4 in of sticks must be opened")
    stick = SheetPiece(9, "ASH-22", "B7", "stick", "A3", 3_000 * MM, parts, why)
    return replace(monday(), pieces=(stick,) * pieces)


@st.composite
def any_rails(draw: st.DrawFn) -> Sheet:
    """A plan with 1 to 60 rails on a stick of up to 120 in, the shortest of 3 mm."""
    parts: list[Part] = []
    at = 0
    many = draw(st.integers(1, 60))
    longest = 3_048_000 // many - 5_000
    for number in range(many):
        length = draw(st.integers(3_000, longest))
        frame = draw(st.sampled_from(["J7", "J12.34", "J99999.999"]))
        parts += [Part("rail", at, length, frame, number % 4, length < 150_000),
                  Part("saw", at + length, 5_000)]  # fmt: skip
        at += length + 5_000
    if at < 3_048_000:
        parts.append(Part(draw(st.sampled_from(["leftover", "scrap"])), at, 3_048_000 - at))
    names = st.text(max_size=40) | st.text("漢字мирΩ عربى", max_size=40)
    stick = SheetPiece(draw(st.integers(1, 10**7)), draw(names), draw(names), "stick",
                       draw(names), 3_048_000, tuple(parts), told(draw(names)))  # fmt: skip
    sheet = monday()
    frames = {"J15": replace(sheet.frames["J15"], customer=draw(names))}
    return replace(sheet, pieces=(stick, *sheet.pieces), frames=frames)


def boxes(page: Any) -> Iterator[Any]:
    """The boxes of a page that are to be ticked or written in."""
    return (box for box in page.rects if not box["fill"])


def drawn_parts(pages: list[Any]) -> list[list[tuple[float, float]]]:
    """The outlines of all parts, page by page, downwards and from left to right."""
    found = []
    for page in pages:
        low = [o for o in outlines(page) if min(y for _, y in o) > HEAD_MM or page is not pages[0]]
        # Points are written to a hundredth of a point, so neighbours stay in order.
        found += sorted(low, key=lambda o: (round(max(y for _, y in o)), min(back_edge(o))))
    return found


def back_edge(outline: list[tuple[float, float]]) -> list[float]:
    """Where a part's back edge begins and ends, which is drawn below."""
    low = max(y for _, y in outline)
    return [x for x, y in outline if y > low - 0.1]


def assert_sound(sheet: Sheet, pages: list[Any]) -> None:
    """Nothing overlaps or leaves the page; each rail has a box, each part its place to scale."""
    margin = (MARGIN - 0.2) / POINT_MM
    for page in pages:
        assert_words_apart(page)
        assert_inside(page, margin, margin, page.width - margin, page.height - margin)
        assert_clear_of(page, list(boxes(page)))
    marks = [line["x0"] * POINT_MM for page in pages for line in page.lines
             if line["linewidth"] * POINT_MM > 0.9]  # fmt: skip
    assert len(marks) == len(sheet.pieces) + 1, "each piece's label's end, and the key"
    assert marks.count(pytest.approx(MARGIN + 0.5, abs=0.01)) == len(sheet.pieces)
    kinds = [part.kind for piece in sheet.pieces for part in piece.parts]
    found = [box for page in pages for box in boxes(page)]
    frames = {rail.frame for piece in sheet.pieces for rail in piece.rails}
    ticks = [box for box in found if box["width"] * POINT_MM < 7]
    assert len(ticks) == kinds.count("rail") + len(frames)
    assert min((box["width"] for box in found), default=TICK) >= TICK
    assert min((box["height"] for box in found), default=TICK) >= TICK
    assert sum(box["width"] * POINT_MM > 20 for box in found) == kinds.count("leftover")
    text = " ".join(page.extract_text() for page in pages)
    assert text.count("miscut: rail") == len(sheet.pieces)
    assert min((letter["size"] for page in pages for letter in page.chars
                if letter["top"] < page.height - FOOT), default=9) > 7.9  # fmt: skip


def assert_to_scale(sheet: Sheet, pages: list[Any]) -> None:
    """Each part is as long in its piece's drawing as in the piece, to 0.5 %."""
    drawn = iter(drawn_parts(pages))
    for piece in sheet.pieces:
        parts = [(part, next(drawn)) for part in piece.parts]
        edges = [x for _, outline in parts for x in back_edge(outline)]
        whole = max(edges) - min(edges)
        for part, outline in parts:
            wide = max(back_edge(outline)) - min(back_edge(outline))
            wanted = part.length / piece.length * whole
            assert wide == pytest.approx(wanted, rel=5e-3, abs=0.02)
            left = min(back_edge(outline)) - min(edges)
            assert left == pytest.approx(part.start / piece.length * whole, abs=0.02)
    assert next(drawn, None) is None


def test_frames_that_are_cut_ahead_are_counted_in_the_head() -> None:
    sheet = monday()
    today, before = sheet.until, sheet.until - timedelta(days=3)
    # J12 is cut; J15 is short, so that it is not cut ahead whatever its due date.
    for until, words in ((today, ""), (before, " and 1 due later")):
        (page,) = pages_of(cut_sheet(replace(sheet, until=until), MILLIMETRES, "a4"))
        head = f"accepted, for frames due by {until:%a} {until.isoformat()}{words}"
        assert head in (page.extract_text() or "").replace("\n", " ")
        assert (" due later" in page.extract_text()) == bool(words)


@pytest.mark.parametrize("size", FORMATS)
@pytest.mark.parametrize("settings", [INCHES, MILLIMETRES])
def test_a_plan_is_printed_to_scale_with_all_its_boxes(size: str, settings: Settings) -> None:
    for sheet in (monday(), busy(9), monday(0)):
        pages = pages_of(cut_sheet(sheet, settings, size))
        assert_sound(sheet, pages)
        assert_to_scale(sheet, pages)


@given(any_sheet() | any_rails(), st.sampled_from(sorted(FORMATS)), st.booleans())
@hypothesis_settings(max_examples=10)
def test_any_plan_is_printed_to_scale_with_all_its_boxes(
    sheet: Sheet, size: str, metric: bool
) -> None:
    settings = MILLIMETRES if metric else INCHES
    pages = pages_of(cut_sheet(sheet, settings, size))
    assert_sound(sheet, pages)
    if all(part.length >= 3_000 for piece in sheet.pieces for part in piece.parts):
        assert_to_scale(sheet, pages)


@pytest.mark.parametrize("size", FORMATS)
def test_twenty_pieces_take_six_pages_at_most(size: str) -> None:
    assert len(pages_of(cut_sheet(busy(20), INCHES, size))) <= 6


def test_mitres_open_away_from_the_back_edge() -> None:
    sheet = monday()
    kinds = [part.kind for piece in sheet.pieces for part in piece.parts]
    drawn = drawn_parts(pages_of(cut_sheet(sheet, MILLIMETRES)))
    for kind, outline in zip(kinds, drawn, strict=True):
        back = max(y for _, y in outline)
        low = [x for x, y in outline if y > back - 0.1]
        high = [x for x, y in outline if y < back - 0.1]
        mitres = (min(high) - min(low), max(low) - max(high))
        if kind == "rail":
            assert mitres[0] == pytest.approx(mitres[1], abs=0.01)
            assert mitres[0] > 1
        elif kind in ("trim", "flaw"):
            assert mitres == pytest.approx((0, 0), abs=0.01)


def test_what_is_left_is_drawn_mitred_as_it_comes_off() -> None:
    parts = row(("rail", 400, "J1", 0), ("saw", 5), ("leftover", 995), ("saw", 5),
                ("rail", 400, "J1", 2))  # fmt: skip
    piece = SheetPiece(9, "ASH-22", "B7", "stick", "A3", 1_805 * MM, parts)
    pdf = cut_sheet(replace(monday(), pieces=(piece,)), MILLIMETRES)
    one, saw, left, other, two = drawn_parts(pages_of(pdf))
    for outline, leans in ((one, (1, -1)), (saw, (-1, -1)), (left, (-1, 1)), (other, (1, 1)),
                           (two, (1, -1))):  # fmt: skip
        low = back_edge(outline)
        high = [x for x, y in outline if y < max(y for _, y in outline) - 0.1]
        mitre = (min(high) - min(low), max(high) - max(low))
        assert mitre == pytest.approx([3.5 * lean for lean in leans], abs=0.05)


def test_a_flaw_is_crossed_out_and_the_fills_have_a_key() -> None:
    (page,) = pages_of(cut_sheet(monday(), MILLIMETRES))
    text = page.extract_text()
    for words in (
        "rail",
        "to the rack",
        "scrap",
        "cutting loss",
        "flaw",
        "label's end",
        "face up, back edge",
    ):
        assert words in text.split("A1 214")[0]
    assert sum(abs(line["x0"] - line["x1"]) > 1 < abs(line["top"] - line["bottom"])
               for line in page.lines) == 4  # fmt: skip


def test_a_place_is_not_cut_off_beside_empty_space() -> None:
    spot = "Loft, rear wall, upper rack, left"
    piece = replace(monday(1).pieces[0], spot=spot)
    (page,) = pages_of(cut_sheet(replace(monday(), pieces=(piece,)), INCHES))
    assert_words_apart(page)
    assert f"{spot} 214 ASH-22, batch B7" in page.extract_text()


def test_frames_are_gathered_from_their_pieces() -> None:
    text = " ".join(pages_of(cut_sheet(monday(), MILLIMETRES))[-1].extract_text().split())
    assert "J12 R. Aldous, ASH-22 2 × 813 from 9; 2 × 610 from 214" in text
    assert "J3.2 2 × 140 from 40" in text


def test_frames_told_the_same_are_told_in_one_line() -> None:
    why = (Reason("no_piece", {"profile": "ASH-22"}),)
    other = (Reason("no_piece", {"profile": "ASH-38"}),)
    short = [("J34.2", why), ("J34.3", why), ("J34.4", why), ("J35", why), ("J36.1", other),
             ("J36.3", other)]  # fmt: skip
    said = [(said_as(called), *rest) for called, *rest in alike_told(short)]
    assert said == [("J34.2..4", "J34.2", why), ("J35", "J35", why),
                                 ("J36, 2 frames", "J36.1", other)]  # fmt: skip
    pages = pages_of(cut_sheet(replace(monday(), short=short), MILLIMETRES))
    text = " ".join(page.extract_text() for page in pages)
    assert text.count("no piece of ASH-22") == 2


def test_the_stop_is_counted_as_it_is_set_along_the_walk() -> None:
    assert stops_set(monday()) == 3
    assert "the stop is set 3 times" in pages_of(cut_sheet(monday(), INCHES))[0].extract_text()


@pytest.mark.parametrize("size", FORMATS)
def test_the_stop_list_has_every_rail_of_a_profile_by_length(size: str) -> None:
    pages = pages_of(stop_sheet(busy(9), MILLIMETRES, size))
    margin = (MARGIN - 0.2) / POINT_MM
    for page in pages:
        assert_words_apart(page)
        assert_inside(page, margin, margin, page.width - margin, page.height - margin)
        assert_clear_of(page, list(boxes(page)))
    assert sum(1 for page in pages for _ in boxes(page)) == 54
    (page,) = pages_of(stop_sheet(monday(), MILLIMETRES, size))
    words = " ".join(page.extract_text().split())
    order = [words.index(said) for said in ("ASH-22: the stop", "813 2 rails", "from 9 J12",
                                            "610 2 rails", "from 214 J12", "LEAF-40: the",
                                            "140 2 rails, (!)", "from 40 J3.2")]  # fmt: skip
    assert order == sorted(order)
    assert "never reach across it" in words


def test_rails_of_a_few_millimetres_are_too_short_to_cut() -> None:
    parts = row(("rail", 3, "J1", 0), ("saw", 5), ("rail", 140, "J1", 1), ("saw", 5), ("scrap", 9))
    piece = SheetPiece(9, "ASH-22", "B7", "offcut", "A3", 162 * MM, parts)
    text = pages_of(cut_sheet(replace(monday(), pieces=(piece,)), MILLIMETRES))[0].extract_text()
    assert "too short to cut: rail 1; (!) shorter than 150 mm: use a clamp" in text
    tiny = SheetPiece(9, "ASH-22", "B7", "offcut", "A3", 3 * MM, row(("rail", 3, "J1", 0)))
    text = pages_of(cut_sheet(replace(monday(), pieces=(tiny,)), MILLIMETRES))[0].extract_text()
    assert "too short to cut: rail 1" in text
    assert "use a clamp" not in text
    assert (
        "too short to cut"
        in pages_of(stop_sheet(replace(monday(), pieces=(tiny,)), MILLIMETRES))[0].extract_text()
    )


@pytest.mark.parametrize("pieces", [4, 5, 8, 9])
def test_totals_never_stand_on_a_last_page_of_their_own(pieces: int) -> None:
    last = pages_of(cut_sheet(busy(pieces), INCHES))[-1].extract_text()
    assert "frames cut" in last
    assert "gather four rails" in last or "J5" in last


@pytest.mark.parametrize(("kind", "behind"), [("rail", "J7.1"), ("leftover", "tape")])
def test_a_length_stands_clear_of_the_word_behind_it(kind: PartKind, behind: str) -> None:
    lengths = (140_097, 452_438, 2_487_216, 2_738_438)
    first, frame = Part("rail", 0, 300_000, "J5", 0), "J7.1" if kind == "rail" else ""
    pieces = tuple(SheetPiece(38, "BASS-25", "L6", "offcut", "B3", 300_000 + length,
                              (first, Part(kind, 300_000, length, frame)))
                   for length in lengths)  # fmt: skip
    seen = 0
    for page in pages_of(cut_sheet(replace(monday(), pieces=pieces), INCHES)):
        words = page.extract_words(x_tolerance=0.5)
        for said in (word for word in words if word["text"] == behind and word["x0"] < 300):
            line = (word for word in words if abs(word["bottom"] - said["bottom"]) < 12)
            before = [word["x1"] for word in line if word["x0"] < said["x0"]]
            assert said["x0"] - max(before, default=0) > 1 / POINT_MM
            seen += 1
    assert seen >= len(lengths)


SAID = (
    "Plan 7",
    "accepted, for frames due by Mon 2026-11-23",
    "2 frames, 6 rails from 1 stick and 2 offcuts",
    "rails: long points",
    "A1 214 ASH-22, batch B7 offcut 54 1/8",
    "1 24 J12 2 24 J12 miscut: rail flaw to cutting loss 3/8, scrap 5 11/16",
    "1 32 J12 2 32 J12 15 11/16 35 15/16 rack tape at rack tape at miscut: rail flaw to cutting",
    "flaw from 80 9/16 to 81 3/4",
    "1(!) 5 1/2 J3.2 2(!) 5 1/2 J3.2 13 3/4 rack tape at miscut: rail flaw to",
    "(!) shorter than 5 7/8 in: use a clamp or jig, never fingers",
    "opened for J12: at least 118 1/8 in of sticks must be opened",
    "pieces fetched 3 4",
    "J15 B. Ide, LEAF-40: 900 mm rails: 1 fits on the rack",
    "Proven: no plan cuts more frames.",
    "page 1 of 1",
)


def test_the_sheet_says_what_the_saw_needs() -> None:
    pages = pages_of(cut_sheet(monday(), Settings()))
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    for said in SAID:
        assert said in text
    order = [text.index(where) for where in ("A1 214", "A3 9", "place ? 40")]
    assert order == sorted(order)


def test_the_sheet_says_what_a_pin_costs() -> None:
    pinned = replace(monday(), pinned=(("J12", (Reason("pin_costs_nothing", {"piece": "214"}),)),))
    pages = pages_of(cut_sheet(pinned, Settings()))
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert "J12 R. Aldous, ASH-22: pinned to piece 214: the pin costs nothing" in text


def test_the_cautions_stand_on_every_page() -> None:
    pages = pages_of(cut_sheet(busy(9), Settings()))
    assert len(pages) > 1
    for page in pages:
        text = " ".join(page.extract_text().split())
        assert [line for line in CAUTIONS if said_as(line).split()[0] not in text] == []
        assert "never reach across it" in text


def test_the_same_plan_has_the_same_bytes() -> None:
    assert cut_sheet(monday(), Settings()) == cut_sheet(monday(), Settings())


@pytest.mark.parametrize("size", FORMATS)
def test_the_code_on_the_sheet_names_the_plan(size: str) -> None:
    page = picture(cut_sheet(replace(monday(), plan=123_456), Settings(), size), 0, 200)
    for turned in (page, page.rotate(5, expand=True, fillcolor=255)):
        (code,) = zxingcpp.read_barcodes(turned)
        assert (code.text, code.format) == ("P123456", zxingcpp.BarcodeFormat.QRCode)


@pytest.mark.parametrize("name", ["monday", "busy"])
def test_a_cut_sheet_looks_as_it_did(name: str) -> None:
    sheet = {"monday": monday(), "busy": busy(8)}[name]
    assert_as_kept(cut_sheet(sheet, INCHES if name == "monday" else MILLIMETRES), 0,
                   f"cutsheet-{name}")  # fmt: skip
