"""Labels for sticks and offcuts, on sheets and rolls, and a grid to align the printer by."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from stockroom.paper.codes import Code, code_of, draw_code
from stockroom.paper.page import POINT_MM, SMALL, Paper
from stockroom.settings.label_sheet import CodeKind, LabelSheet

__all__ = ["Label", "label_grid", "label_pages"]

LEAST_TYPE, MOST_TYPE, MOST_NUMBER = 6.0, 11.0, 34.0
CAPITAL = 0.72
"""How high a capital letter is beside its type's size."""
WIDEST_MODULE = 0.7
RULER = 100.0


@dataclass(frozen=True, slots=True)
class Label:
    """What a label says: the piece's number, and the rest as it is printed; the day it came."""

    number: int
    profile: str
    batch: str
    length: str
    spot: str
    since: date


@dataclass(frozen=True, slots=True)
class Space:
    """Where a label's words may stand: top left corner, width, height, mm."""

    x: float
    y: float
    wide: float
    high: float


def label_pages(
    labels: Sequence[Label], sheet: LabelSheet, code: CodeKind, day: date, start: int = 1
) -> bytes:
    """The labels as a PDF; the first is put on label ``start`` of a used sheet, counted by rows.

    Raises:
        ValueError: the sheet has no such label, there is nothing to print, or bars have no room.
    """
    sheet.check_room(code)
    if not labels:
        raise ValueError("no labels to print")
    if not 1 <= start <= sheet.count:
        raise ValueError(f"label {start} of a sheet of {sheet.count}")
    paper = Paper("Labels", sheet.page, day)
    corners = list(sheet.corners())
    for at, label in enumerate(labels, start - 1):
        if at % sheet.count == 0 and at >= start:
            paper.next_page()
        x, y = corners[at % sheet.count]
        draw_label(paper, label, Space(x, y, *sheet.label), code_of(f"{label.number}", code))
    return paper.finish()


def draw_label(paper: Paper, label: Label, space: Space, code: Code) -> None:
    """One label: its code left of the words, or below them where the code is of bars."""
    x, y, wide, high = space.x, space.y, space.wide, space.high
    pad = 0.08 * high if high < 25 else 2.0
    if code.kind == "qr":
        side = min(high, 0.45 * wide)
        module = min(WIDEST_MODULE, side / code.across)
        side = module * code.across
        draw_code(paper, code, x, y + (high - side) / 2, module, module)
        words(paper, label, Space(x + side, y + pad, wide - side - pad, high - 2 * pad))
    else:
        bars = 0.3 * high
        module = min(WIDEST_MODULE, wide / code.across)
        left = x + (wide - module * code.across) / 2
        draw_code(paper, code, left, y + high - bars - pad, module, bars)
        words(paper, label, Space(x + pad, y + pad, wide - 2 * pad, high - bars - 3 * pad))


def words(paper: Paper, label: Label, space: Space) -> None:
    """The number, large, above three lines: profile and batch, length, place and day."""
    line = between(LEAST_TYPE, 0.16 * space.high / POINT_MM, MOST_TYPE)
    step = 1.2 * line * POINT_MM
    number = between(LEAST_TYPE, (space.high - 3 * step) / CAPITAL / POINT_MM, MOST_NUMBER)
    name = f"{label.number}"
    number = min(number, number * space.wide / paper.width(name, number, bold=True))
    base = space.y + CAPITAL * number * POINT_MM
    paper.text(space.x, base, name, number, bold=True)
    right = space.x + space.wide
    for left, beside in (
        (label.profile, label.batch),
        (label.length, ""),
        (label.spot or "place ?", label.since.isoformat()),
    ):
        base += step
        room = min(paper.width(beside, line), 0.6 * space.wide)
        paper.text(right, base, beside, line, align="right", within=room + 0.01)
        paper.text(space.x, base, left, line, bold=not beside, within=space.wide - room - 1)


def between(least: float, wanted: float, most: float) -> float:
    """What is wanted, within its limits."""
    return max(least, min(most, wanted))


def label_grid(sheet: LabelSheet, day: date) -> bytes:
    """Every label's outline and number, and on a large sheet rulers of 100 mm, to hold to the
    light behind a sheet of labels.
    """
    paper = Paper("Label grid", sheet.page, day)
    wide, high = sheet.label
    for number, (x, y) in enumerate(sheet.corners(), 1):
        paper.box(x, y, wide, high, 0.1)
        middle = (x + wide / 2, y + high / 2)
        paper.line((middle[0] - 3, middle[1]), (middle[0] + 3, middle[1]), 0.1)
        paper.line((middle[0], middle[1] - 3), (middle[0], middle[1] + 3), 0.1)
        paper.text(x + 2, y + 4, f"{number}", SMALL)
    if min(sheet.page) >= RULER + 60:
        rulers(paper)
    return paper.finish()


def rulers(paper: Paper) -> None:
    """Two rulers across and down the middle; printed at full size each is 100 mm long."""
    x, y = paper.across / 2, paper.down / 2
    half = RULER / 2
    paper.line((x - half, y), (x + half, y), 0.4)
    paper.line((x, y - half), (x, y + half), 0.4)
    for at in (-half, half):
        paper.line((x + at, y - 2), (x + at, y + 2), 0.4)
        paper.line((x - 2, y + at), (x + 2, y + at), 0.4)
    paper.text(x + 3, y - 3, "each ruler: 100 mm", SMALL)
