"""Labels read back: their words, and by two decoders their codes, coarse, askew and copied."""

from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from PIL import Image, ImageOps

from stockroom.facts import Fact
from stockroom.paper.codes import code_of
from stockroom.paper.label_layout import Wording
from stockroom.paper.label_words import Label, back_label, bundle_labels
from stockroom.paper.labels import NoRoom, label_grid, label_pages
from stockroom.paper.page import POINT_MM, Pages
from stockroom.refusals import Unreadable
from stockroom.settings.label_sheet import CodeKind, LabelSheet, read_label_sheet
from stockroom.settings.shop_settings import Settings
from stockroom.settings.typed_settings import with_setting
from stockroom.units.lengths import Micrometres as Um
from stockroom.units.lengths import Unit
from stockroom.views.ticket_rows import heavy
from tests.paper.reading import (
    assert_as_kept,
    assert_inside,
    assert_words_apart,
    pages_of,
    picture,
    words_of,
)
from tests.paper.scanning import copied, decoders, drawn, printed, read_by
from tests.paper.test_ticket import CASES

DAY = date(2026, 11, 23)
THIRTY = Settings().labels
TWENTY_ONE = "a4 3x7 of 63.5x38.1 from 7.2x15.1 every 66x38.1"
SIZES = ("36x15", "38.1x21.2", "40x22", "48.5x25.4", "57x32", "62x29", "66.675x25.4", "63.5x38.1",
         "40x60", "100x50")  # fmt: skip
"""Common labels of sheets and rolls, from memory."""
TOO_SMALL_FOR_BARS = ("36x15", "38.1x21.2")


def labels(many: int, first: int = 214) -> list[Label]:
    """Labels of invented pieces."""
    return [Label(first + at, "ASH-22", "B7", "offcut", "14 3/8 in", "A3", DAY)
            for at in range(many)]  # fmt: skip


def worded(many: int) -> list[Wording]:
    """What they say."""
    return [label.wording for label in labels(many)]


def of_one(label: Label, size: str, kind: CodeKind = "qr") -> Pages:
    """A roll's label."""
    return label_pages([label.wording], read_label_sheet(f"roll {size}"), kind, DAY)


@pytest.mark.parametrize("kind", ["qr", "code128"])
@pytest.mark.parametrize("sheet", [THIRTY, TWENTY_ONE])
def test_every_code_of_a_sheet_is_read_back(sheet: str, kind: CodeKind) -> None:
    place = read_label_sheet(sheet)
    pdf = label_pages(worded(min(21, place.count)), place, kind, DAY)
    turned = picture(pdf, 0, 200).rotate(5, expand=True, fillcolor=255)
    assert read_by("zxing", turned, kind) == [f"{214 + at}" for at in range(min(21, place.count))]


@pytest.mark.parametrize("size", SIZES)
def test_codes_of_every_format_are_read_back_coarse_askew_and_copied(size: str) -> None:
    kinds: tuple[CodeKind, ...] = ("qr",) if size in TOO_SMALL_FOR_BARS else ("qr", "code128")
    for kind, number in zip(kinds, (214, 9_999_999), strict=False):
        pdf = of_one(replace(labels(1)[0], number=number), size, kind)
        for seen in (drawn(pdf, 150), printed(pdf, 0, 150, -4), copied(printed(pdf, 0, 203), 1),
                     copied(printed(pdf, 0, 203, 5), 2), printed(pdf, 0, 300)):  # fmt: skip
            assert [read_by(decoder, seen, kind) for decoder in decoders()] == (
                [[f"{number}"]] * len(decoders())
            )


@pytest.mark.parametrize("size", ["62x29", "57x32"])
def test_rows_of_a_code_leave_no_seam(size: str) -> None:
    (page,) = pages_of(of_one(labels(1)[0], size))
    rows = sorted({(round(r["top"], 2), round(r["bottom"], 2)) for r in page.rects})
    one = rows[0][1] - rows[0][0]
    rows = [row for row in rows if abs(row[1] - row[0] - one) < 0.1]  # Not the mark of the end.
    met = [bottom - top for (_, bottom), (top, _) in pairwise(rows) if top < bottom + one / 2]
    assert len(met) > 15
    assert all(0.02 < over < 0.1 for over in met)


LONG = Label(1214, "FLOAT-BLK-16", "A118", "offcut", "48 13/16 in", "B12", DAY)


@pytest.mark.parametrize("kind", ["qr", "code128"])
@pytest.mark.parametrize("size", SIZES)
def test_profile_and_length_are_whole_on_every_format(size: str, kind: CodeKind) -> None:
    if kind == "code128" and size in TOO_SMALL_FOR_BARS:
        return
    (page,) = pages_of(of_one(LONG, size, kind))
    text = " ".join(page.extract_text().split())
    assert all(words in text for words in ("1214", LONG.profile, "A118", "48 13/16 in", "B12"))
    assert "…" not in text
    assert min(letter["size"] for letter in page.chars) >= 5.2


