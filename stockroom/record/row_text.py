"""Rows as text, the same from either kind of database, and their hashes.

A stored value that is none of its column's kind is hashed as it lies there. A column that was
``added`` to a table later is in a row's text only where it differs from what the rows of before
hold, so that these keep their hashes, and a record is not sealed anew.
"""

import hashlib
import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from operator import eq
from typing import Any

from sqlalchemy import (
    JSON,
    Boolean,
    Column,
    ColumnElement,
    Date,
    DateTime,
    Integer,
    String,
    Table,
    Text,
    and_,
    cast,
    func,
    or_,
    select,
    text,
)
from sqlmodel import Session, SQLModel

from stockroom.record.columns import ADDED
from stockroom.record.databases.kind import DatabaseKind
from stockroom.record.databases.known_kinds import kind_of

__all__ = ["CHAINED", "Key", "Tables", "as_sealed", "cells", "entries_as_text", "hashed",
           "hashes_of", "row_as_text", "strange_cells", "streamed", "unshowable"]  # fmt: skip

Tables = Mapping[str, Table]
Key = tuple[Any, ...]

CHAINED = ("entry", "line", "touch")
"""What makes up an entry: written once, never changed."""
ESCAPED = re.compile(r"(?<!\\)(?:\\\\)*\\[^\\'\"]")
KINDS: dict[type, str] = {
    Integer: "typeof({0})='integer'",
    Boolean: "{0} IN (0, 1)",
    Date: "date({0})={0}",
    DateTime: "{0} GLOB '????-??-??*' AND datetime({0}) IS NOT NULL",
    JSON: "json_valid({0})",
    String: "typeof({0})='text'",
}
"""What SQLite finds of a cell of each kind."""
STRANGE = "COALESCE({0} IS NOT NULL AND NOT ({1}), {0} IS NOT NULL)"
AT_ONCE = 200
CHUNK = 2_000


def entries_as_text(
    session: Session, tables: Tables, first: int = 0, last: int | None = None
) -> Iterator[tuple[int, list[str], str | None]]:
    """Each entry's number, its own rows as text, and the seal that it carries."""
    entry, line, touch = (tables[name] for name in CHAINED)
    chosen = (entry.c.id, entry.c.seal, *cells(session, entry, ("seal",)))
    later = later_columns(entry)
    lines = Grouped(rows_between(session, line, line.c.entry_id, line.c.id, first, last))
    touches = Grouped(rows_between(session, touch, touch.c.entry_id, None, first, last))
    asked = select(*chosen).where(entry.c.id >= first).order_by(entry.c.id)
    if last is not None:
        asked = asked.where(entry.c.id <= last)
    for number, sealed, *told in streamed(session, asked):
        own = repr(list(as_sealed(told, later)))
        yield number, [own, *lines.of(number), *sorted(touches.of(number))], sealed


def rows_between(
    session: Session, table: Table, entry: Column[Any], then: Column[Any] | None,
    first: int, last: int | None,
) -> Iterator[Any]:  # fmt: skip
    """The rows of these entries as text, by the entry's number."""
    asked = select(entry, *cells(session, table)).where(entry >= first)
    if last is not None:
        asked = asked.where(entry <= last)
    rows = streamed(session, asked.order_by(entry, *([] if then is None else [then])))
    later = later_columns(table)
    return (as_sealed(row, later) for row in rows) if later else rows


class Grouped:
    """Rows that come in the order of their entries, taken out entry by entry."""

    def __init__(self, rows: Iterator[Any]) -> None:
        self.rows = rows
        self.next: Any = next(rows, None)

    def of(self, number: int) -> list[str]:
        """The rows of an entry; those of entries passed over are left out."""
        found = []
        while self.next is not None and self.next[0] <= number:
            if self.next[0] == number:
                found.append(repr(tuple(self.next)))
            self.next = next(self.rows, None)
        return found


def row_as_text(table: Table, row: Sequence[Any]) -> str:
    """A row as text, with its table's name."""
    return f"{table.name}{tuple(as_sealed(row, later_columns(table)))!r}"


def as_sealed(row: Sequence[Any], later: Mapping[str, Any]) -> Sequence[Any]:
    """A row whose last cells are of columns that were added later: by name, where it has them."""
    if not later:
        return row
    added = zip(later.items(), row[-len(later) :], strict=True)
    return *row[: -len(later)], *((name, value) for (name, was), value in added if value != was)


def unshowable(text: str) -> bool:
    """True where a row as text has a character that is written as its code alone."""
    return "\\" in text and ESCAPED.search(text) is not None


def hashed(text: str) -> int:
    """The hash of a row as text."""
    return int.from_bytes(hashlib.sha256(text.encode()).digest())


def hashes_of(session: Session, table: Table, keys: list[Key]) -> dict[Key, int]:
    """The hashes of these rows, by their keys."""
    columns = list(table.primary_key.columns)
    found = {}
    for start in range(0, len(keys), AT_ONCE):
        some = keys[start : start + AT_ONCE]
        there: ColumnElement[bool]
        if len(columns) == 1:
            there = columns[0].in_([key[0] for key in some])
        else:
            # SQLite finds no row of a list of pairs by its index, but each of these.
            there = or_(*(and_(*map(eq, columns, key)) for key in some))
        asked = select(*columns, *cells(session, table)).where(there)
        for row in session.connection().execute(asked):
            found[tuple(row[: len(columns)])] = hashed(row_as_text(table, row[len(columns) :]))
    return found


def streamed(session: Session, asked: Any) -> Iterator[Any]:
    """The rows of a query, some at a time; closed however it ends."""
    with session.connection().execute(asked, execution_options={"yield_per": CHUNK}) as found:
        for some in found.partitions():
            yield from some


def cells(session: Session, table: Table, without: tuple[str, ...] = ()) -> list[Any]:
    """A table's columns by name, as whole numbers and texts alike in both kinds of database.

    Those that were added later come last.
    """
    kind = kind_of(session.connection())
    later = later_columns(table)
    first = sorted(set(table.columns.keys()) - set(later) - set(without))
    return [cell(table.c[name], kind) for name in (*first, *later)]


@cache
def later_columns(table: Table) -> dict[str, Any]:
    """The columns of a table that were added after its rows were first sealed, and what these hold
    in them."""
    ours = SQLModel.metadata.tables[table.name].columns
    return {name: ours[name].info[ADDED] for name in sorted(table.columns.keys())
            if name in ours and ADDED in ours[name].info}  # fmt: skip


def cell(column: Column[Any], kind: DatabaseKind) -> ColumnElement[Any]:
    """A cell as it lies there, a number or a text; null stays null."""
    of = getattr(column.type, "impl", column.type)
    if isinstance(of, JSON):
        return func.nullif(cast(column, Text), "null")
    return kind.cell(column, of)


def strange_cells(session: Session) -> Iterator[tuple[str, int]]:
    """The tables in which a file of SQLite holds what is none of its column's kind, such as a text
    in place of a number, and how many rows do; a server takes none."""
    connection = session.connection()
    if connection.dialect.name != "sqlite":
        return
    for name, table in sorted(SQLModel.metadata.tables.items()):
        strange = " OR ".join(
            STRANGE.format(column.name, holds.format(column.name))
            for column in table.columns for kind, holds in KINDS.items()
            if isinstance(getattr(column.type, "impl", column.type), kind)
        )  # fmt: skip
        asked = text(f"SELECT COUNT(*) FROM {name} WHERE {strange}")
        if found := connection.execute(asked).scalar():
            yield name, found
