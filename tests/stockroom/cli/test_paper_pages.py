"""The pages by command: the day, glass and mats, shelves, the receipt, the order that is sent."""

import io
from pathlib import Path

import pdfplumber
import pytest

from stockroom.listings.listings import plain_words
from stockroom.paper.page import MARGIN, POINT_MM
from tests.paper.reading import assert_clear_of, assert_inside, assert_words_apart, pages_of
from tests.stockroom.cli.bench import run


def text_of(file: Path) -> str:
    """The words of a PDF, which lie apart, clear of its boxes, and inside its margins."""
    margin = (MARGIN - 0.2) / POINT_MM
    for page in pages_of(file.read_bytes()):
        assert_words_apart(page)
        assert_inside(page, margin, margin, page.width - margin, page.height - margin + 3)
        assert_clear_of(page, [box for box in page.rects if not box["fill"]])
    with pdfplumber.open(io.BytesIO(file.read_bytes())) as pdf:
        return " ".join(" ".join(page.extract_text() for page in pdf.pages).split())


@pytest.fixture
def due(shop: object, where: str) -> str:
    """A shop with a shelf, a canvas and a work on paper that are due."""
    for words in (["receive", "ASH-22", "B1", "2x 3 m", "--at", "A1"],
                  ["found", "ASH-22", "700", "--batch", "B1", "--at", "A2"],
                  ["settings", "address", "4 Gull Lane / Netherby Quay"],
                  ["take", "--customer", "R. Aldous", "-p", "ASH-22", "-w", "900",
                   "--height", "600", "--due", "2026-11-23", "--title", "Harbour"],
                  ["take", "--customer", "M. Hale", "-p", "ASH-22", "-w", "300", "--height", "400",
                   "--mat", "60", "--due", "2026-11-24"]):  # fmt: skip
        done = run(where, *words)
        assert done.exit_code == 0, done.stderr
    return where


def test_the_day_has_every_job_due_with_its_boxes(due: str, tmp_path: Path) -> None:
    file = tmp_path / "day.pdf"
    assert run(due, "paper", "day", str(file), "--until", "2026-11-24").exit_code == 0
    said = text_of(file)
    assert "2 jobs, 2 frames due by 2026-11-24" in said
    assert "J1 R. Aldous ASH-22" in said
    assert "J2 M. Hale ASH-22" in said
    (page,) = pages_of(file.read_bytes())
    assert len([box for box in page.rects if not box["fill"]]) == 6
    assert run(due, "paper", "day", str(tmp_path / "b.pdf"), "--until", "2026-11-22").exit_code
    assert not (tmp_path / "b.pdf").exists()


def test_glass_mat_and_backing_are_listed_with_the_cautions_of_glass(
    due: str, tmp_path: Path
) -> None:
    file = tmp_path / "glass.pdf"
    run(due, "paper", "glass", str(file), "--until", "2026-11-24", "--page", "letter")
    said = text_of(file)
    for words in ("glass 1 ", "mat 1 ", "backing 1 ", "J2 M. Hale", "J1 R. Aldous",
                  "gloves that resist cuts", "never into a bag"):  # fmt: skip
        assert words in said
    assert said.count("J1 R. Aldous") == 1


def test_a_shelf_has_a_page_of_its_own_to_count_by(due: str, tmp_path: Path) -> None:
    file = tmp_path / "shelves.pdf"
    assert run(due, "paper", "shelves", str(file)).exit_code == 0
    first, second = (page.extract_text() for page in pages_of(file.read_bytes()))
    assert "Shelf A1" in first
    assert "2 pieces should be there" in first
    assert "Shelf A2" in second
    assert "3 ASH-22 B1 offcut 700" in second
    assert "stockroom seen --since" in text_of(file)
    assert run(due, "paper", "shelves", str(tmp_path / "b.pdf"), "--at", "Z").exit_code == 12


def test_a_receipt_says_what_was_agreed_and_no_price_of_ours(due: str, tmp_path: Path) -> None:
    file = tmp_path / "receipt.pdf"
    assert run(due, "paper", "receipt", "J2", str(file)).exit_code == 0
    said = text_of(file)
    for words in ("Receipt J2", "M. Hale", "4 Gull Lane", "Netherby Quay", "300 mm × 400 mm",
                  "glazing glass", "ready on Tue 2026-11-24", "price", "paid"):  # fmt: skip
        assert words in said
    assert "$" not in said
    # And a label for the back of its frame, and one for its four rails.
    back, rails = tmp_path / "back.pdf", tmp_path / "rails.pdf"
    assert run(due, "paper", "label", "J2", str(back)).exit_code == 0
    done = run(due, "paper", "label", "J2", str(rails), "--rails")
    assert "1 label in" in done.stderr
    assert "from label 2 of the sheet; the next ones begin at 3" in done.stderr
    with pdfplumber.open(back) as one, pdfplumber.open(rails) as two:
        assert "fixings 181.5 from the top" in one.pages[0].extract_text()
        assert "ASH-22" in two.pages[0].extract_text()


def test_letters_that_are_lost_are_told(due: str, tmp_path: Path) -> None:
    assert run(due, "change", "J2", "--customer", "山本 한 Hale").exit_code == 0
    told = run(due, "ticket", "J2", str(tmp_path / "J2.pdf"))
    assert told.exit_code == 0
    assert "In no font that is here, printed as ?: 한. Name a font that has them" in told.stderr
    assert "U+D55C" in text_of(tmp_path / "J2.pdf")


def test_an_order_is_fit_to_be_sent(due: str, tmp_path: Path) -> None:
    file = tmp_path / "order.pdf"
    assert run(due, "orders", "draft", "LARK", "ASH-22=6").exit_code == 0
    assert run(due, "orders", "show", "1", "--print", str(file)).exit_code == 0
    said = text_of(file)
    for words in ("Order 1", "Lark Hollow Mouldings", "4 Gull Lane", "ASH-22 ash 6", "in all 6",
                  "$111.00", "Mon 2026-11-23"):  # fmt: skip
        assert words in said
    for ours in ("why", "come", "draft", "noted"):
        assert ours not in said.lower().replace("welcome", "")


def test_the_weeks_list_on_paper_names_no_command() -> None:
    assert plain_words("Lark: $70 below its free carriage: buy 2 ASH-22 (--fill adds it).") == (
        "Lark: $70 below its free carriage: buy 2 ASH-22."
    )
    cut = ("ASH-22 cut to size (chop) by Lark, long point: J1 2 of 900 mm. Until it comes: "
           "stockroom hold J1; then: stockroom supplied J1 BATCH.")  # fmt: skip
    assert plain_words(cut) == "ASH-22 cut to size (chop) by Lark, long point: J1 2 of 900 mm."
