"""Another language is another file: every word of a ticket, a sheet, a list, a refusal is in it.

The second language has an accent on each vowel of the first, but for what is filled in. What is
left without one on a page is data, or a word that no file can change.
"""

import io
import re
from collections.abc import Iterable, Iterator
from datetime import date
from pathlib import Path

import pdfplumber
import pytest

from stockroom.facts import Fact
from stockroom.listings.listings import order_letter, week_listing
from stockroom.listings.to_customers import quote_letter, receipt
from stockroom.paper.chart import Bar, bar_chart
from stockroom.paper.cut_sheet import cut_sheet, stop_sheet
from stockroom.paper.drawing import Words
from stockroom.paper.label_words import Label, back_label, bundle_labels
from stockroom.paper.list_page import list_page
from stockroom.paper.pictures import plan_picture, rack_pictures
from stockroom.paper.ticket_page import ticket_page
from stockroom.record.orders import OrderState, StandingLine
from stockroom.record.tables import Supplier
from stockroom.refusals import BadFile, Clash, Unknown, Unreadable
from stockroom.remedies import Do, Remedy
from stockroom.screens.plan_screen import plan_lines
from stockroom.screens.sizes_screen import size_lines
from stockroom.services.weekly.review import OrderLine
from stockroom.settings.shop_settings import Settings
from stockroom.views.rack_row import RackRow
from stockroom.views.sheet import Sheet
from stockroom.words.language import Front, Voice
from tests.paper.test_shape_tickets import CASES as SHAPES
from tests.paper.test_ticket import CASES
from tests.stockroom.screens.sheets import fixed
from tests.stockroom.words.second import first_language, speak_second

DAY = date(2026, 11, 23)
DATA = {"Aldous", "Glue", "Harbour", "Hollow", "Ide", "Lark", "Pot", "The", "workshop",
        "plain", "white", "ash", "in", "PROFILE", "ASH", "LEAF", "ghost"}  # fmt: skip
"""What is filled in, as it stands."""


@pytest.fixture
def second(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The house in its second language."""
    return speak_second(tmp_path, monkeypatch)


def left(*texts: str) -> set[str]:
    """The words of the first language that are no data."""
    return first_language(*texts) - DATA


def read(pdf: bytes) -> str:
    """What a PDF says."""
    with pdfplumber.open(io.BytesIO(pdf)) as pages:
        return " ".join(page.extract_text() for page in pages.pages)


def shown(lines: Iterable[list[tuple[str, str]]]) -> str:
    """What a screen says."""
    return " ".join(text for line in lines for text, _ in line)


def told_by(sheet: Sheet) -> set[str]:
    """The words that a sheet's own reasons bring along."""
    said = (*sheet.short, *sheet.pinned)
    reasons = [*sheet.proof, *(one for _, every in said for one in every),
               *(piece.why_opened for piece in sheet.pieces if piece.why_opened)]  # fmt: skip
    return set(
        re.findall("[A-Za-z]+", " ".join(str(one.about.get("words", "")) for one in reasons))
    )


def reasons() -> tuple[Fact, ...]:
    """Why sticks are ordered."""
    last = {"until": Fact("and_orders_until", {"day": DAY}), "left": None}
    jobs = {"sticks": 1, "jobs": Fact("names", {"names": ("J1",)})}
    return Fact("wanted_for_jobs", jobs), Fact("last_buy", last)


def lists() -> Iterator[bytes]:
    """The week's list, an order, a receipt."""
    settings = Settings()
    lark = Supplier(code="LARK", name="Lark Hollow", order_minimum_minor=9_000)
    line = OrderLine("LARK", "Lark Hollow", "ASH-22", 1, 0, 1, 0, 0, 0, 3_000_000, 1_850, 1_850,
                     reasons())  # fmt: skip
    standing = StandingLine(1, "ASH-22", 3, 0, 3_000_000, None, "")
    order = OrderState(1, "LARK", "placed", "", None, (standing,))
    yield list_page(week_listing([line], [], settings, str(DAY), {"LARK": DAY}), DAY)
    yield list_page(order_letter(order, lark, {}, settings, DAY), DAY)
    yield list_page(receipt(CASES["matted"], settings), DAY)
    yield list_page(quote_letter(SHAPES["hexagon"], settings, 41, 4_650, DAY), DAY)


def refused(front: Front) -> Iterator[str]:
    """Refusals with what to do about them, as a front tells them."""
    voice = Voice(front, Settings())
    yield voice.whole(Clash("piece_held_by_plan", Remedy(Do.LET_GO, 3), number=12, plan=3))
    yield voice.whole(Unknown("unknown_piece", "ghost", ("7", "8")))
    yield voice.whole(BadFile("7.csv", [(2, Unreadable("ghost", "of_number"))], "check_path"))


def test_every_word_of_a_ticket_a_sheet_a_list_and_a_refusal_is_of_the_second_language(
    second: Path,
) -> None:
    settings = Settings(unit="in")
    assert second.is_dir()
    for ticket in (CASES["float"], SHAPES["strainer"], SHAPES["hexagon"]):
        assert left(read(ticket_page(ticket, settings))) == set()
    told = told_by(sheet := fixed())
    assert left(read(cut_sheet(sheet, settings))) <= told
    assert left(read(stop_sheet(sheet, settings))) == set()
    assert left(shown(plan_lines(sheet, settings, 200))) <= told
    assert left(shown(size_lines(CASES["matted"].sizes, settings, 100, 2))) == set()
    assert left(*map(read, lists())) == set()
    assert left(*refused("on_a_page")) == set()
    # What is typed is the same in every language.
    assert left(*refused("at_the_command_line")) <= {"stockroom", "drop"}


def test_every_word_of_labels_pictures_and_charts_is_of_the_second_language(second: Path) -> None:
    settings, sheet = Settings(unit="in"), fixed()
    assert second.is_dir()
    label = Label(7, "ASH-22", "B1", "offcut", "920 mm", "", DAY)
    wordings = [label.wording, back_label(CASES["float"], settings),
                *bundle_labels(CASES["matted"], settings)]  # fmt: skip
    lines = [line for wording in wordings for lines in wording.lines for line in lines]
    said = [text for line in lines for text in (line.left, line.right)]
    assert left(*said, *(wording.needed for wording in wordings)) == set()
    row = RackRow(7, "ASH-22", "B1", "stick", "", 3_000_000, ((1_200_000, 1_230_000),), 3)
    drawn = [plan_picture(sheet, settings), *rack_pictures([row], settings, DAY, "ASH-22"),
             bar_chart("Sticks opened, by way of planning", "", [Bar("ASH-22", (1.0,), "1")], "in",
                       ("cutting loss", "scrap"))]  # fmt: skip
    marks = [mark.text for picture in drawn for mark in picture.marks if isinstance(mark, Words)]
    assert left(*marks) <= told_by(sheet)


def test_the_first_language_would_be_found() -> None:
    assert "rails" in left(read(ticket_page(CASES["plain"], Settings())))