@pytest.mark.parametrize("size", [SIZES[0], SIZES[1], SIZES[6]])
def test_batches_and_places_that_begin_alike_are_told_apart(size: str) -> None:
    alike = replace(LONG, batch="ROT-2026/11-A", spot="Rack-Westside-12")
    (page,) = pages_of(of_one(alike, size))
    text = "".join(page.extract_text().split())
    assert ("/11-A" in text, "ide-12" in text) == (True, True)


@pytest.mark.parametrize("size", SIZES)
def test_code_and_words_stand_as_one_block_in_the_middle(size: str) -> None:
    for kind in ("qr", "code128"):
        if kind == "code128" and size in TOO_SMALL_FOR_BARS:
            continue
        seen = picture(of_one(replace(LONG, profile="ASH-22"), size, kind), 0, 100)
        box = ImageOps.invert(seen).getbbox()
        assert box is not None
        left, right = box[0], seen.width - box[2]
        top, bottom = box[1], seen.height - box[3]
        quiet = 0.16 * seen.height  # A code's white edge, which stays on the label.
        assert abs(left - right) < 4 or quiet > left > right
        assert abs(top - bottom) < 8


BENCH = {"wire": CASES["float"], "hangers": CASES["plain"]}


@pytest.mark.parametrize("size", ["57x32", "62x29", "63.5x38.1", "40x60", "100x50"])
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_a_frames_back_says_whose_it_is_what_it_weighs_and_how_it_hangs(
    size: str, unit: Unit
) -> None:
    settings = Settings(unit=unit)
    for method, job in BENCH.items():
        wording = back_label(job, settings, 2)
        pdf = label_pages([wording], read_label_sheet(f"roll {size}"), "code128", DAY)
        (page,) = pages_of(pdf)
        text = " ".join(page.extract_text().split())
        assert job.hanging is not None
        down, span = job.hanging.down_um, job.hanging.span_um
        for words in ("J12.2", job.customer, f"fixings {settings.length(Um(down))} from the top",
                      f"{settings.length(Um(span))} {unit} apart", "estimated",
                      " ".join(heavy(job.grams, settings))):  # fmt: skip
            assert words in text
        assert ("on a wire, hook" in text) == (method == "wire")
        assert_words_apart(page)
        assert read_by("zxing", picture(pdf, 0, 300), "qr") == ["J12"]


@pytest.mark.parametrize("size", SIZES)
def test_a_bundle_of_rails_says_its_job_profile_and_lengths(size: str) -> None:
    (wording,) = bundle_labels(replace(CASES["plain"], quantity=1), Settings(unit="mm"))
    pdf = label_pages([wording], read_label_sheet(f"roll {size}"), "qr", DAY)
    text = " ".join(pages_of(pdf)[0].extract_text().split())
    for words in ("J12", "R. Aldous", "PROFILE-1", "2 × 635, 2 × 785 mm"):
        assert words in text
    square = replace(CASES["plain"].sizes, rails_um=(Um(635_000), Um(635_000)))
    (said,) = bundle_labels(replace(CASES["plain"], sizes=square), Settings(unit="mm"), 3)
    assert (said.heading, said.code) == ("J12.3", "J12")
    assert "4 × 635 mm" in [line.left for line in said.lines[0]]


def test_a_back_that_cannot_hold_its_weight_and_fixings_is_refused() -> None:
    with pytest.raises(NoRoom, match=r"36x15 mm cannot hold weight and fixings of J12\.1; "):
        label_pages([back_label(CASES["plain"], Settings())], read_label_sheet("roll 36x15"), "qr",
                    DAY)  # fmt: skip


def test_where_room_is_short_the_note_goes_first_then_the_words_then_the_date() -> None:
    texts = []
    for wide in (36, 42, 50, 70):
        (page,) = pages_of(of_one(LONG, f"{wide}x20"))
        text = page.extract_text()
        texts.append(tuple(word in text for word in ("2026-11-23", "offcut", "flaws from")))
    assert texts == sorted(texts)
    assert texts[-1] == (True, True, True)
    assert not texts[0][1]
    (end,) = [word for word in words_of(page) if word["text"] == "end"]
    mark = [rect for rect in page.rects if rect["x0"] > end["x1"] and rect["top"] > end["top"]]
    assert len(mark) == 1, "this end's mark, as drawings have it, stands behind the note"


