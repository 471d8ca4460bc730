"""The job ticket: a page for the joining bench, the fitting and the wall."""

from collections.abc import Sequence

from stockroom.facts import Fact, Tellable
from stockroom.frame.bench_ticket import Ticket
from stockroom.frame.fitting import cared_for, joined_so, minded, steps_of
from stockroom.frame.shapes import FRAME
from stockroom.job_notes import BESIDE_CUSTOMER, notes_of
from stockroom.paper.codes import code_of, draw_code
from stockroom.paper.page import BODY, LARGE, MARGIN, NOTE, SMALL, Pages, Paper
from stockroom.paper.parts import number, sentences, title
from stockroom.paper.sawn.front_drawing import draw_front
from stockroom.paper.sawn.saw_table import saw_table
from stockroom.paper.section import section
from stockroom.paper.section_drawing import draw_section
from stockroom.settings.shop_settings import Settings
from stockroom.views.size_rows import size_rows
from stockroom.views.ticket_rows import (
    Cell,
    Row,
    cutting_rows,
    hang_rows,
    joining_rows,
    layer_rows,
    moulding_rows,
    weight_rows,
)
from stockroom.words.language import Voice, word

__all__ = ["ticket_page"]

ROW, LINE, TICK = 5.2, 4.0, 5.0
GUTTER = 8.0
SaidRow = tuple[str, str, str, str, bool]
MODULE = 0.55
LEADING, MOST_LINES = 5.0, 3
"""The step of lines in the heading, mm; a name or a title longer than so many is cut off."""
FRONT = 62.0
"""The room of another shape than a frame, seen from its front, mm wide."""
DRAWN, LEAST_DRAWN, MOST_DRAWN = 60.0, 32.0, 120.0
"""The room of the section as it should be, where much else is said, and where there is room, mm."""
FOOT = 8.0
"""The room of the foot that says that there is another page, mm."""


def ticket_page(ticket: Ticket, settings: Settings, size: str = "a4") -> Pages:
    """The ticket as a PDF, the same bytes for the same ticket: of one page, or of two where it has
    more mouldings than one holds.

    Raises:
        ValueError: there is no such page size.
    """
    paper, over = laid(ticket, settings, size, DRAWN)
    if over > 0:  # Much is to be minded: the section is drawn smaller.
        paper.close()
        pages = 1 if over <= DRAWN - LEAST_DRAWN else 2
        paper, _ = laid(ticket, settings, size, DRAWN - over, pages)
    return paper.finish()


def laid(
    ticket: Ticket, settings: Settings, size: str, drawn: float, pages: int = 1
) -> tuple[Paper, float]:
    """So many pages with a section so high, on the first of two as high as there is room, and how
    far the last goes beyond its margin, mm."""
    paper = Paper(word("{job}, job ticket", job=ticket.label), size, ticket.day, settings.font)
    y = measures(paper, heading(paper, ticket), ticket, settings)
    drawn = drawn if pages == 1 else min(MOST_DRAWN, paper.down - MARGIN - FOOT - y)
    y = drawings(paper, y, ticket, settings, drawn)
    if pages > 1:
        y = next_page(paper, ticket)
    y = work_to_do(paper, y, ticket, settings)
    return paper, y - paper.down + MARGIN


def next_page(paper: Paper, ticket: Ticket) -> float:
    """Says at the foot that there is another page and begins it; gives where its first part is."""
    foot, edge = paper.down - MARGIN, paper.across - MARGIN
    paper.text(edge, foot, word("page {at} of {many}", at=1, many=2), SMALL, align="right")
    paper.next_page()
    paper.text(MARGIN, 24, ticket.label, LARGE, bold=True)
    x = MARGIN + max(34.0, paper.width(ticket.label, LARGE, bold=True) + 6)
    whose = ", ".join(filter(None, (ticket.customer, ticket.title)))
    paper.text(x, 24, whose, BODY, within=edge - x - 30)
    paper.text(edge, 24, word("page {at} of {many}", at=2, many=2), SMALL, align="right")
    paper.line((MARGIN, 29), (edge, 29), 0.5)
    return 36.0


def measures(paper: Paper, y: float, ticket: Ticket, settings: Settings) -> float:
    """What is measured and set: sizes, further mouldings, the saw; gives where the next part
    begins."""
    wide = paper.across - 2 * MARGIN
    y = sizes_table(paper, y, wide, ticket, settings)
    y = layers_table(paper, y, wide, ticket, settings)
    return y if ticket.shape == FRAME else saw_table(paper, y, wide, ticket, settings)


def drawings(paper: Paper, y: float, ticket: Ticket, settings: Settings, drawn: float) -> float:
    """The section so high, and another shape from its front; gives where the next part begins."""
    wide, beside = paper.across - 2 * MARGIN, MARGIN
    if ticket.shape != FRAME:
        draw_front(paper, (MARGIN, y, FRONT, drawn - 7), ticket, settings)
        beside += FRONT + GUTTER
    draw_section(paper, (beside, y, MARGIN + wide - beside, drawn), section(ticket),
                 settings.length_with_unit)  # fmt: skip
    return y + drawn + 3


