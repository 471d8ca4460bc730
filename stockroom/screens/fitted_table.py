"""How a table fits its columns of the terminal: folded, fewer columns, or row by row; never cut.

A number, a code, a date or a word always stands whole in one line, if the terminal is that wide.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from stockroom.screens.console import GAP, width_of

__all__ = ["Heading", "alike_in_all", "fit"]

ROOMY = 20
"""A column of sentences is not folded to fewer columns than this while another way is left."""


@dataclass(frozen=True, slots=True)
class Heading:
    """A column's heading, its side, whether its cells are sentences that may fold, and whether it
    is the first to go where the terminal is narrow."""

    text: str
    align: Literal["left", "right"] = "left"
    wraps: bool = False
    spare: bool = False


def fit(
    headings: Sequence[Heading], rows: Sequence[Sequence[str]], columns: int
) -> tuple[list[int], list[int]]:
    """The table's columns that are shown, by their places, and how wide each is.

    Nothing, where the rows have to be shown one by one. Spare columns go first, the last of them
    before the others.
    """
    chosen = list(range(len(headings)))
    while True:
        widths = widths_of([headings[i] for i in chosen],
                           [[row[i] for i in chosen] for row in rows], columns)  # fmt: skip
        if widths:
            return chosen, widths
        spare = [i for i in chosen if headings[i].spare]
        if not spare:
            return [], []
        chosen.remove(spare[-1])


def alike_in_all(rows: Sequence[Sequence[str]]) -> list[int]:
    """The places of the columns that say the same in all of several rows; none where all do."""
    found = [place for place, cells in enumerate(zip(*rows, strict=True)) if len({*cells}) == 1]
    return found if len(rows) > 1 and len(found) < len(rows[0]) else []


def widths_of(
    headings: Sequence[Heading], rows: Sequence[Sequence[str]], columns: int
) -> list[int]:
    """How wide each column is, or nothing where they do not all fit."""
    room = columns - GAP * (len(headings) - 1)
    whole, least = [], []
    for place, heading in enumerate(headings):
        cells = {row[place] for row in rows}
        widest = max(map(width_of, cells), default=0)
        head = max(map(width_of, heading.text.split()), default=0)
        whole.append(max(widest, head))
        folded = max(longest_word(cells), min(widest, ROOMY)) if heading.wraps else widest
        least.append(max(folded, head))
    if sum(least) > room:
        return []
    with_heads = [max(width, width_of(heading.text))
                  for width, heading in zip(whole, headings, strict=True)]  # fmt: skip
    return spread(least, with_heads, room)


def longest_word(cells: Iterable[str]) -> int:
    """How many columns the longest word takes."""
    return max((width_of(word) for cell in cells for word in cell.split()), default=0)


def spread(least: Sequence[int], most: Sequence[int], room: int) -> list[int]:
    """The room given to columns, each from its least to its most, the narrowest first."""
    widths = list(least)
    left = room - sum(widths)
    growing = [i for i in range(len(widths)) if widths[i] < most[i]]
    while left > 0 and growing:
        growing.sort(key=lambda i: (widths[i], i))
        widths[growing[0]] += 1
        left -= 1
        growing = [i for i in growing if widths[i] < most[i]]
    return widths
