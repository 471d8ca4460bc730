"""The frames of a cut sheet: the collating list, what can't be cut today, pins, and totals."""

from collections.abc import Sequence

from stockroom.frame.shapes import ends_said
from stockroom.paper.page import BODY, MARGIN, NOTE, Paper
from stockroom.paper.parts import number, title
from stockroom.paper.strips import Strip
from stockroom.settings.shop_settings import Settings
from stockroom.views.collating import Rails, alike_told, called, collated
from stockroom.views.sheet import Because, Sheet
from stockroom.views.sheet_rows import tally_rows
from stockroom.words.language import word
from stockroom.words.plan_reasons import proof_in_words, whole

__all__ = ["collating_list", "said_of", "totals"]

LINE, ROW, TICK = 4.2, 4.8, 6.0
LABEL, WHOSE, FROM = 8.0, 26.0, 76.0
"""Where a frame's label, whose it is and its rails begin, from the margin, mm."""
TITLE = 9.5


def collating_list(paper: Paper, sheet: Sheet, settings: Settings) -> list[list[Strip]]:
    """Each frame that is cut: whose it is, its rails, from which pieces they come, a box."""
    rows = [frame_strip(paper, sheet, labels, rails, settings)
            for labels, rails in collated(sheet)]  # fmt: skip
    four = all(len(frame.rails) in (0, 4) for frame in sheet.frames.values())
    told = "frames: gather four rails, tick" if four else "frames: gather all rails, tick"
    return under(paper, word(told), rows)


def under(paper: Paper, heading: str, rows: Sequence[Strip]) -> list[list[Strip]]:
    """Rows as blocks, the first one whole with its title."""
    if not rows:
        return []
    wide = paper.across - 2 * MARGIN
    head = Strip(TITLE, lambda top: title(paper, MARGIN, top + 6, wide, heading))
    return [[head, rows[0]], *([row] for row in rows[1:])]


def frame_strip(
    paper: Paper, sheet: Sheet, labels: Sequence[str], cut: Sequence[Rails], settings: Settings
) -> Strip:
    """The row of a frame, or of many equal ones."""
    frame, label = sheet.frames.get(labels[0]), word(called(labels))
    wide = paper.across - 2 * MARGIN
    rails = "; ".join(
        word(
            "{many} × {length} from {pieces}",
            many=many,
            length=", ".join(
                (settings.length(length), *map(word, filter(None, [ends_said(ends)])))
            ),
            pieces=tuple(pieces),
        )
        for many, length, ends, pieces in cut
    )
    lines = paper.folded(rails, wide - FROM, NOTE)
    whose = f"{frame.customer}, {frame.profile}" if frame else ""

    def draw(top: float) -> None:
        paper.box(MARGIN, top + 0.6, TICK, TICK)
        paper.text(MARGIN + LABEL, top + 5, label, BODY, bold=True, within=WHOSE - LABEL - 1)
        paper.text(MARGIN + WHOSE, top + 5, whose, NOTE, within=FROM - WHOSE - 2)
        for row, line in enumerate(lines):
            paper.text(MARGIN + FROM, top + 5 + LINE * row, line, NOTE)

    return Strip(max(TICK + 1.4, 3.2 + LINE * len(lines)), draw)


def said_of(
    paper: Paper, sheet: Sheet, settings: Settings, heading: str, frames: Sequence[Because]
) -> list[list[Strip]]:
    """What is said of some frames, of several alike once: why they wait, or what a pin costs."""
    wide = paper.across - 2 * MARGIN
    rows = []
    for label, first, why in alike_told(frames):
        frame = sheet.frames.get(first)
        whose = f"{frame.customer}, {frame.profile}: " if frame else ""
        said = f"{whose}{whole(why, settings)}"
        rows.append(frame_said(paper, word(label), paper.folded(said, wide - WHOSE, NOTE)))
    return under(paper, heading, rows)


def frame_said(paper: Paper, label: str, said: Sequence[str]) -> Strip:
    """Frames, and what is said of them."""

    def draw(top: float) -> None:
        paper.text(MARGIN, top + 3.2, label, NOTE, bold=True, within=WHOSE - 2)
        for row, line in enumerate(said):
            paper.text(MARGIN + WHOSE, top + 3.2 + LINE * row, line, NOTE)

    return Strip(LINE * len(said) + 1.5, draw)


def totals(paper: Paper, sheet: Sheet, settings: Settings) -> Strip:
    """The plan's totals beside the hand rule's, and its proof."""
    rows = tally_rows(settings)
    half = (paper.across - 2 * MARGIN - 8) / 2
    proof = paper.folded(proof_in_words(sheet.proof, settings), half, NOTE)
    middle = MARGIN + half + 8

    def draw(top: float) -> None:
        top += 3
        title(paper, MARGIN, top + 3, half, word("totals"))
        paper.text(MARGIN + 58, top + 3, word("this plan"), NOTE, align="right")
        if sheet.hand is not None:
            paper.text(MARGIN + half, top + 3, word("picked by eye"), NOTE, align="right")
        for row, (label, show) in enumerate(rows):
            base = top + 9 + ROW * row
            paper.text(MARGIN, base, word(label), NOTE)
            number(paper, MARGIN + 50, base, show(sheet.tally), bold=True)
            if sheet.hand is not None:
                number(paper, MARGIN + half - 9, base, show(sheet.hand))
        title(paper, middle, top + 3, half, word("proof"))
        for row, line in enumerate(proof):
            paper.text(middle, top + 9 + LINE * row, line, NOTE)

    return Strip(max(9 + ROW * len(rows), 9 + LINE * len(proof)) + 6, draw)
