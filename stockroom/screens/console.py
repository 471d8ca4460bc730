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

from stockroom.words.languages import translated

if TYPE_CHECKING:
    from rich.console import Console

    from stockroom.screens.fitted_table import Heading

__all__ = ["GAP", "Span", "clean", "folded", "print_spans", "print_table", "spinner", "width",
           "width_of"]  # fmt: skip

Span = tuple[str, str]
"""A run of text and its style: '' or words such as 'bold', 'dim', 'green'."""
NARROWEST, WIDEST = 40, 132
LONGEST_CELL = 4_000
GAP = 2
"""Columns between two of a table's."""


def clean(text: str, limit: int = 200) -> str:
    """Text that may be printed anywhere: no control or direction characters, at most ``limit``."""
    safe = text[:limit]
    if not (safe.isascii() and safe.isprintable()):
        safe = "".join(c if keeps_place(c) else "\N{REPLACEMENT CHARACTER}" for c in safe)
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
    """Columns to draw in: the terminal's, between 40 and 132; 80 where there is none."""
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
    if text.isascii() and text.isprintable():
        return len(text)
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
        for told, style in line:
            run = clean(told, LONGEST_CELL)
            text.append(run.translate(ASCII) if plain else run, style=style or None)
        text.rstrip()
        out.print(text, crop=False, overflow="ignore", no_wrap=True)


def print_table(headings: "Sequence[Heading]", rows: Sequence[Sequence[str]]) -> None:
    """Prints a table as wide as the terminal is, or row by row where it is too narrow."""
    from stockroom.screens.fitted_table import alike_in_all, fit

    plain = plain_only(sys.stdout)
    # Each text once: of many thousand cells most say what others do.
    safe = {cell: clean(cell, LONGEST_CELL) for cell in {cell for row in rows for cell in row}}
    if plain:
        safe = {cell: told.translate(ASCII) for cell, told in safe.items()}
    shown = [[safe[cell] for cell in row] for row in rows]
    chosen, widths = fit(headings, shown, width())
    if not chosen and (alike := alike_in_all(shown)):
        # What all rows have alike is told once, above: the rest may fit.
        rest = [place for place in range(len(headings)) if place not in alike]
        headings_left = [headings[place] for place in rest]
        left = [[row[place] for place in rest] for row in shown]
        if fit(headings_left, left, width())[0]:
            print_blocks([headings[place].text for place in alike],
                         [[shown[0][place] for place in alike]])  # fmt: skip
            print_table(headings_left, left)
            return
    if not chosen:
        print_blocks([heading.text for heading in headings], shown)
        return
    print_columns([headings[i] for i in chosen], [[row[i] for i in chosen] for row in shown],
                  widths)  # fmt: skip
    gone = [heading.text for i, heading in enumerate(headings)
            if heading.text and i not in chosen]  # fmt: skip
    if gone:
        said = f"Left out for want of room: {', '.join(gone)}. All: a wider window, or --as csv."
        print_spans([[(line, "dim")] for line in folded(said, width())])


def print_columns(
    headings: "Sequence[Heading]", rows: Sequence[Sequence[str]], widths: Sequence[int]
) -> None:
    """Prints a table whose columns are as wide as told."""
    out, sides = console(), [heading.align for heading in headings]
    between, rule, joint = (" |", "-", "-+") if plain_only(sys.stdout) else (" " * GAP, "─", "──")
    heads = row_lines([heading.text for heading in headings], widths, sides, between, low=True)
    out.out("\n".join(heads), style="bold", highlight=False)
    told = [joint.join(rule * columns for columns in widths)]
    # Each text of a column once, and only rows with one that is too wide for it are folded.
    texts = [set(column) for column in zip(*rows, strict=True)]
    fitted = [{cell: padded(cell, columns, side) for cell in of}
              for of, columns, side in zip(texts, widths, sides, strict=True)]  # fmt: skip
    wide = {cell for of, columns in zip(texts, widths, strict=True) for cell in of
            if width_of(cell) > columns}  # fmt: skip
    for row in rows:
        if wide.isdisjoint(row):
            told.append(between.join(map(dict.__getitem__, fitted, row)).rstrip())
        else:
            told += row_lines(row, widths, sides, between)
    # Straight on: a library that looks for styles in it takes as long as all the rest.
    out.file.write("\n".join([*told, ""]))
    out.file.flush()  # Before what is told of it, which goes another way.


def row_lines(
    cells: Sequence[str], widths: Sequence[int], sides: Sequence[str], between: str, *,
    low: bool = False,
) -> list[str]:  # fmt: skip
    """A row of a table in lines, ``low`` ones ending together; a cell wider than its column is
    folded."""
    lines = [folded(cell, columns) if width_of(cell) > columns else [cell]
             for cell, columns in zip(cells, widths, strict=True)]  # fmt: skip
    most = max(map(len, lines), default=1)
    lines = [[""] * (most - len(cell)) * low + cell + [""] * (most - len(cell)) for cell in lines]
    told = [
        between.join(
            padded(cell[at], columns, side)
            for cell, columns, side in zip(lines, widths, sides, strict=True)
        )
        for at in range(most)
    ]
    return [line.rstrip() for line in told]


def padded(text: str, columns: int, side: str) -> str:
    """A text with room at its other side, so that it takes so many columns."""
    room = " " * (columns - width_of(text))
    return room + text if side == "right" else text + room


def print_blocks(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """Prints rows one by one, each cell after its heading, as many to a line as it takes."""
    lines: list[str] = []
    for row in rows:
        lines += [""] * bool(lines)
        line = ""
        for heading, cell in zip(headings, row, strict=True):
            told = f"{heading}: {cell}" if heading else cell
            if line and width_of(f"{line}   {told}") > width():
                lines += block_lines(line)
                line = ""
            if cell:
                line = f"{line}   {told}" if line else told
        lines += block_lines(line)
    print_spans([[(line, "")] for line in lines])


def block_lines(told: str) -> list[str]:
    """What is told in lines, the later ones set in."""
    first, *rest = folded(told, width())
    return [first, *(f"  {line}" for line in folded(" ".join(rest), width() - 2) if line)]


def spinner(message: str) -> "AbstractContextManager[Any]":
    """A sign on standard error that work goes on, on a terminal only."""
    err = console("err")
    return err.status(translated(message)) if err.is_terminal else nullcontext()
