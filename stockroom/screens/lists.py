"""Lists: as a table for the eye, as CSV or JSON for scripts."""

import csv
import json
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Literal

from stockroom.files.csv_rows import harmless as safe_text
from stockroom.screens.console import print_table
from stockroom.screens.fitted_table import Heading
from stockroom.screens.pager import paging
from stockroom.words.languages import translated

__all__ = ["Column", "show_rows"]

Cell = str | int | bool | date | Decimal | None


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its name for scripts, its heading and how the eye is shown a cell.

    Cells of a column that ``wraps`` may take several lines; the others never do. A column may be
    for the eye alone, or for scripts alone; a ``spare`` one is left out where room is scarce.
    """

    name: str
    heading: str
    align: Literal["left", "right"] = "left"
    show: Callable[[Any], str] | None = None
    wraps: bool = False
    seen_by: Literal["all", "eye", "script"] = "all"
    spare: bool = False


def show_rows(columns: Sequence[Column], rows: Sequence[Sequence[Cell]], how: str) -> None:
    """Prints rows as a table, CSV or JSON; scripts get plain values under the columns' names."""
    reader = "eye" if how == "table" else "script"
    chosen = [i for i, column in enumerate(columns) if column.seen_by in ("all", reader)]
    columns = [columns[i] for i in chosen]
    rows = [[row[i] for i in chosen] for row in rows]
    if how == "json":
        objects = [dict(zip((c.name for c in columns), map(plain, row), strict=True))
                   for row in rows]  # fmt: skip
        print("".join(c if c.isprintable() or c == "\n" else json.dumps(c)[1:-1]
                      for c in json.dumps(objects, indent=1, ensure_ascii=False)))  # fmt: skip
    elif how == "csv":
        writer = csv.writer(sys.stdout, lineterminator="\n")
        writer.writerow([column.name for column in columns])
        writer.writerows([harmless(plain(cell)) for cell in row] for row in rows)
    elif rows:
        headings = [Heading(translated(c.heading), c.align, c.wraps, c.spare) for c in columns]
        with paging():
            print_table(headings, list(zip(*map(shown, columns, zip(*rows, strict=True)),
                                           strict=True)))  # fmt: skip


def plain(cell: Cell) -> str | int | float | bool | None:
    """A cell as scripts get it."""
    if isinstance(cell, Decimal):
        return float(cell)
    return cell.isoformat() if isinstance(cell, date) else cell


def harmless(cell: str | int | float | bool | None) -> str | int | float:
    """A cell that no spreadsheet takes for a formula."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    return safe_text(cell) if isinstance(cell, str) else cell


def shown(column: Column, cells: Sequence[Cell]) -> list[str]:
    """A column's cells as the eye is shown them, each value once: of many most are alike."""
    values = {(type(cell), str(cell)): cell for cell in cells}
    told = {value: seen(column, cell) for value, cell in values.items()}
    return [told[type(cell), str(cell)] for cell in cells]


def seen(column: Column, cell: Cell) -> str:
    """A cell as the eye is shown it."""
    if cell is None:
        return ""
    if column.show is not None:
        return column.show(cell)
    if isinstance(cell, Decimal):
        return f"{cell:f}"
    return str(harmless(cell)) if isinstance(cell, bool) else str(plain(cell))