@pytest.mark.parametrize(("size", "least"), [("40x60", 8), ("100x50", 14), ("100x150", 20)])
def test_type_grows_with_the_label(size: str, least: float) -> None:
    kinds: tuple[CodeKind, ...] = ("qr", "code128")
    for kind in kinds:
        (page,) = pages_of(of_one(LONG, size, kind))
        line = next(word for word in page.extract_words(extra_attrs=["size"])
                    if word["text"] == LONG.profile)  # fmt: skip
        assert line["size"] >= (least if kind == "qr" else 9)


def test_a_label_too_small_for_what_it_says_is_refused_with_the_size_that_would() -> None:
    wordy = replace(LONG, profile="REEDED-MAHOGANY-CAP-1234", length="9' 11 63/64\"")
    with pytest.raises(NoRoom, match="36x15 mm cannot hold REEDED-MAHOGANY-CAP-1234 and") as no:
        of_one(wordy, "36x15")
    assert no.value.wanted is not None
    across, down = no.value.wanted
    assert f"{across}x{down} would" in str(no.value)
    assert (
        "REEDED-MAHOGANY-CAP-1234" in pages_of(of_one(wordy, f"{across}x{down}"))[0].extract_text()
    )
    with pytest.raises(NoRoom):
        of_one(wordy, f"{across - 1}x{down}")


def test_a_used_sheet_is_begun_at_any_label() -> None:
    sheet = read_label_sheet(TWENTY_ONE)
    pages = pages_of(label_pages(worded(5), sheet, "qr", DAY, 20))
    assert len(pages) == 2
    corners = list(sheet.corners())
    for page, numbers, places in ((pages[0], ("214", "215"), corners[19:]),
                                  (pages[1], ("216", "217", "218"), corners[:3])):  # fmt: skip
        for number, (x, y) in zip(numbers, places, strict=True):
            box = (x / POINT_MM, y / POINT_MM, (x + 63.5) / POINT_MM, (y + 38.1) / POINT_MM)
            text = page.within_bbox(box).extract_text()
            assert text.split() == [number, "ASH-22", "B7", "offcut", "14", "3/8", "in", "A3",
                                    "2026-11-23", "flaws", "from", "this", "end"]  # fmt: skip
        assert len(page.chars) == sum(len(page.within_bbox(
            (x / POINT_MM, y / POINT_MM, (x + 63.5) / POINT_MM, (y + 38.1) / POINT_MM)
        ).chars) for x, y in places)  # fmt: skip


def test_a_full_sheet_ends_with_its_last_label() -> None:
    sheet = read_label_sheet(TWENTY_ONE)
    assert len(pages_of(label_pages(worded(21), sheet, "qr", DAY))) == 1
    assert len(pages_of(label_pages(worded(22), sheet, "qr", DAY))) == 2
    assert len(pages_of(label_pages(worded(1), sheet, "qr", DAY, 21))) == 1


def test_a_roll_has_a_page_for_each_label() -> None:
    pages = pages_of(label_pages(worded(3), read_label_sheet("roll 62x29"), "qr", DAY))
    sizes = [(round(page.width * POINT_MM, 1), round(page.height * POINT_MM, 1)) for page in pages]
    assert sizes == [(62.0, 29.0)] * 3


@pytest.mark.parametrize("start", [0, 22, -1])
def test_a_label_that_the_sheet_has_not_is_refused(start: int) -> None:
    with pytest.raises(ValueError, match=f"label {start} of a sheet of 21"):
        label_pages(worded(1), read_label_sheet(TWENTY_ONE), "qr", DAY, start)


def test_nothing_to_print_is_refused() -> None:
    with pytest.raises(ValueError, match="no labels to print"):
        label_pages([], read_label_sheet(THIRTY), "qr", DAY)


@given(
    st.floats(40, 120), st.floats(22, 90), st.sampled_from(["qr", "code128"]),
    st.integers(1, 9_999_999), st.text(max_size=40), st.text("ab漢字 мирΩ", max_size=40),
)  # fmt: skip
@hypothesis_settings(max_examples=12)
def test_any_label_keeps_its_words_apart_and_inside(
    wide: float, high: float, kind: CodeKind, number: int, profile: str, spot: str
) -> None:
    sheet = read_label_sheet(f"roll {wide:.2f}x{high:.2f}")
    label = Label(number, profile, profile[::-1], "offcut", "118 63/64 in", spot, DAY)
    try:
        pdf = label_pages([label.wording], sheet, kind, DAY)
    except NoRoom as refused:
        if refused.wanted is None:
            return
        pdf = of_one(label, "{}x{}".format(*refused.wanted), kind)
    (page,) = pages_of(pdf)
    assert "118 63/64 in" in " ".join(page.extract_text().split())
    assert_words_apart(page)
    assert_inside(page, 0, 0, page.width, page.height)
    quiet = [r for r in page.rects for c in page.chars
             if r["x0"] < c["x1"] - 0.3 and c["x0"] < r["x1"] - 0.3
             and r["top"] < c["bottom"] - 2.5 and c["top"] + 2.5 < r["bottom"]]  # fmt: skip
    assert quiet == []