def work_to_do(paper: Paper, y: float, ticket: Ticket, settings: Settings) -> float:
    """What is done with it: joined, weighed, hung, minded, ticked; gives where it ends."""
    wide = paper.across - 2 * MARGIN
    column = (wide - GUTTER) / 2
    right, said = MARGIN + column + GUTTER, y
    left = rows_table(paper, MARGIN, y, column, word("join and fit"),
                      said_rows(joining_rows(ticket, settings), settings))  # fmt: skip
    if ticket.hanging is not None:
        left = rows_table(paper, MARGIN, left, column, word("hang"),
                          said_rows(hang_rows(ticket, settings), settings))  # fmt: skip
        said = rows_table(paper, right, y, column, word("weight"),
                          said_rows(weight_rows(ticket, settings), settings))  # fmt: skip
        paper.text(right, said + 1, word("as weighed"), NOTE, bold=True)
        paper.box(right + 24, said - 3, 30, 6)
        said += 9
    voice = Voice("on_a_page", settings)
    for words, lines in ((word("order of corners"), list(map(voice.say, joined_so(ticket)))),
                         (word("mind"), to_mind(ticket, settings)), *noted(ticket)):  # fmt: skip
        said = sentences(paper, right, said, column, words, lines) if lines else said
    y = steps(paper, max(left, said) + 1, steps_of(ticket))
    care = " ".join(map(word, cared_for(ticket)))
    return sentences(paper, MARGIN, y, wide, word("with care"), [care])


def noted(ticket: Ticket) -> list[tuple[str, list[str]]]:
    """What was noted of the job, each under what it is called, but what stands by the customer."""
    return [(word(name), [text]) for name, text in notes_of(ticket).items()
            if text and name not in BESIDE_CUSTOMER]  # fmt: skip


def to_mind(ticket: Ticket, settings: Settings) -> list[str]:
    """All that is out of the ordinary."""
    voice = Voice("on_a_page", settings)
    hung = ticket.hanging.warnings if ticket.hanging else ()
    told: tuple[Tellable, ...] = (*ticket.notices, *minded(ticket), *hung)
    return list(map(voice.say, told))


def heading(paper: Paper, ticket: Ticket) -> float:
    """The job's number and code, whose it is and when it is due; gives where the next part begins.

    A label that is no text of a code, such as that of sizes only tried, has none.
    """
    edge = paper.across - MARGIN
    if ticket.label.isascii() and ticket.label.isprintable():
        code = code_of(ticket.label, "qr")
        side = (code.across - 8) * MODULE
        draw_code(paper, code, edge - side - 4 * MODULE, MARGIN - 4 * MODULE, MODULE, MODULE)
        edge -= side + 4
    paper.text(MARGIN, 24, ticket.label, LARGE, bold=True)
    x = MARGIN + max(34.0, paper.width(ticket.label, LARGE, bold=True) + 6)
    due = word("due {day:day}", day=ticket.due)
    if ticket.quantity > 1:
        due = word("{many} to frame, {due}", many=ticket.quantity, due=due)
    room = edge - x - paper.width(due, BODY, bold=True) - 4
    named = (ticket.customer, *notes_of(ticket, *BESIDE_CUSTOMER).values())
    whose = "   ".join(filter(None, named))
    beside = paper.width(whose, BODY, bold=True) <= room
    names = [(whose, True)] if beside else [(one, True) for one in named]
    y = 19.0
    for words, bold in filter(lambda one: one[0], (*names, (ticket.title, False))):
        for line in paper.folded(words, room, BODY, bold=bold)[:MOST_LINES]:
            paper.text(x, y, line, BODY, bold=bold)
            y += LEADING
    low = max(29.0, y)
    paper.text(edge, 19, due, BODY, bold=True, align="right")
    paper.text(edge, 24, ticket.shop, SMALL, align="right", within=edge - x - room)
    style = f"{ticket.profile}, {ticket.style}, {word(ticket.moulding.kind)}"
    if ticket.shape != FRAME:
        style = f"{style}: {word(ticket.shape.said)}"
    paper.line((MARGIN, low), (paper.across - MARGIN, low), 0.5)
    edge = paper.across - MARGIN
    if ticket.cut_by is not None and ticket.cut_by != ticket.due:
        cut_by = word("cut by {day:day}", day=ticket.cut_by)
        paper.text(edge, low + 5, cut_by, BODY, bold=True, align="right")
        edge -= paper.width(cut_by, BODY, bold=True) + 4
    paper.text(MARGIN, low + 5, style, BODY, within=edge - MARGIN)
    return low + 11


