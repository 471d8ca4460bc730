"""CSV files that come in: every fault found and listed by its row, before anything is done.

Cells may be parted by commas, semicolons or tabs: which, the header tells.
"""

import csv
import io
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Generic, TypeVar

from stockroom.facts import Fact, Tellable
from stockroom.refusals import BadFile, StockroomError
from stockroom.remedies import Remedy

__all__ = [
    "FORMULA",
    "Parsed",
    "csv_text",
    "harmless",
    "how_parted",
    "in_order",
    "parse_rows",
    "raise_faults",
    "read_rows",
]

FORMULA = ("=", "+", "-", "@", "\t", "\r", "\uff1d", "\uff0b", "\uff0d", "\uff20")
"""Signs that a spreadsheet takes for a formula's beginning; the last four are fullwidth."""
LARGEST_BYTES = 50_000_000
MOST_ROWS = 100_000
SEPARATORS = {",": "parted_by_commas", ";": "parted_by_semicolons", "\t": "parted_by_tabs"}
DECIMAL = re.compile(r"-?\d+\.\d+", re.ASCII)
Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class Parsed(Generic[Value]):
    """Rows that were understood, each with its row number, and the faults of the others."""

    values: tuple[tuple[int, Value], ...]
    faults: tuple[tuple[int, Tellable], ...]


def read_rows(
    path: Path, required: Sequence[str], optional: Sequence[str] = ()
) -> list[tuple[int, dict[str, str]]]:
    """The rows of a file with their numbers (the header is row 1); empty cells are left out.

    Raises:
        BadFile: it is missing, no UTF-8 text, too large, or its header is wrong.
    """
    text = read_text(path)
    separator = separator_of(text, (*required, *optional))
    reader = csv.reader(io.StringIO(text, newline=""), strict=True, delimiter=separator)
    try:
        header = [cell.strip().lower() for cell in next(reader, [])]
        check_header(path, header, required, optional)
        full = (cells for cells in reader if any(cell.strip() for cell in cells))
        rows = [(reader.line_num, cells) for cells in islice(full, MOST_ROWS + 1)]
    except csv.Error as error:
        fault = Fact("not_csv", {"why": str(error)})
        raise BadFile(str(path), [(reader.line_num, fault)]) from error
    if len(rows) > MOST_ROWS:
        fault = Fact("too_many_rows", {"most": MOST_ROWS})
        raise BadFile(str(path), [(0, fault)], "split_it")
    faults = [(row, Fact("cells_and_header", {"cells": len(cells), "header": len(header),
                                              "parted": Fact(SEPARATORS[separator])}))
              for row, cells in rows if len(cells) != len(header)]  # fmt: skip
    faults += [(row, fault) for row, cells in rows for fault in cell_faults(header, cells)]
    if faults:
        raise BadFile(str(path), in_order(faults), "mend_rows_untaken")
    return [
        (
            row,
            {name: undone(cell) for name, cell in zip(header, cells, strict=True) if cell.strip()},
        )
        for row, cells in rows
    ]


def separator_of(text: str, known: Sequence[str]) -> str:
    """What parts the cells: the mark by which most of the header's names are known columns."""
    header = text.partition("\n")[0]

    def names(mark: str) -> int:
        return sum(name.strip(' \r"').lower() in known for name in header.split(mark))

    return max(SEPARATORS, key=names)


def how_parted(path: Path) -> Fact | None:
    """What parts the cells of a file that was read, where that is no comma."""
    header = read_text(path).partition("\n")[0] if path.is_file() else ""
    mark = max(SEPARATORS, key=header.count)
    return None if mark == "," else Fact(SEPARATORS[mark])


