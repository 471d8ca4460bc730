"""The cut sheet: a plan on paper, in the order of the walk along the rack; and its stop list."""

from collections.abc import Sequence
from math import ceil

from stockroom.frame.mitres import mitre_angle
from stockroom.frame.shapes import MITRED
from stockroom.paper.codes import code_of, draw_code
from stockroom.paper.cut_frames import collating_list, said_of, totals
from stockroom.paper.cut_piece import piece_block
from stockroom.paper.page import BODY, LARGE, MARGIN, NOTE, SMALL, Pages, Paper
from stockroom.paper.piece_drawing import draw_key
from stockroom.paper.stop_rows import stop_rows
from stockroom.paper.strips import Strip, dealt
from stockroom.settings.shop_settings import Settings
from stockroom.views.collating import stops_set
from stockroom.views.sheet import CAUTIONS, Sheet, plan_state
from stockroom.views.sheet_rows import measured
from stockroom.words.language import word

__all__ = ["cut_sheet", "plan_code", "stop_sheet"]

FIRST, KEY, LATER, FOOT = 44.5, 5.0, 24.0, 14.0
MODULE, LINE = 0.75, 4.0
WITH_TOTALS = 3
"""Totals stand with so many of the blocks before them, not on a last page of their own."""
ANGLE = f"{mitre_angle(4)}°"
"""A frame of four sides; where any rail has other ends, each says which."""


def read_with(sheet: Sheet, settings: Settings) -> str:
    """How lengths are to be read, and how ends are cut where a rail says nothing else."""
    others = any(rail.angles != MITRED for piece in sheet.pieces for rail in piece.rails)
    said = (
        "{measured}; both ends {angle} unless said" if others else "{measured}; both ends {angle}"
    )
    return word(said, measured=word(measured(sheet, settings)), angle=ANGLE)


def plan_code(plan: int) -> str:
    """What the code on a plan's sheet says: P and the plan's number."""
    return f"P{plan}"


def cut_sheet(sheet: Sheet, settings: Settings, size: str = "a4") -> Pages:
    """The sheet as a PDF, the same bytes for the same plan.

    Raises:
        ValueError: there is no such page size.
    """
    paper = Paper(word("{plan}, cut sheet", plan=named(sheet)), size, sheet.day, settings.font)
    longest = max((piece.length for piece in sheet.pieces), default=1)
    real = max(1, ceil(longest / 1000 / (paper.across - 2 * MARGIN)))
    blocks = [piece_block(paper, piece, settings, 1 / 1000 / real) for piece in sheet.pieces]
    blocks += collating_list(paper, sheet, settings)
    blocks += said_of(paper, sheet, settings, word("can't be cut today"), sheet.short)
    blocks += said_of(paper, sheet, settings, word("pinned"), sheet.pinned)
    blocks += said_of(paper, sheet, settings, word("matched"), sheet.matched)
    last = [strip for block in blocks[-WITH_TOTALS:] for strip in block]
    blocks[-WITH_TOTALS:] = [[*last, totals(paper, sheet, settings)]]
    how = read_with(sheet, settings)
    return paged(paper, sheet, blocks, how, word("1 : {real}, face up, back edge below", real=real))


def stop_sheet(sheet: Sheet, settings: Settings, size: str = "a4") -> Pages:
    """All rails of each profile by length, for one who sets the stop once, as a PDF.

    Raises:
        ValueError: there is no such page size.
    """
    paper = Paper(word("{plan}, stop list", plan=named(sheet)), size, sheet.day, settings.font)
    how = read_with(sheet, settings)
    return paged(paper, sheet, stop_rows(paper, sheet, settings), how)


def named(sheet: Sheet) -> str:
    """A plan by its number."""
    return word("Plan") if sheet.plan is None else word("Plan {number}", number=sheet.plan)


def paged(
    paper: Paper, sheet: Sheet, blocks: Sequence[Sequence[Strip]], how: str, drawn: str = ""
) -> Pages:
    """Blocks on as many pages as they need, each with its head and the cautions at its foot."""
    name, bottom = named(sheet), paper.down - MARGIN - FOOT
    first = FIRST + KEY * bool(drawn)
    pages = dealt(blocks, bottom - first, bottom - LATER)
    for at, strips in enumerate(pages):
        if at:
            paper.next_page()
            top = running_head(paper, name, sheet)
        else:
            top = first_head(paper, name, sheet, how, drawn)
        for strip in strips:
            strip.draw(top)
            top += strip.tall
        foot(paper, word("{plan}, page {at} of {many}", plan=name, at=at + 1, many=len(pages)))
    return paper.finish()


def first_head(paper: Paper, name: str, sheet: Sheet, how: str, drawn: str) -> float:
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
    holds = word(
        "{frames:frame}, {rails:rail} from {sticks:stick} and {offcuts:offcut}; the stop is set "
        "{times:time}", frames=tally.frames, rails=tally.rails, sticks=tally.sticks,
        offcuts=tally.offcuts, times=stops_set(sheet),
    )  # fmt: skip
    due = word("{state}, for frames due by {day:day}", state=word(plan_state(sheet.state)),
               day=sheet.until)  # fmt: skip
    if early := len(sheet.cut_ahead):
        due = word("{due} and {many} due later", due=due, many=early)
    paper.text(x, 19, due, BODY, bold=True, within=edge - x)
    paper.text(x, 24, holds, BODY, within=edge - x)
    paper.text(MARGIN, 31, sheet.shop, BODY, within=edge - MARGIN)
    paper.text(MARGIN, 36, how, NOTE, within=edge - MARGIN)
    y = 40.0
    if drawn:
        draw_key(paper, y + 1)
        paper.text(paper.across - MARGIN, y + 1, drawn, NOTE, align="right")
        y += KEY
    paper.line((MARGIN, y), (paper.across - MARGIN, y), 0.5)
    return y + FIRST - 40


def running_head(paper: Paper, name: str, sheet: Sheet) -> float:
    """The head of all pages but the first."""
    edge = paper.across - MARGIN
    paper.text(MARGIN, 18, name, BODY, bold=True)
    paper.text(edge, 18, sheet.shop, SMALL, align="right", within=edge - MARGIN - 40)
    paper.line((MARGIN, 20), (edge, 20), 0.5)
    return LATER


def foot(paper: Paper, page: str) -> None:
    """The cautions, on every page, and its number."""
    edge, top = paper.across - MARGIN, paper.down - MARGIN - FOOT + 2.2
    paper.line((MARGIN, top), (edge, top), 0.15)
    room = edge - MARGIN - paper.width(page, SMALL, bold=True) - 6
    for row, line in enumerate(paper.folded(" ".join(map(word, CAUTIONS)), room, SMALL)):
        paper.text(MARGIN, top + 4 + LINE * row, line, SMALL)
    paper.text(edge, top + 4, page, SMALL, bold=True, align="right")
