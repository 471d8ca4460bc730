"""A list on paper: a heading, columns, rows as high as their longest text, boxes to tick and to
write in; several lists one after another, each from a page of its own."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial

from stockroom.paper.page import BODY, LARGE, MARGIN, NOTE, Pages, Paper
from stockroom.paper.strips import Strip, dealt
from stockroom.words.language import word

__all__ = ["TICK", "WRITE", "Listing", "list_page", "list_pages"]

FIRST, LATER, FOOT = 43.0, 30.0, 8.0
LINE, GAP, GUTTER = 4.2, 2.0, 4.0
TICK, WRITE = "[ ]", "[    ]"
"""Cells that are a box to tick, and a box as wide as its column to write in."""
BOX, FOLDED, ROUNDING = 5.6, 0.7, 0.01
"""How high a box is, mm; how much of its width the folded column keeps at the least."""


@dataclass(frozen=True, slots=True)
class Listing:
    """What is listed: columns as heading and share of the width, rows of as many texts, and what
    is said below them. Columns in ``right`` end at their right edge; the last one is folded. Rows
    in ``bold`` are headings or sums. ``ours`` is the shop as it stands on what leaves it, ``to``
    whom that goes to.

    Raises:
        ValueError: a row has more or fewer texts than there are columns.
    """

    title: str
    about: str
    shop: str
    columns: tuple[tuple[str, float], ...]
    rows: tuple[tuple[str, ...], ...]
    said: tuple[str, ...] = ()
    right: frozenset[int] = frozenset()
    bold: frozenset[int] = frozenset()
    ours: tuple[str, ...] = ()
    to: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for row in self.rows:
            if len(row) != len(self.columns):
                raise ValueError(f"{len(row)} texts for {len(self.columns)} columns")


def list_page(listing: Listing, day: date, size: str = "a4", font: str = "") -> Pages:
    """The list as a PDF, the same bytes for the same list on the same day.

    Raises:
        ValueError: there is no such page size.
    """
    return list_pages([listing], day, size, font)


def list_pages(listings: Sequence[Listing], day: date, size: str = "a4", font: str = "") -> Pages:
    """Lists in one PDF, each from a page of its own and with its own page numbers; ``font`` as of
    ``Paper``.

    Raises:
        ValueError: there is no such page size, or no list.
    """
    if not listings:
        raise ValueError("no list to print")
    paper = Paper(listings[0].title, size, day, font)
    for at, listing in enumerate(listings):
        if at:
            paper.next_page()
        draw_list(paper, listing)
    return paper.finish()


def draw_list(paper: Paper, listing: Listing) -> None:
    """One list, from the page that is open on."""
    wide = paper.across - 2 * MARGIN
    stops = stops_of(paper, listing, wide)
    blocks: list[list[Strip]] = []
    for at in range(len(listing.rows)):
        strip = row_strip(paper, listing, at, stops)
        if is_heading(listing, at - 1):  # A heading stands with its first row.
            blocks[-1].append(strip)
        else:
            blocks.append([strip])
    blocks += [[Strip(LINE + GAP, partial(lines_down, paper, MARGIN, [line]))]
               for said in listing.said for line in paper.folded(said, wide, NOTE)]  # fmt: skip
    bottom = paper.down - MARGIN - FOOT
    pages = dealt(blocks, bottom - first_top(listing), bottom - LATER)
    for at, strips in enumerate(pages):
        if at:
            paper.next_page()
        top = head(paper, listing, stops, first=not at)
        for strip in strips:
            strip.draw(top)
            top += strip.tall
        paper.text(
            paper.across - MARGIN,
            paper.down - MARGIN,
            word("page {at} of {many}", at=at + 1, many=len(pages)),
            NOTE,
            align="right",
        )


def first_top(listing: Listing) -> float:
    """Where the rows of the first page begin: below the title, whom it goes to and who sends it."""
    return FIRST + LINE * max(len(listing.to) + bool(listing.to), len(listing.ours) - 3, 0)


def stops_of(paper: Paper, listing: Listing, wide: float) -> list[tuple[float, float]]:
    """Each column's left edge and width, mm: as shared out, but that a column whose texts are wider
    takes what others have to spare, so that nothing is cut off beside empty space."""
    whole = sum(share for _, share in listing.columns)
    shared = [wide * share / whole for _, share in listing.columns]
    wants = [wanted(paper, listing, at, given) for at, given in enumerate(shared)]
    lacks = [max(0.0, want - given) for want, given in zip(wants, shared, strict=True)]
    spare = [max(0.0, given - want) for want, given in zip(wants, shared, strict=True)]
    moved = min(sum(lacks), sum(spare))
    stops, x = [], MARGIN
    for given, lack, left in zip(shared, lacks, spare, strict=True):
        across = given + moved * (lack / (sum(lacks) or 1) - left / (sum(spare) or 1))
        stops.append((x, across - GUTTER))
        x += across
    return stops


def wanted(paper: Paper, listing: Listing, column: int, given: float) -> float:
    """How wide a column is to be, mm: as its widest text; one to write in as it is; the last one,
    which is folded, may give up a part."""
    cells = [row[column] for at, row in enumerate(listing.rows) if not is_heading(listing, at)]
    if WRITE in cells:
        return given
    if column == len(listing.columns) - 1 and column not in listing.right:
        return FOLDED * given
    texts = [paper.width(words, NOTE, bold=at in listing.bold)
             for at, words in enumerate(row[column] for row in listing.rows)
             if words != TICK and not is_heading(listing, at)]  # fmt: skip
    return (
        max([BOX, paper.width(word(listing.columns[column][0]), NOTE, bold=True), *texts])
        + GUTTER
        + ROUNDING
    )


def head(
    paper: Paper, listing: Listing, stops: Sequence[tuple[float, float]], *, first: bool
) -> float:
    """The heading and the columns' names; gives where the rows begin."""
    edge, top = paper.across - MARGIN, first_top(listing) if first else LATER
    half = (edge - MARGIN) * (0.6 if listing.ours else 1.0)
    if first:
        paper.text(MARGIN, 24, listing.title, LARGE, bold=True, within=half)
        paper.text(MARGIN, 31, listing.about, BODY, within=(edge - MARGIN) * 0.6)
        for row, line in enumerate(listing.to):
            paper.text(MARGIN, 37 + LINE * row, line, BODY, within=half)
        for row, line in enumerate(listing.ours or (listing.shop,)):
            y = 19 + LINE * row if listing.ours else 31
            paper.text(edge, y, line, BODY, bold=bool(listing.ours) and not row, align="right",
                       within=(edge - MARGIN) * 0.35)  # fmt: skip
    else:
        paper.text(MARGIN, 18, listing.title, BODY, bold=True, within=edge - MARGIN)
    for at, (code, _) in enumerate(listing.columns):
        name = word(code)
        cell(paper, stops[at], top - 4.5, name, at in listing.right, bold=True)
    paper.line((MARGIN, top - 2.5), (edge, top - 2.5), 0.5)
    return top


