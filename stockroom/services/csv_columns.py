"""The columns of the shop's CSV files: each once, with how it is read and how it is written.

What is written reads back to the same value.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from stockroom.facts import FieldName
from stockroom.refusals import Refused, StockroomError, Unreadable
from stockroom.services.shop import Shop
from stockroom.settings.machines import known_machine
from stockroom.settings.wait_cost import read_wait
from stockroom.units.dates import WEEKDAYS, weekday_of
from stockroom.units.decimals import yes_or_no
from stockroom.units.lengths import Micrometres, Rounding, Unit, exact_length, parse_length
from stockroom.units.money import format_money, parse_money
from stockroom.units.price_breaks import read_breaks

__all__ = [
    "BREAKS",
    "COUNT",
    "DAY",
    "LENGTH",
    "LENGTH_DOWN",
    "LENGTH_UP",
    "MACHINE",
    "MONEY",
    "NUMBER",
    "PAST_DAY",
    "TEXT",
    "WAIT",
    "WEEKDAY",
    "YES",
    "Cell",
    "Field",
    "count_of",
    "names_of",
    "needed",
    "read_cell",
    "read_row",
    "said",
    "written_row",
]  # fmt: skip

Row = dict[str, str]


@dataclass(frozen=True, slots=True)
class Cell:
    """How a cell is read, and how a value is written; nothing is an empty cell."""

    read: Callable[[str, Shop], Any]
    write: Callable[[Any, Shop], str]


@dataclass(frozen=True, slots=True)
class Field:
    """A column by its name in the file, the field of the value that it tells, and its cells.

    ``needed`` ones must be told; another that is not told is ``empty``. ``kept`` is the field of
    the record's own row, where that has another name.
    """

    name: str
    field: str
    cell: Cell
    needed: bool = False
    empty: Any = None
    kept: str = ""


def count_of(text: str) -> int:
    """A whole number, not below nothing.

    Raises:
        Unreadable: it is none.
    """
    if not (text.strip().isascii() and text.strip().isdecimal() and len(text.strip()) < 6):
        raise Unreadable(text, "of_count")
    return int(text)


def number_told(text: str) -> int:
    """A piece's number.

    Raises:
        Unreadable: it is none.
    """
    if not (text.isascii() and text.isdecimal() and len(text) < 10):
        raise Unreadable(text, "of_piece_number")
    return int(text)


def said(um: Micrometres | None, unit: Unit) -> str:
    """A length that reads back to the same micrometre, however it is rounded."""
    if um is None:
        return ""
    text = exact_length(um, unit)
    if parse_length(text, unit, rounding="down") == um == parse_length(text, unit, rounding="up"):
        return text
    return exact_length(um, "mm")


def read_length(text: str, shop: Shop, rounding: Rounding = "nearest") -> Micrometres:
    """A length in the shop's unit, unless it names another."""
    return parse_length(text, shop.settings.unit, rounding=rounding)


def write_length(um: Micrometres, shop: Shop) -> str:
    """A length in the shop's unit, or in mm where that is exact."""
    return said(um, shop.settings.unit)


TEXT = Cell(lambda text, _: text, lambda value, _: value)
COUNT = Cell(lambda text, _: count_of(text), lambda value, _: str(value))
NUMBER = Cell(lambda text, _: number_told(text), lambda value, _: str(value))
YES = Cell(lambda text, _: yes_or_no(text), lambda value, _: "yes" if value else "no")
MONEY = Cell(lambda text, _: parse_money(text), lambda value, _: format_money(value))
LENGTH = Cell(read_length, write_length)
LENGTH_DOWN = Cell(partial(read_length, rounding="down"), write_length)
LENGTH_UP = Cell(partial(read_length, rounding="up"), write_length)
DAY = Cell(lambda text, shop: shop.day(text), lambda value, _: value.isoformat())
PAST_DAY = Cell(lambda text, shop: shop.day(text, past=True), lambda value, _: value.isoformat())
WEEKDAY = Cell(lambda text, _: weekday_of(text), lambda day, _: WEEKDAYS[day][0].capitalize())
MACHINE = Cell(lambda text, shop: known_machine(shop.settings, text), lambda value, _: value)
BREAKS = Cell(lambda text, _: read_breaks(text).typed, lambda value, _: value)
WAIT = Cell(lambda text, _: read_wait(text).typed, lambda value, _: value)


def names_of(columns: Sequence[Field]) -> tuple[str, ...]:
    """The columns' names, in order."""
    return tuple(column.name for column in columns)


def needed(columns: Sequence[Field]) -> tuple[str, ...]:
    """The names of the columns that must be told."""
    return tuple(column.name for column in columns if column.needed)


def read_cell(column: Field, shop: Shop, text: str) -> Any:
    """What a cell of a column tells; what is refused names the column.

    Raises:
        StockroomError: it is not understood.
    """
    try:
        return column.cell.read(text, shop)
    except StockroomError as error:
        error.column = column.name
        raise


def read_row(columns: Sequence[Field], cells: Mapping[str, str], shop: Shop) -> dict[str, Any]:
    """The fields that a row tells.

    Raises:
        Refused: a needed cell is empty.
        Unreadable: a cell is not understood.
    """
    if missing := [name for name in needed(columns) if not cells.get(name)]:
        raise Refused("row_lacks", missing=tuple(map(FieldName, missing)))
    return {
        column.field: read_cell(column, shop, cells[column.name])
        if cells.get(column.name) else column.empty
        for column in columns
    }  # fmt: skip


def written_row(columns: Sequence[Field], value: Any, shop: Shop) -> Row:
    """A row that reads back to this value."""
    found = {column: getattr(value, column.kept or column.field) for column in columns}
    return {
        column.name: "" if told is None else column.cell.write(told, shop)
        for column, told in found.items()
    }
