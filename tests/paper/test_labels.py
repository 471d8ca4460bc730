"""Labels read back: their words, and by another decoder their codes, at 200 dpi and skewed."""

from dataclasses import replace
from datetime import date

import pytest
import zxingcpp
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from PIL import Image

from stockroom.paper.codes import code_of
from stockroom.paper.labels import Label, label_grid, label_pages
from stockroom.paper.page import POINT_MM
from stockroom.refusals import Unreadable
from stockroom.settings.label_sheet import CodeKind, LabelSheet, read_label_sheet
from stockroom.settings.shop_settings import Settings
from stockroom.settings.typed_settings import with_setting
from tests.paper.reading import (
    assert_as_kept,
    assert_inside,
    assert_words_apart,
    pages_of,
    picture,
)

DAY = date(2026, 11, 23)
THIRTY = Settings().labels
TWENTY_ONE = "a4 3x7 of 63.5x38.1 from 7.2x15.1 every 66x38.1"
FORMATS = {"qr": zxingcpp.BarcodeFormat.QRCode, "code128": zxingcpp.BarcodeFormat.Code128}


def labels(many: int, first: int = 214) -> list[Label]:
    """Labels of invented pieces."""
    return [Label(first + at, "ASH-22", "B7", "offcut 14 3/8 in", "A3", DAY) for at in range(many)]


def decoded(pdf: bytes, page: int, degrees: float) -> list[tuple[str, zxingcpp.BarcodeFormat]]:
    """What a scanner reads on a page at 200 dpi, turned by some degrees."""
    turned = picture(pdf, page, 200).rotate(degrees, expand=True, fillcolor=255)
    return sorted((code.text, code.format) for code in zxingcpp.read_barcodes(turned))


@pytest.mark.parametrize("degrees", [0, 5, -5])
@pytest.mark.parametrize("kind", ["qr", "code128"])
@pytest.mark.parametrize("sheet", [THIRTY, TWENTY_ONE, "roll 62x29", "roll 40x22"])
def test_every_code_is_read_back(sheet: str, kind: CodeKind, degrees: float) -> None:
    place = read_label_sheet(sheet)
    pdf = label_pages(labels(min(21, place.count)), place, kind, DAY)
    wanted = [(f"{214 + at}", FORMATS[kind]) for at in range(min(21, place.count))]
    assert decoded(pdf, 0, degrees) == wanted


@pytest.mark.parametrize("degrees", [0, 5])
def test_the_smallest_label_and_the_longest_numbers_are_read_back(degrees: float) -> None:
    for sheet, kind in (("roll 36x15", "qr"), ("roll 40x22", "code128")):
        pdf = label_pages(labels(1, 9_999_999), read_label_sheet(sheet), kind, DAY)  # type: ignore[arg-type]
        assert decoded(pdf, 0, degrees) == [("9999999", FORMATS[kind])]


def test_a_used_sheet_is_begun_at_any_label() -> None:
    sheet = read_label_sheet(TWENTY_ONE)
    pages = pages_of(label_pages(labels(5), sheet, "qr", DAY, 20))
    assert len(pages) == 2
    corners = list(sheet.corners())
    for page, numbers, places in ((pages[0], ("214", "215"), corners[19:]),
                                  (pages[1], ("216", "217", "218"), corners[:3])):  # fmt: skip
        for number, (x, y) in zip(numbers, places, strict=True):
            box = (x / POINT_MM, y / POINT_MM, (x + 63.5) / POINT_MM, (y + 38.1) / POINT_MM)
            text = page.within_bbox(box).extract_text()
            assert text.split() == [number, "ASH-22", "B7", "offcut", "14", "3/8", "in",
                                    "A3", "2026-11-23"]  # fmt: skip
        assert len(page.chars) == sum(len(page.within_bbox(
            (x / POINT_MM, y / POINT_MM, (x + 63.5) / POINT_MM, (y + 38.1) / POINT_MM)
        ).chars) for x, y in places)  # fmt: skip


def test_a_full_sheet_ends_with_its_last_label() -> None:
    sheet = read_label_sheet(TWENTY_ONE)
    assert len(pages_of(label_pages(labels(21), sheet, "qr", DAY))) == 1
    assert len(pages_of(label_pages(labels(22), sheet, "qr", DAY))) == 2
    assert len(pages_of(label_pages(labels(1), sheet, "qr", DAY, 21))) == 1


def test_a_roll_has_a_page_for_each_label() -> None:
    pages = pages_of(label_pages(labels(3), read_label_sheet("roll 62x29"), "qr", DAY))
    sizes = [(round(page.width * POINT_MM, 1), round(page.height * POINT_MM, 1)) for page in pages]
    assert sizes == [(62.0, 29.0)] * 3


@pytest.mark.parametrize("start", [0, 22, -1])
def test_a_label_that_the_sheet_has_not_is_refused(start: int) -> None:
    with pytest.raises(ValueError, match=f"label {start} of a sheet of 21"):
        label_pages(labels(1), read_label_sheet(TWENTY_ONE), "qr", DAY, start)


def test_nothing_to_print_is_refused() -> None:
    with pytest.raises(ValueError, match="no labels to print"):
        label_pages([], read_label_sheet(THIRTY), "qr", DAY)


@given(
    st.floats(40, 120), st.floats(22, 90), st.sampled_from(["qr", "code128"]),
    st.integers(1, 9_999_999), st.text(max_size=40), st.text("ab漢字 мирΩ", max_size=40),
)  # fmt: skip
@hypothesis_settings(max_examples=25)
def test_any_label_keeps_its_words_apart_and_inside(
    wide: float, high: float, kind: CodeKind, number: int, profile: str, spot: str
) -> None:
    sheet = read_label_sheet(f"roll {wide:.2f}x{high:.2f}")
    label = Label(number, profile, profile[::-1], "offcut 118 63/64 in", spot, DAY)
    (page,) = pages_of(label_pages([label], sheet, kind, DAY))
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
    pdf = label_pages(labels(4), read_label_sheet(THIRTY), "qr", DAY, 2)
    assert_as_kept(pdf, 0, "labels")
    assert pdf == label_pages(labels(4), read_label_sheet(THIRTY), "qr", DAY, 2)


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
        label_pages(labels(1), read_label_sheet("roll 50x18"), "code128", DAY)


def test_bars_of_every_pair_of_digits_are_read_back() -> None:
    numbers = [f"{pair:02d}{rest}" for pair in range(100) for rest in ("", "9", "99", "00000")]
    for number in numbers:
        code = code_of(number, "code128")
        drawn = Image.new("L", (4 * code.across, 60), 255)
        for left, _, length in code.runs:
            drawn.paste(0, (4 * left, 0, 4 * (left + length), 60))
        (read,) = zxingcpp.read_barcodes(drawn)
        assert (read.text, read.format) == (number, FORMATS["code128"])


@pytest.mark.parametrize("text", ["", "日", "a\n"])
def test_a_text_without_a_code_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="no code for"):
        code_of(text, "qr")
    with pytest.raises(ValueError, match="bars for digits alone, not 'P7'"):
        code_of("P7", "code128")