def cell(
    paper: Paper, stop: tuple[float, float], y: float, words: str, right: bool, *,
    bold: bool = False,
) -> None:  # fmt: skip
    """A text in its column, or a box."""
    x, wide = stop
    if words in (TICK, WRITE):
        paper.box(x, y - 4.0, BOX if words == TICK else wide, BOX)
    elif right:
        paper.text(x + wide, y, words, NOTE, bold=bold, align="right", within=wide)
    else:
        paper.text(x, y, words, NOTE, bold=bold, within=wide)


def row_strip(
    paper: Paper, listing: Listing, at: int, stops: Sequence[tuple[float, float]]
) -> Strip:
    """A row: one line for each column but the last, which takes as many as it needs. A heading
    stands alone in its row and may run through all columns."""
    row, bold = listing.rows[at], at in listing.bold
    x, wide = stops[-1]
    folded = paper.folded(row[-1], wide, NOTE)
    boxed = any(words in (TICK, WRITE) for words in row)
    tall = max(LINE * len(folded) + GAP + 1.6 * boxed, (BOX + 2.0) * boxed) + GAP * bold
    alone = is_heading(listing, at)

    def draw(top: float) -> None:
        base = top + 3 + 1.6 * boxed + GAP * bold
        if alone:
            paper.text(MARGIN, base, row[0], BODY, bold=True, within=paper.across - 2 * MARGIN)
        for column, words in enumerate(row[:-1] if not alone else ()):
            cell(paper, stops[column], base, words, column in listing.right, bold=bold)
        if row[-1] in (TICK, WRITE) or len(listing.rows[at]) - 1 in listing.right:
            cell(paper, stops[-1], base, row[-1], len(row) - 1 in listing.right, bold=bold)
        else:
            lines_down(paper, x, folded, base - 3)
        low = top + tall - GAP + 0.8
        paper.line((MARGIN, low), (paper.across - MARGIN, low), 0.05)

    return Strip(tall, draw)


def is_heading(listing: Listing, at: int) -> bool:
    """Whether a row is a heading of those below it."""
    return at in listing.bold and not any(listing.rows[at][1:])


def lines_down(paper: Paper, x: float, lines: Sequence[str], top: float) -> None:
    """Lines of small type, one below another."""
    for row, line in enumerate(lines):
        paper.text(x, top + 3 + LINE * row, line, NOTE)
