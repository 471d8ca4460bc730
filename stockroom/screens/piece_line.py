"""A piece drawn in proportion, in one line of characters: rails, saw losses, flaws, what is left.

A rail is drawn ``/── J12 ──\\``: its back edge, with the long points, is the lower one. Parts keep
their places to within a column; what is too narrow for its name is named in the list below.
"""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from stockroom.screens.console import clean, width_of
from stockroom.views.sheet import Part, SheetPiece
from stockroom.views.sheet_rows import rail_rows
from stockroom.words.language import word

if TYPE_CHECKING:
    from stockroom.screens.console import Span
    from stockroom.settings.shop_settings import Settings
    from stockroom.views.rack_row import RackRow

__all__ = ["LABEL_END", "bar", "rails_listed"]

LABEL_END = "► "
"""Stands before the end of a drawn piece that its label is on."""

FILLS = {"trim": ("▏", "dim"), "flaw": ("×", "bold red"), "saw": ("│", "dim"),
         "leftover": ("·", "green"), "scrap": ("░", "dim")}  # fmt: skip


def bar(piece: "SheetPiece | RackRow", settings: "Settings", columns: int) -> "list[Span]":
    """The piece in this many columns, as styled runs."""
    runs: list[Span] = []
    for part, start, end in placed(piece, columns):
        cells = end - start
        if cells:
            runs.append(drawn(part, cells, settings))
    return runs


def placed(piece: "SheetPiece | RackRow", columns: int) -> Iterator[tuple[Part, int, int]]:
    """Each part with its first column and the one after its last, to the nearest column."""
    for part in piece.parts:
        yield part, cell(part.start, piece, columns), cell(part.start + part.length, piece, columns)


def cell(at: int, piece: "SheetPiece | RackRow", columns: int) -> int:
    """The column where a point of the piece falls."""
    return (2 * at * columns + piece.length) // (2 * piece.length)


def drawn(part: Part, cells: int, settings: "Settings") -> "Span":
    """One part in this many columns."""
    if part.kind == "rail":
        return rail(part, cells), "bold"
    fill, style = FILLS[part.kind]
    label = f" {settings.stock(part.length)} " if part.kind in ("leftover", "scrap") else ""
    return centred(label, cells, fill), style


def rail(part: Part, cells: int) -> str:
    """A rail with its mitres: the long points are below, on the back edge."""
    first, last = ("/" if part.angles[0] else "[", "\\" if part.angles[1] else "]")
    if cells == 1:
        return first
    return f"{first}{centred(clean(part.frame, 12), cells - 2, '─')}{last}"


def centred(label: str, cells: int, fill: str) -> str:
    """A label in the middle of a run; none where it does not fit."""
    spare = cells - width_of(label)
    if spare < 0:
        return fill * cells
    return f"{fill * (spare // 2)}{label}{fill * (spare - spare // 2)}"


def rails_listed(piece: SheetPiece, settings: "Settings") -> list[str]:
    """The rails in cutting order, equal neighbours of a job together, first what the machine's
    stop reads of them: ``2 × 26 1/8 J12 (inside 24 1/8, sight 23 5/8)``, ``8 × 20 J3.1..4``."""
    listed: list[str] = []
    for row in rail_rows(piece, settings):
        count = f"{row.many} × " if row.many > 1 else ""
        frame = clean(word(row.whose), 24)
        small = f" ({', '.join(map(word, row.also))})" if row.also else ""
        listed.append(f"{count}{row.read} {frame}{small}{' (!)' if row.held else ''}")
    return listed
