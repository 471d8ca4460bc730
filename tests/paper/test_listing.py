"""Lists on paper: every row whole, numbers at their right edge, nothing overlapping."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from stockroom.paper.list_page import TICK, WRITE, Listing, list_page, list_pages
from stockroom.paper.page import FORMATS, MARGIN, POINT_MM
from tests.paper.reading import (
    assert_as_kept,
    assert_clear_of,
    assert_inside,
    assert_words_apart,
    pages_of,
)

DAY = date(2026, 11, 23)
COLUMNS = (("from", 42.0), ("profile", 24.0), ("sticks", 16.0), ("price", 20.0), ("why", 78.0))
WHY = "3 to keep 3 whole sticks (0 left); 4 for frames due by Friday that the rack cannot yield"


def listing(rows: int, why: str = WHY, name: str = "Lark Hollow Mouldings") -> Listing:
    """An invented list."""
    made = tuple((name, f"ASH-{row}", str(row), f"${row}.20", why) for row in range(rows))
    return Listing("To order", "week of 2026-11-23", "The Glue Pot", COLUMNS, made,
                   ("$67.20, $282.80 below its free carriage: leave it.",),
                   frozenset({2, 3}))  # fmt: skip


def assert_sound(pdf: bytes) -> None:
    """No words overlap and all stand inside the margins."""
    margin = (MARGIN - 0.2) / POINT_MM
    for page in pages_of(pdf):
        assert_words_apart(page)
        assert_inside(page, margin, margin, page.width - margin, page.height - margin + 3)


@pytest.mark.parametrize("size", FORMATS)
@pytest.mark.parametrize("rows", [0, 1, 70])
def test_every_row_is_on_a_page_with_its_columns_named(rows: int, size: str) -> None:
    pdf = list_page(listing(rows), DAY, size)
    assert_sound(pdf)
    texts = [page.extract_text() for page in pages_of(pdf)]
    words = " ".join(texts).split()
    assert [row for row in range(rows) if f"ASH-{row}" not in words] == []
    for number, text in enumerate(texts, 1):
        assert "from profile sticks price why" in text
        assert f"page {number} of {len(texts)}" in text
    assert "leave it." in texts[-1]


def test_why_is_never_cut_off() -> None:
    (page,) = pages_of(list_page(listing(1), DAY))
    said = " ".join(page.extract_text().split())
    for part in ("3 to keep 3 whole sticks", "that the rack cannot yield"):
        assert part in said


def test_no_text_is_cut_off_beside_columns_with_room_to_spare() -> None:
    (page,) = pages_of(
        list_page(listing(2, name="Quillback Timberworks and Sons of Netherby"), DAY)
    )
    assert "Quillback Timberworks and Sons of Netherby ASH-0" in page.extract_text()


def test_prices_end_at_one_edge() -> None:
    (page,) = pages_of(list_page(listing(12), DAY))
    prices = {round(word["x1"], 1) for word in page.extract_words() if word["text"][-3:] == ".20"
              and word["text"] != "$67.20,"}  # fmt: skip
    assert len(prices) == 1


@given(st.integers(0, 9), st.text(max_size=300), st.text("漢字мирΩ ab", max_size=60))
@hypothesis_settings(max_examples=12)
def test_any_list_fits_its_pages(rows: int, why: str, name: str) -> None:
    assert_sound(list_page(listing(rows, why, name), DAY))


def test_boxes_are_drawn_for_what_is_ticked_and_written() -> None:
    columns = (("", 10.0), ("piece", 20.0), ("measured", 40.0), ("note", 110.0))
    rows = ((TICK, "214", WRITE, "long " * 60), ("A1", "", "", ""), (TICK, "215", WRITE, WRITE))
    made = Listing("Shelf", "", "", columns, rows, bold=frozenset({1}))
    pdf = list_pages([made, made], DAY)
    assert_sound(pdf)
    for page in pages_of(pdf):
        assert_clear_of(page, page.rects)
        assert sorted(round(box["width"] * POINT_MM, 1) for box in page.rects) == [
            5.6, 5.6, 36.0, 36.0, 106.0]  # fmt: skip


def test_what_leaves_the_shop_says_from_whom_and_to_whom() -> None:
    sent = replace(listing(3), ours=("The Glue Pot", "4 Gull Lane", "Netherby Quay", "555 0142"),
                   to=("Lark Hollow Mouldings", "attn. sales"))  # fmt: skip
    pdf = list_page(sent, DAY)
    assert_sound(pdf)
    text = pages_of(pdf)[0].extract_text()
    assert text.index("4 Gull Lane") < text.index("Lark Hollow") < text.index("ASH-0")


def test_letters_that_are_lost_are_named_at_the_foot_and_to_the_caller() -> None:
    pdf = list_page(listing(2, name="한 Aldous"), DAY)
    assert pdf.lost == "한"
    text = pages_of(pdf)[0].extract_text()
    assert "? Aldous" in text
    assert "in no font, printed as ?: U+D55C" in text
    sound = list_page(listing(2, name="Ærø Ōtani"), DAY)
    assert sound.lost == ""
    assert "in no font" not in pages_of(sound)[0].extract_text()


def test_a_heading_never_stands_alone_at_the_foot_of_a_page() -> None:
    rows = tuple((f"shelf {at}", "", "", "", "") if at % 3 == 0 else ("a", "b", "1", "2", "c")
                 for at in range(99))  # fmt: skip
    made = Listing("Rack", "", "", COLUMNS, rows, bold=frozenset(range(0, 99, 3)))
    for page in pages_of(list_page(made, DAY)):
        assert not page.extract_text().splitlines()[-2].startswith("shelf")


def test_a_row_of_another_width_is_refused() -> None:
    with pytest.raises(ValueError, match="1 texts for 2 columns"):
        Listing("A", "", "", (("a", 1.0), ("b", 1.0)), (("x",),))


def test_a_list_looks_as_it_did() -> None:
    pdf = list_page(listing(6), DAY)
    assert pdf == list_page(listing(6), DAY)
    assert_as_kept(pdf, 0, "listing")
