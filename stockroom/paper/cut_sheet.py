"""The cut sheet: a plan on paper, in the order of the walk along the rack."""

from collections.abc import Sequence
from math import ceil

from stockroom.paper.codes import code_of, draw_code
from stockroom.paper.cut_piece import piece_block
from stockroom.paper.page import BODY, LARGE, MARGIN, SMALL, Paper
from stockroom.paper.parts import number, title
from stockroom.paper.strips import Strip, dealt
from stockroom.settings.shop_settings import Settings
from stockroom.units.texts import counted
from stockroom.views.sheet import CAUTIONS, Because, Sheet
from stockroom.views.sheet_rows import measured, tally_rows
from stockroom.words.plan_reasons import proof_in_words, whole

__all__ = ["cut_sheet", "plan_code"]

FIRST, LATER, FOOT = 43.0, 24.0, 14.0
MODULE, LINE, ROW = 0.75, 4.0, 4.8


def plan_code(plan: int) -> str:
    """What the code on a plan's sheet says: P and the plan's number."""
    return f"P{plan}"


def cut_sheet(sheet: Sheet, settings: Settings, size: str = "a4") -> bytes:
    """The sheet as a PDF, the same bytes for the same plan.

    Raises:
        ValueError: there is no such page size.
    """
    name = "Plan" if sheet.plan is None else f"Plan {sheet.plan}"
    paper = Paper(f"{name}, cut sheet", size, sheet.day)
    longest = max((piece.length for piece in sheet.pieces), default=1)
    real = max(1, ceil(longest / 1000 / (paper.across - 2 * MARGIN)))
    blocks = [piece_block(paper, piece, settings, 1 / 1000 / real) for piece in sheet.pieces]
    blocks.append(totals(paper, sheet, settings))
    blocks += said_of(paper, sheet, settings, "short", sheet.short)
    blocks += said_of(paper, sheet, settings, "pinned", sheet.pinned)
    bottom = paper.down - MARGIN - FOOT
    pages = dealt(blocks, bottom - FIRST, bottom - LATER)
    for at, strips in enumerate(pages):
        if at:
            paper.next_page()
            top = running_head(paper, name, sheet)
        else:
            top = first_head(paper, name, sheet, f"{measured(sheet, settings)}; drawn 1 : {real}")
        for strip in strips:
            strip.draw(top)
            top += strip.tall
        foot(paper, f"{name}, page {at + 1} of {len(pages)}")
    return paper.finish()


def first_head(paper: Paper, name: str, sheet: Sheet, how: str) -> float:
    """The plan's name, what it takes, how to read the sheet, and the code that opens the plan."""
    edge = paper.across - MARGIN
    if sheet.plan is not None:
        code = code_of(plan_code(sheet.plan), "qr")
        side = (code.across - 8) * MODULE
        draw_code(paper, code, edge - side - 4 * MODULE, MARGIN - 4 * MODULE, MODULE, MODULE)
        edge -= side + 4
    paper.text(MARGIN, 24, name, LARGE, bold=True)
    x = MARGIN + max(34.0, paper.width(name, LARGE, bold=True) + 6)
    tally = sheet.tally
    what = [counted(many, word) for many, word in (
        (tally.frames, "frame"), (tally.rails, "rail"), (tally.sticks, "stick"),
        (tally.offcuts, "offcut"))]  # fmt: skip
    holds = f"{what[0]}, {what[1]} from {what[2]} and {what[3]}"
    due = f"{sheet.state}, for frames due by {sheet.until:%a} {sheet.until.isoformat()}"
    if early := len(sheet.cut_ahead):
        due += f" and {early} due later"
    paper.text(x, 19, due, BODY, bold=True, within=edge - x)
    paper.text(x, 24, holds, BODY, within=edge - x)
    paper.text(MARGIN, 31, sheet.shop, BODY, within=edge - MARGIN)
    paper.text(MARGIN, 35.5, f"{how}, back edge below", SMALL, within=edge - MARGIN)
    paper.line((MARGIN, 38.5), (paper.across - MARGIN, 38.5), 0.5)
    return FIRST


def running_head(paper: Paper, name: str, sheet: Sheet) -> float:
    """The head of all pages but the first."""
    edge = paper.across - MARGIN
    paper.text(MARGIN, 18, name, BODY, bold=True)
    paper.text(edge, 18, sheet.shop, SMALL, align="right", within=edge - MARGIN - 40)
    paper.line((MARGIN, 20), (edge, 20), 0.5)
    return LATER


def foot(paper: Paper, page: str) -> None:
    """The cautions, on every page, and its number."""
    edge, top = paper.across - MARGIN, paper.down - MARGIN - FOOT + 4
    paper.line((MARGIN, top), (edge, top), 0.15)
    room = edge - MARGIN - paper.width(page, SMALL, bold=True) - 6
    for row, line in enumerate(paper.folded(" ".join(CAUTIONS), room, SMALL)):
        paper.text(MARGIN, top + 4 + LINE * row, line, SMALL)
    paper.text(edge, top + 4, page, SMALL, bold=True, align="right")


def totals(paper: Paper, sheet: Sheet, settings: Settings) -> list[Strip]:
    """The plan's totals beside the hand rule's, and its proof."""
    rows = tally_rows(settings)
    half = (paper.across - 2 * MARGIN - 8) / 2
    proof = paper.folded(proof_in_words(sheet.proof, settings.length_with_unit), half, SMALL)
    middle = MARGIN + half + 8

    def draw(top: float) -> None:
        title(paper, MARGIN, top + 3, half, "totals")
        paper.text(MARGIN + 58, top + 3, "this plan", SMALL, align="right")
        if sheet.hand is not None:
            paper.text(MARGIN + half, top + 3, "by hand", SMALL, align="right")
        for row, (label, show) in enumerate(rows):
            base = top + 9 + ROW * row
            paper.text(MARGIN, base, label, SMALL)
            number(paper, MARGIN + 50, base, show(sheet.tally), bold=True)
            if sheet.hand is not None:
                number(paper, MARGIN + half - 9, base, show(sheet.hand))
        title(paper, middle, top + 3, half, "proof")
        for row, line in enumerate(proof):
            paper.text(middle, top + 9 + LINE * row, line, SMALL)

    return [Strip(max(9 + ROW * len(rows), 9 + LINE * len(proof)) + 3, draw)]


def said_of(
    paper: Paper, sheet: Sheet, settings: Settings, heading: str, frames: Sequence[Because]
) -> list[list[Strip]]:
    """What is said of some frames: why each is short, or what its pin costs."""
    wide = paper.across - 2 * MARGIN
    if not frames:
        return []
    lines: list[list[Strip]] = [
        [Strip(7.0, lambda top: title(paper, MARGIN, top + 3, wide, heading))]
    ]
    for label, reasons in frames:
        why, frame = whole(reasons, settings.length_with_unit), sheet.frames.get(label)
        whose = f"{frame.customer}, {frame.profile}: " if frame else ""
        lines.append(frame_said(paper, label, paper.folded(f"{whose}{why}", wide - 24, SMALL)))
    lines[0:2] = [lines[0] + lines[1]]
    return lines


def frame_said(paper: Paper, label: str, said: Sequence[str]) -> list[Strip]:
    """One frame, and what is said of it."""

    def draw(top: float) -> None:
        paper.text(MARGIN, top + 3, label, SMALL, bold=True, within=22)
        for row, line in enumerate(said):
            paper.text(MARGIN + 24, top + 3 + LINE * row, line, SMALL)

    return [Strip(LINE * len(said) + 1.5, draw)]
