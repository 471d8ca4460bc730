"""The ticket's part for the saw: each length and what the stop reads, a box for each."""

from math import ceil

from stockroom.frame.bench_ticket import Ticket
from stockroom.paper.page import BODY, MARGIN, NOTE, Paper
from stockroom.paper.parts import title
from stockroom.settings.shop_settings import Settings
from stockroom.views.saw_rows import SawRow, named_from_edge, saw_rows
from stockroom.words.language import word

__all__ = ["saw_table"]

ROW, TICK, HEAD = 5.6, 4.2, 6.5
A_COLUMN, ROOM = 12, 36.0
"""So many lengths of a list stand below one another before the next column begins; its room, mm,
and as much again where a stop reads something else."""


def saw_table(paper: Paper, y: float, wide: float, ticket: Ticket, settings: Settings) -> float:
    """The rails of all frames by what is set on the saw; gives where the next part begins."""
    rows = saw_rows(ticket.sizes, ticket.moulding, ticket.quantity)
    words = word("at the saw, {unit}: of all frames", unit=settings.unit)
    if ticket.shape.listed:
        words = f"{words}; {word(rows[0].ends)}"
    title(paper, MARGIN, y, wide, words)
    room = ROOM * (1 + (rows[0].stop_um != rows[0].long_um))
    columns = min(int(wide // room), ceil(len(rows) / A_COLUMN)) if ticket.shape.listed else 1
    each = ceil(len(rows) / columns)
    for place, row in enumerate(rows):
        x = MARGIN + (place // each) * wide / columns
        row_of(paper, x, y + HEAD + ROW * (place % each), row, ticket, settings)
    y += HEAD + ROW * each
    for told in named_from_edge(rows):
        paper.text(MARGIN, y, word(told), NOTE)
        y += ROW
    return y + 2


def row_of(
    paper: Paper, x: float, y: float, row: SawRow, ticket: Ticket, settings: Settings
) -> None:
    """A length: a box, how many, the long point, and what the stop reads where that is another."""
    paper.box(x, y - TICK + 0.8, TICK, TICK)
    told = f"{row.many} × {settings.length(row.long_um)}"
    read = row.stop_um != row.long_um
    x += TICK + 2
    paper.text(x, y, told, BODY, bold=not read)
    x += max(24.0, paper.width(told, BODY, bold=True) + 4)
    if read:
        stop = word("stop, {read}: {length}", read=word(ticket.sizes.stop),
                    length=settings.length(row.stop_um))  # fmt: skip
        paper.text(x, y, stop, BODY, bold=True)
        x += max(46.0, paper.width(stop, BODY, bold=True) + 4)
    if not ticket.shape.listed:
        paper.text(x, y, word(row.ends), BODY)