def sizes_table(paper: Paper, y: float, wide: float, ticket: Ticket, settings: Settings) -> float:
    """Sizes at the left, what the machine's stop reads standing out; at the right what was measured
    and the sheets to cut."""
    sizes, show = ticket.sizes, settings.length
    rows = [] if ticket.shape.listed else list(size_rows(sizes))
    both_ways = not ticket.shape.listed and ticket.shape.kind != "sides"
    told = "sizes, {unit}: across, upright" if both_ways else "sizes, {unit}"
    title(paper, MARGIN, y, wide, word(told, unit=settings.unit))
    stops = (MARGIN + 58, MARGIN + 84)
    for row, (code, pair, bold) in enumerate(rows):
        name = word(code)
        base = y + 6 + ROW * row
        paper.text(MARGIN, base, name, BODY, bold=bold)
        if bold:
            beyond = MARGIN + paper.width(f"{name} ", BODY, bold=True)
            paper.text(beyond, base, word("the stop"), SMALL)
        for stop, length in zip(stops, pair, strict=False):
            number(paper, stop, base, show(length), bold=bold)
    x, edge = MARGIN + 104, MARGIN + wide
    beside = [(word(name), word(value)) for name, value in (
        *readings(ticket, settings), *cutting_rows(ticket, settings),
        *moulding_rows(ticket, settings))]  # fmt: skip
    base = y + 6
    for name, value in beside:
        lines = paper.folded(value, edge - x - 36, NOTE)
        paper.text(x, base, name, NOTE)
        for line in lines:
            paper.text(edge, base, line, NOTE, align="right")
            base += LINE
        base += ROW - LINE
    return max(y + 6 + ROW * len(rows), base) + 2


def layers_table(paper: Paper, y: float, wide: float, ticket: Ticket, settings: Settings) -> float:
    """The further mouldings side by side, each with the sizes that it is cut and checked by; gives
    where the next part begins."""
    column, low = (wide - GUTTER) / 2, y
    for place, (words, rows) in enumerate(layer_rows(ticket)):
        x = MARGIN + (column + GUTTER) * (place % 2)
        y = low if place % 2 == 0 else y
        title(paper, x, y, column, word(words))
        for row, (name, pair, bold) in enumerate(rows):
            base = y + 6 + ROW * row
            told = word("{size}, the stop", size=word(name)) if bold else word(name)
            paper.text(x, base, told, NOTE, bold=bold)
            for stop, length in zip((x + 46, x + 70), pair, strict=True):
                number(paper, stop, base, settings.length(length), bold=bold)
        low = max(low, y + 8 + ROW * len(rows))
    return low


def readings(ticket: Ticket, settings: Settings) -> list[tuple[Cell, Cell]]:
    """What was measured."""
    show = settings.length
    told: list[tuple[Cell, tuple[int, ...]]] = []
    if ticket.readings is not None and ticket.shape.kind == "sides":
        told = [("sides read", ticket.readings.widths)]
    elif ticket.readings is not None:
        told = [("widths read", ticket.readings.widths), ("heights read", ticket.readings.heights)]
    rows: list[tuple[Cell, Cell]] = [(name, " / ".join(map(show, read))) for name, read in told]
    if ticket.depth_um is not None:
        what = "canvas, depth" if ticket.moulding.kind == "float" else "package, depth"
        rows.append((what, show(ticket.depth_um)))
    if settings.measure.inches and ticket.shape == FRAME:
        rows.append(("united inches", show(ticket.sizes.united_um)))
    if ticket.estimated:
        rows.append(("estimated", ", ".join(map(word, ticket.estimated))))
    return rows


def said_rows(rows: Sequence[Row], settings: Settings) -> list[SaidRow]:
    """Rows of a ticket in words, each with whether it is a sum; what is estimated is said short."""
    say = Voice("on_a_page", settings).word
    return [
        (say(what), say(value), unit,
         say(Fact("est_how", how.about) if isinstance(how, Fact) and how.code == "estimated_how"
             else how), what == "weight in all")
        for what, value, unit, how in rows
    ]  # fmt: skip


def rows_table(
    paper: Paper, x: float, y: float, wide: float, words: str, rows: Sequence[SaidRow]
) -> float:
    """Rows of what, value, unit, and how it was found, in as many lines as that takes; gives where
    the next part begins."""
    title(paper, x, y, wide, words)
    stop, base = x + 36, y + 6
    for what, value, unit, how, bold in rows:
        lines = paper.folded(how, x + wide - stop - 20, SMALL)
        paper.text(x, base, what, SMALL, within=29)
        number(paper, stop, base, value, bold=bold)
        paper.text(stop + 13.4, base, {"degrees": "°"}.get(unit, unit), SMALL, within=6)
        for row, line in enumerate(lines):
            paper.text(stop + 20, base + 3.4 * row, line, SMALL)
        base += ROW + 3.4 * (len(lines) - 1)
    return base + 3


def steps(paper: Paper, y: float, todo: Sequence[str]) -> float:
    """A box for each step from the saw to the wall; gives where the next part begins."""
    x, edge = MARGIN, paper.across - MARGIN
    for words in todo:
        long = TICK + 1.5 + paper.width(word(words), NOTE)
        if x + long > edge:
            x, y = MARGIN, y + TICK + 2
        paper.box(x, y, TICK, TICK)
        paper.text(x + TICK + 1.5, y + 3.8, word(words), NOTE)
        x += long + 4
    return y + TICK + 6
