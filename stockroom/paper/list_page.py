"""A list on paper: a heading, columns, and rows as high as their longest text."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial

from stockroom.paper.page import BODY, LARGE, MARGIN, SMALL, Paper
from stockroom.paper.strips import Strip, dealt

__all__ = ["Listing", "list_page"]

FIRST, LATER, FOOT = 43.0, 30.0, 8.0
LINE, GAP, GUTTER = 4.2, 2.0, 4.0


@dataclass(frozen=True, slots=True)
class Listing:
    """What is listed: columns as heading and share of the width, rows of as many texts, and what
    is said below them. Columns in ``right`` end at their right edge; the last one is folded.

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

    def __post_init__(self) -> None:
        for row in self.rows:
            if len(row) != len(self.columns):
                raise ValueError(f"{len(row)} texts for {len(self.columns)} columns")


def list_page(listing: Listing, day: date, size: str = "a4") -> bytes:
    """The list as a PDF, the same bytes for the same list on the same day.

    Raises:
        ValueError: there is no such page size.
    """
    paper = Paper(listing.title, size, day)
    wide = paper.across - 2 * MARGIN
    stops = stops_of(listing, wide)
    blocks = [[row_strip(paper, listing, row, stops)] for row in listing.rows]
    blocks += [[Strip(LINE + GAP, partial(lines_down, paper, MARGIN, [line]))]
               for said in listing.said for line in paper.folded(said, wide, SMALL)]  # fmt: skip
    bottom = paper.down - MARGIN - FOOT
    pages = dealt(blocks, bottom - FIRST, bottom - LATER)
    for at, strips in enumerate(pages):
        if at:
            paper.next_page()
        top = head(paper, listing, stops, first=not at)
        for strip in strips:
            strip.draw(top)
            top += strip.tall
        paper.text(paper.across - MARGIN, paper.down - MARGIN, f"page {at + 1} of {len(pages)}",
                   SMALL, align="right")  # fmt: skip
    return paper.finish()


def stops_of(listing: Listing, wide: float) -> list[tuple[float, float]]:
    """Each column's left edge and width, mm."""
    whole = sum(share for _, share in listing.columns)
    stops, x = [], MARGIN
    for _, share in listing.columns:
        stops.append((x, wide * share / whole - GUTTER))
        x += wide * share / whole
    return stops


def head(
    paper: Paper, listing: Listing, stops: Sequence[tuple[float, float]], *, first: bool
) -> float:
    """The heading and the columns' names; gives where the rows begin."""
    edge, top = paper.across - MARGIN, FIRST if first else LATER
    if first:
        paper.text(MARGIN, 24, listing.title, LARGE, bold=True, within=edge - MARGIN)
        paper.text(MARGIN, 31, listing.about, BODY, within=(edge - MARGIN) * 0.6)
        paper.text(edge, 31, listing.shop, BODY, align="right", within=(edge - MARGIN) * 0.35)
    else:
        paper.text(MARGIN, 18, listing.title, BODY, bold=True, within=edge - MARGIN)
    for at, (name, _) in enumerate(listing.columns):
        cell(paper, stops[at], top - 4.5, name, at in listing.right, bold=True)
    paper.line((MARGIN, top - 2.5), (edge, top - 2.5), 0.5)
    return top


def cell(
    paper: Paper, stop: tuple[float, float], y: float, words: str, right: bool, *,
    bold: bool = False,
) -> None:  # fmt: skip
    """A text in its column."""
    x, wide = stop
    if right:
        paper.text(x + wide, y, words, SMALL, bold=bold, align="right", within=wide)
    else:
        paper.text(x, y, words, SMALL, bold=bold, within=wide)


def row_strip(
    paper: Paper, listing: Listing, row: Sequence[str], stops: Sequence[tuple[float, float]]
) -> Strip:
    """A row: one line for each column but the last, which takes as many as it needs."""
    x, wide = stops[-1]
    folded = paper.folded(row[-1], wide, SMALL)

    def draw(top: float) -> None:
        for at, words in enumerate(row[:-1]):
            cell(paper, stops[at], top + 3, words, at in listing.right)
        lines_down(paper, x, folded, top)
        low = top + LINE * len(folded) + 0.8
        paper.line((MARGIN, low), (paper.across - MARGIN, low), 0.05)

    return Strip(LINE * len(folded) + GAP, draw)


def lines_down(paper: Paper, x: float, lines: Sequence[str], top: float) -> None:
    """Lines of small type, one below another."""
    for row, line in enumerate(lines):
        paper.text(x, top + 3 + LINE * row, line, SMALL)
