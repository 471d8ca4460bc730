"""The terminal: the only place that knows Rich. Data to standard output, messages to error.

Colour is left out for pipes, dumb terminals and NO_COLOR; what is drawn never needs it. Text from
the record is cleaned first, so that no name can move the cursor or turn the line around.
"""

import os
import sys
import unicodedata
from collections.abc import Iterable, Sequence
from contextlib import AbstractContextManager, nullcontext
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from rich.console import Console

__all__ = ["Span", "clean", "folded", "print_spans", "print_table", "spinner", "width", "width_of"]

Span = tuple[str, str]
"""A run of text and its style: '' or words such as 'bold', 'dim', 'green'."""
NARROWEST, WIDEST = 48, 132


def clean(text: str, limit: int = 200) -> str:
    """Text that may be printed anywhere: no control or direction characters, at most ``limit``."""
    safe = "".join(c if keeps_place(c) else "\N{REPLACEMENT CHARACTER}" for c in text[:limit])
    return safe if len(text) <= limit else f"{safe[:-1]}…"


def keeps_place(char: str) -> bool:
    """True for a character that prints where it stands and moves nothing else."""
    return char == " " or not unicodedata.category(char).startswith(("C", "Z"))


def console(stream: Literal["out", "err"] = "out") -> "Console":
    """A console on standard output or standard error, as wide as the terminal is."""
    from rich.console import Console

    file = sys.stdout if stream == "out" else sys.stderr
    return Console(file=file, highlight=False, markup=False, emoji=False, soft_wrap=False)


def width() -> int:
    """Columns to draw in: the terminal's, between 48 and 132; 80 where there is none."""
    columns = os.environ.get("COLUMNS", "")
    if columns.isdecimal() and int(columns) > 0:
        found = int(columns)
    elif sys.stdout.isatty():
        found = console().width
    else:
        found = 80
    return max(NARROWEST, min(WIDEST, found))


def width_of(text: str) -> int:
    """How many columns a text takes; a wide script's letters take two."""
    from rich.cells import cell_len

    return cell_len(text)


def folded(text: str, columns: int) -> list[str]:
    """A text in lines of at most this many columns, broken between words where it can be."""
    from rich.text import Text

    lines = Text(text).wrap(console(), columns, overflow="fold")
    return [line.plain.rstrip() for line in lines]


def plain_only(stream: Any) -> bool:
    """True where the stream cannot show box-drawing characters."""
    encoding = getattr(stream, "encoding", None) or "ascii"
    try:
        "─│·×░█".encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return True
    return False


ASCII = str.maketrans({"─": "-", "│": "|", "·": ".", "×": "x", "░": "#", "…": "~", "▏": "|",
                       "█": "#", "\N{REPLACEMENT CHARACTER}": "?"})  # fmt: skip


def print_spans(lines: Iterable[Sequence[Span]]) -> None:
    """Prints lines of styled runs; a line is never wrapped."""
    from rich.text import Text

    out = console()
    plain = plain_only(sys.stdout)
    for line in lines:
        text = Text(no_wrap=True, overflow="ignore", end="")
        for run, style in line:
            text.append(run.translate(ASCII) if plain else run, style=style or None)
        text.rstrip()
        out.print(text, crop=False, overflow="ignore", no_wrap=True)


def print_table(
    headings: Sequence[tuple[str, Literal["left", "right"], bool]], rows: Sequence[Sequence[str]]
) -> None:
    """Prints a table: each heading with its side, and whether its cells may wrap."""
    from rich import box
    from rich.table import Table
    from rich.text import Text

    plain = plain_only(sys.stdout)
    table = Table(box=box.ASCII2 if plain else box.SIMPLE_HEAD, pad_edge=False, show_edge=False,
                  header_style="bold", padding=(0, 1, 0, 0))  # fmt: skip
    for heading, align, wraps in headings:
        table.add_column(
            Text(heading),
            justify=align,
            overflow="fold",
            no_wrap=not wraps,
            min_width=12 if wraps else None,
        )
    for row in rows:
        cells = [clean(cell, 400) for cell in row]
        table.add_row(*(Text(cell.translate(ASCII) if plain else cell) for cell in cells))
    out = console()
    out.width = width()
    out.print(table)


def spinner(message: str) -> "AbstractContextManager[Any]":
    """A sign on standard error that work goes on, on a terminal only."""
    err = console("err")
    return err.status(message) if err.is_terminal else nullcontext()
