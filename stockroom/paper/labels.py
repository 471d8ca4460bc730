"""Labels for sticks and offcuts, on sheets and rolls, and a grid to align the printer by."""

from collections.abc import Sequence
from contextlib import closing
from datetime import date
from math import ceil

from stockroom.facts import Fact
from stockroom.paper.codes import Code, code_of, draw_code
from stockroom.paper.label_layout import CAPITAL, STEP, Layout, Space, Wording, best_layout
from stockroom.paper.label_words import FLAWS
from stockroom.paper.page import POINT_MM, SMALL, Pages, Paper
from stockroom.refusals import Unfit
from stockroom.remedies import Do, Remedy
from stockroom.settings.label_sheet import LARGEST, CodeKind, LabelSheet
from stockroom.words.language import word

__all__ = ["NoRoom", "label_grid", "label_pages"]

RULER, MARK = 100.0, 0.9


class NoRoom(Unfit):
    """A label cannot hold what it is for; ``wanted`` is the size that would, across and down, mm,
    or None where none would."""

    def __init__(self, label: Wording, size: tuple[float, float], wanted: tuple[int, int] | None):
        super().__init__(
            "label_too_small", Remedy(Do.LARGER_LABELS), wide=size[0], high=size[1],
            needed=label.needed, would=Fact("no_label_would") if wanted is None
            else Fact("label_would", {"wide": wanted[0], "high": wanted[1]}),
        )  # fmt: skip
        self.wanted = wanted


def label_pages(
    labels: Sequence[Wording], sheet: LabelSheet, code: CodeKind, day: date, start: int = 1,
    font: str = "",
) -> Pages:  # fmt: skip
    """The labels as a PDF; the first is put on label ``start`` of a used sheet, counted by rows.
    ``font`` as of ``Paper``.

    Raises:
        NoRoom: a label cannot hold what it is for.
        ValueError: the sheet has no such label, there is nothing to print, or bars have no room.
    """
    sheet.check_room(code)
    if not labels:
        raise ValueError("no labels to print")
    if not 1 <= start <= sheet.count:
        raise ValueError(f"label {start} of a sheet of {sheet.count}")
    corners = list(sheet.corners())
    with closing(Paper(word("Labels"), sheet.page, day, font)) as paper:
        for at, label in enumerate(labels, start - 1):
            if at % sheet.count == 0 and at >= start:
                paper.next_page()
            draw_label(paper, label, Space(*corners[at % sheet.count], *sheet.label), code)
        return paper.finish()


def draw_label(paper: Paper, label: Wording, space: Space, kind: CodeKind) -> None:
    """One label: its code beside, above or below its words, where the words have most room."""
    code = code_of(label.code, kind if label.code.isdecimal() else "qr")
    layout = best_layout(paper, label, space, code)
    if layout is None:
        size = (space.wide, space.high)
        raise NoRoom(label, size, size_wanted(paper, label, size, code))
    draw_code(paper, code, *layout.code, layout.module, layout.bars or layout.module)
    draw_words(paper, label.heading, layout)


def size_wanted(
    paper: Paper, label: Wording, size: tuple[float, float], code: Code
) -> tuple[int, int] | None:
    """The size that is a little larger and holds a label: wider, higher, or both, whole mm."""
    wide, high = ceil(size[0]), ceil(size[1])
    for more in range(1, int(max(LARGEST))):
        for across, down in ((wide + more, high), (wide, high + more), (wide + more, high + more)):
            if across <= LARGEST[0] and down <= LARGEST[1]:
                space = Space(0, 0, across, down)
                if best_layout(paper, label, space, code):
                    return across, down
    return None


def draw_words(paper: Paper, heading: str, layout: Layout) -> None:
    """The heading, large, above its lines."""
    space = layout.space
    base = space.y + CAPITAL * layout.number * POINT_MM
    paper.text(space.x, base, heading, layout.number, bold=True)
    for line in layout.lines:
        size = layout.line * line.size
        base += STEP * size * POINT_MM
        paper.text(space.x, base, line.left, size, bold=line.bold)
        paper.text(space.x + space.wide, base, line.right, size, align="right")
        if line.left == FLAWS:
            mark_this_end(paper, space, base, size)


def mark_this_end(paper: Paper, space: Space, base: float, size: float) -> None:
    """The mark of a label's end as drawings of the piece have it, behind the note on flaws."""
    tall = CAPITAL * size * POINT_MM
    x = space.x + paper.width(FLAWS, size) + tall / 2
    if x + MARK <= space.x + space.wide:
        paper.black(x, base - tall, MARK, tall)


def label_grid(sheet: LabelSheet, day: date) -> Pages:
    """Every label's outline and number, and on a large sheet rulers of 100 mm, to hold to the
    light behind a sheet of labels.
    """
    paper = Paper(word("Label grid"), sheet.page, day)
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
    paper.text(x + 3, y - 3, word("each ruler: 100 mm"), SMALL)