def test_a_grid_outlines_each_label_and_its_rulers_are_100_mm_long() -> None:
    sheet = read_label_sheet(TWENTY_ONE)
    (page,) = pages_of(label_grid(sheet, DAY))
    drawn = sorted(
        (round(r["top"] * POINT_MM, 1), round(r["x0"] * POINT_MM, 1)) for r in page.rects
    )
    assert drawn == sorted((round(y, 1), round(x, 1)) for x, y in sheet.corners())
    assert {(round(r["width"] * POINT_MM, 1), round(r["height"] * POINT_MM, 1))
            for r in page.rects} == {(63.5, 38.1)}  # fmt: skip
    long = [max(line["width"], line["height"]) * POINT_MM for line in page.lines]
    assert [wide for wide in long if wide > 20] == pytest.approx([100, 100], abs=0.02)
    assert "each ruler: 100 mm" in page.extract_text()


def test_a_sheet_of_labels_looks_as_it_did() -> None:
    pdf = label_pages(worded(4), read_label_sheet(THIRTY), "qr", DAY, 2)
    assert_as_kept(pdf, 0, "labels")
    assert pdf == label_pages(worded(4), read_label_sheet(THIRTY), "qr", DAY, 2)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("a4 3x8 of 63.5x38.1 from 7.2x15.1 every 66x38.1", "end at 319.9 mm down, past the page"),
        ("a4 3x7 of 63.5x38.1 from 30x15.1 every 66x38.1", "end at 225.5 mm across, past"),
        ("a4 3x7 of 63.5x38.1 from 7.2x15.1 every 60x38.1", "63.5 mm across lie on one another"),
        ("a4 0x7 of 63.5x38.1 from 7.2x15.1 every 66x38.1", "at least one label in each row"),
        ("roll 20x29", "a label 20 mm across; it is from 36 to 300"),
        ("roll 62x9", "a label 9 mm down; it is from 15 to 300"),
        ("roll 62", "'roll 62x29', or 'a4 3x7 of"),
        ("", "'roll 62x29', or 'a4 3x7 of"),
        ("a5 3x7 of 63.5x38.1 from 7.2x15.1 every 66x38.1", "'roll 62x29', or 'a4 3x7 of"),
    ],
)
def test_labels_that_cannot_be_are_refused(typed: str, said: str) -> None:
    with pytest.raises(Unreadable) as refused:
        with_setting(Settings(), "labels", typed)
    assert said in str(refused.value)


def test_a_page_of_its_own_size_is_read() -> None:
    read = read_label_sheet(" 100x150  2x1 of 40x60 from 5x10 every 45x0 ")
    assert read == LabelSheet((100.0, 150.0), 2, 1, (40.0, 60.0), (5.0, 10.0), (45.0, 0.0))


def test_bars_are_refused_where_they_leave_no_room() -> None:
    small = replace(Settings(), labels="roll 50x18")
    with pytest.raises(Unreadable, match="bars want labels of at least 40x22 mm"):
        with_setting(small, "label_code", "code128")
    bars = replace(Settings(), label_code="code128")
    with pytest.raises(Unreadable, match="bars want labels of at least 40x22 mm"):
        with_setting(bars, "labels", "roll 50x18")
    with pytest.raises(ValueError, match="bars want labels"):
        label_pages(worded(1), read_label_sheet("roll 50x18"), "code128", DAY)


def test_bars_of_every_pair_of_digits_are_read_back() -> None:
    numbers = [f"{pair:02d}{rest}" for pair in range(100) for rest in ("", "9", "99", "00000")]
    for number in numbers:
        code = code_of(number, "code128")
        bars = Image.new("L", (4 * code.across, 60), 255)
        for left, _, length in code.runs:
            bars.paste(0, (4 * left, 0, 4 * (left + length), 60))
        assert read_by("zxing", bars, "code128") == [number]


@pytest.mark.parametrize("text", ["", "日", "a\n"])
def test_a_text_without_a_code_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="no code for"):
        code_of(text, "qr")
    with pytest.raises(ValueError, match="bars for digits alone, not 'P7'"):
        code_of("P7", "code128")


def test_what_is_to_be_known_of_a_piece_stands_on_its_label_however_small() -> None:
    marks = (Fact("mark_bowed", {"longest_um": 600_000}), Fact("mark_owner", {"owner": "C. Voss"}))
    label = Label(7, "ASH-22", "B1", "offcut", "812 mm", "A1", DAY, marks, Settings(unit="mm"))
    for lines in label.wording.lines:
        said = " ".join(line.left for line in lines)
        assert "bowed: rails up to 600 mm" in said
        assert "C. Voss's own" in said
