"""The job ticket: one page for the joining bench, the fitting and the wall."""

from collections.abc import Sequence

from stockroom.frame.bench_ticket import CORNERS, DEFERS, Ticket
from stockroom.frame.notices import notice_text
from stockroom.paper.page import BODY, LARGE, MARGIN, SMALL, Paper
from stockroom.paper.parts import number, sentences, title
from stockroom.paper.section import section
from stockroom.paper.section_drawing import draw_section
from stockroom.settings.shop_settings import Settings
from stockroom.views.size_rows import pair_rows
from stockroom.views.ticket_rows import Row, hang_rows, joining_rows, weight_rows

__all__ = ["ticket_page"]

ROW = 5.2
GUTTER = 8.0


def ticket_page(ticket: Ticket, settings: Settings, size: str = "a4") -> bytes:
    """The ticket as a PDF of one page, the same bytes for the same ticket.

    Raises:
        ValueError: there is no such page size.
    """
    paper = Paper(f"{ticket.label}, job ticket", size, ticket.day)
    y = heading(paper, ticket)
    wide = paper.across - 2 * MARGIN
    column = (wide - GUTTER) / 2
    right = MARGIN + column + GUTTER
    y = sizes_table(paper, y, wide, ticket, settings)
    draw_section(paper, (MARGIN, y, wide, 66), section(ticket), settings.length_with_unit)
    y += 70
    ends = [
        rows_table(paper, MARGIN, y, column, "join and fit", joining_rows(ticket, settings)),
        rows_table(paper, right, y, column, "weight", weight_rows(ticket, settings)),
    ]
    joined = rows_table(paper, MARGIN, max(ends), column, "hang", hang_rows(ticket, settings))
    said = sentences(paper, right, max(ends), column, "order of corners", CORNERS)
    warned = [*(notice_text(n, settings.length_with_unit) for n in ticket.sizes.notices),
              *ticket.hanging.warnings]  # fmt: skip
    if warned:
        said = sentences(paper, right, said, column, "mind", warned)
    if ticket.note:
        said = sentences(paper, right, said, column, "note", [ticket.note])
    sentences(paper, MARGIN, max(joined, said), wide, "with care", DEFERS)
    return paper.finish()


def heading(paper: Paper, ticket: Ticket) -> float:
    """The job's number, whose it is and when it is due; gives where the next part begins."""
    edge = paper.across - MARGIN
    paper.text(MARGIN, 24, ticket.label, LARGE, bold=True)
    x = MARGIN + max(34.0, paper.width(ticket.label, LARGE, bold=True) + 6)
    many = f"{ticket.quantity} to frame, " if ticket.quantity > 1 else ""
    due = f"{many}due {ticket.due:%a} {ticket.due.isoformat()}"
    room = edge - x - paper.width(due, BODY, bold=True) - 4
    whose = "   ".join(filter(None, (ticket.customer, ticket.phone)))
    paper.text(x, 19, whose, BODY, bold=True, within=room)
    paper.text(x, 24, ticket.title, BODY, within=room)
    paper.text(edge, 19, due, BODY, bold=True, align="right")
    paper.text(edge, 24, ticket.shop, SMALL, align="right", within=edge - x - room)
    style = f"{ticket.profile}, {ticket.style}, {ticket.moulding.kind}"
    paper.line((MARGIN, 28), (edge, 28), 0.5)
    paper.text(MARGIN, 33.5, style, BODY, within=edge - MARGIN)
    return 40.0


def sizes_table(paper: Paper, y: float, wide: float, ticket: Ticket, settings: Settings) -> float:
    """Sizes at the left, what the machine's stop reads standing out; readings at the right."""
    sizes, show = ticket.sizes, settings.length
    rows = list(pair_rows(sizes))
    title(paper, MARGIN, y, wide, f"sizes, {settings.unit}: across, upright")
    stops = (MARGIN + 58, MARGIN + 84)
    for row, (name, pair, bold) in enumerate(rows):
        base = y + 6 + ROW * row
        paper.text(MARGIN, base, name, BODY, bold=bold)
        if bold:
            beyond = MARGIN + paper.width(f"{name} ", BODY, bold=True)
            paper.text(beyond, base, "the stop", SMALL)
        for stop, length in zip(stops, pair, strict=True):
            number(paper, stop, base, show(length), bold=bold)
    x, edge = MARGIN + 104, MARGIN + wide
    for row, (name, value) in enumerate(readings(ticket, settings)):
        paper.text(x, y + 6 + ROW * row, name, SMALL)
        paper.text(edge, y + 6 + ROW * row, value, BODY, align="right",
                   within=edge - x - 22)  # fmt: skip
    return y + 6 + ROW * len(rows) + 2


def readings(ticket: Ticket, settings: Settings) -> list[tuple[str, str]]:
    """What was measured."""
    show = settings.length
    rows = [("widths read", " / ".join(map(show, ticket.readings.widths))),
            ("heights read", " / ".join(map(show, ticket.readings.heights)))]  # fmt: skip
    if ticket.depth_um is not None:
        what = "canvas, depth" if ticket.moulding.kind == "float" else "package, depth"
        rows.append((what, show(ticket.depth_um)))
    if settings.measure.inches:
        rows.append(("united inches", show(ticket.sizes.united_um)))
    if ticket.estimated:
        rows.append(("estimated", ", ".join(ticket.estimated)))
    return rows


def rows_table(
    paper: Paper, x: float, y: float, wide: float, words: str, rows: Sequence[Row]
) -> float:
    """Rows of what, value, unit, and how it was found; gives where the next part begins."""
    title(paper, x, y, wide, words)
    stop = x + 35
    for row, (what, value, unit, how) in enumerate(rows):
        base = y + 6 + ROW * row
        paper.text(x, base, what, SMALL, within=28)
        number(paper, stop, base, value, bold="in all" in what)
        paper.text(stop + 11.4, base, {"degrees": "°"}.get(unit, unit), SMALL, within=6)
        paper.text(stop + 17.4, base, how.replace("estimated: ", "est. "), SMALL,
                   within=x + wide - stop - 17.4)  # fmt: skip
    return y + 6 + ROW * len(rows) + 3