def read_text(path: Path) -> str:
    """The file's text.

    Raises:
        BadFile: it cannot be read, is too large, or is no UTF-8 text.
    """
    try:
        # A device has no size that it tells, and may never end.
        with path.open("rb") as file:
            held = file.read(LARGEST_BYTES + 1)
        if len(held) > LARGEST_BYTES:
            raise BadFile(str(path), [(0, Fact("file_too_large"))], "split_it")
        return held.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        fault = Fact("not_utf8", {"byte": error.start + 1})
        raise BadFile(str(path), [(0, fault)], "save_as_utf8") from error
    except OSError as error:
        fault = Fact("file_cannot_be_read", {"why": error.strerror})
        raise BadFile(str(path), [(0, fault)], "check_path") from error


def check_header(
    path: Path, header: Sequence[str], required: Sequence[str], optional: Sequence[str]
) -> None:
    """The header names each required column once, and none that is not known."""
    wrong = {
        "column_missing": [name for name in required if name not in header],
        "column_unknown": [name for name in header if name not in (*required, *optional)],
        "column_twice": [name for name in dict.fromkeys(header) if header.count(name) > 1],
    }
    if any(wrong.values()):
        faults = [(1, Fact(code, {"column": name})) for code, names in wrong.items()
                  for name in names]  # fmt: skip
        known = (*required, *(f"[{name}]" for name in optional if name not in required))
        raise BadFile(str(path), faults, "give_columns", columns=known)


def cell_faults(header: Sequence[str], cells: Sequence[str]) -> list[Fact]:
    """What no cell may hold: a spreadsheet's formula, a control character."""
    faults = []
    for name, cell in zip(header, cells, strict=False):
        if cell.startswith(FORMULA):
            faults.append(Fact("cell_is_formula", {"column": name, "cell": cell}))
        elif any(not c.isprintable() for c in cell):
            faults.append(Fact("cell_cannot_be_printed", {"column": name, "cell": cell}))
    return faults


def undone(cell: str) -> str:
    """A cell without the apostrophe that keeps a spreadsheet from taking it as a formula."""
    cell = cell.strip()
    return cell[1:] if cell[:1] == "'" and is_formula(cell) else cell


def is_formula(cell: str) -> bool:
    """True where a spreadsheet would take a cell for a formula, but for apostrophes before it."""
    return cell.lstrip("'").startswith(FORMULA)


def harmless(cell: str) -> str:
    """A text that no spreadsheet takes for a formula, and that reads back as it was.

    A character that commands a screen, which nobody could type, is no more than a mark for one.
    """
    safe = cell if cell.isprintable() else "".join(
        c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in cell
    )  # fmt: skip
    return f"'{safe}" if is_formula(safe) else safe


def csv_text(
    columns: Sequence[str], rows: Iterable[Mapping[str, str]], separator: str = ","
) -> str:
    """Rows as the text of a CSV file that reads back to the same rows.

    Where semicolons part the cells, numbers have decimal commas, as such spreadsheets want them.
    """

    def cell(value: str) -> str:
        decimal = separator == ";" and DECIMAL.fullmatch(value)
        return value.replace(".", ",") if decimal else harmless(value)

    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n", delimiter=separator)
    writer.writerow(columns)
    writer.writerows([cell(row.get(name, "")) for name in columns] for row in rows)
    return text.getvalue()


def parse_rows(
    rows: Sequence[tuple[int, dict[str, str]]], parse: Callable[[dict[str, str]], Value]
) -> Parsed[Value]:
    """Each row as a value, or its fault."""
    values: list[tuple[int, Value]] = []
    faults: list[tuple[int, Tellable]] = []
    for row, cells in rows:
        try:
            values.append((row, parse(cells)))
        except StockroomError as error:
            faults.append((row, error))
    return Parsed(tuple(values), tuple(faults))


def in_order(faults: Iterable[tuple[int, Tellable]]) -> list[tuple[int, Tellable]]:
    """Faults in the order of their rows."""
    return sorted(faults, key=lambda fault: fault[0])


def raise_faults(path: Path, faults: Sequence[tuple[int, Tellable]], remedy: str | Remedy) -> None:
    """Refuses the whole file where it has a fault.

    Raises:
        BadFile: it has.
    """
    if faults:
        raise BadFile(str(path), in_order(faults), remedy)
