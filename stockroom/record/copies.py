"""Copies of a record: a file made while others write, or every row as a line of JSON.

A file of JSON lines begins with a line that names the record's version, has one line a row, and
ends with a line of counts, so that a file that was cut short is known for one.
"""

import json
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing
from datetime import date, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Column, Engine, MetaData, Table, select
from sqlalchemy.exc import DBAPIError
from sqlalchemy.types import JSON, Boolean, Date, DateTime, Integer, Text
from sqlmodel import Session, SQLModel

import stockroom.record.order_tables
import stockroom.record.seal
import stockroom.record.tables  # noqa: F401  (all fill the metadata)
from stockroom.facts import Fact
from stockroom.files.new_file import as_text, made_whole, private_folder
from stockroom.record.database import reading, sqlite_path
from stockroom.record.database_errors import LAST_BACKUP, is_damage
from stockroom.record.databases.server import put_rows
from stockroom.refusals import BadFile, Damaged, NoShop

__all__ = [
    "OURS",
    "as_lines",
    "copy_into",
    "emptied",
    "filled",
    "folder_beside",
    "free_name",
    "keep_copy",
    "keep_lines",
    "tables_of",
    "version_named",
]

FORMAT = 1
CHUNK = 2_000
OURS = frozenset(SQLModel.metadata.tables)
"""The tables of a record, by name; any other that lies beside them is somebody else's."""
Prove = Callable[[Path], object]


def free_name(engine: Engine, word: str, at: datetime, folder: Path | None = None) -> Path:
    """A name for a copy that is not taken yet: the record's, a word, and the time in UTC.

    It lies in the record's own folder ``backups`` unless told.

    Raises:
        NoShop: that folder cannot be made, or is a link.
    """
    path = sqlite_path(engine)
    stem = path.stem if path is not None else str(engine.url.database or "shop")
    kind = "db" if path is not None else "jsonl"
    name = f"{stem}-{word}-{at:%Y%m%d-%H%M%S}"
    return untaken(folder or private_folder(folder_beside(engine, "backups")), name, kind)


def folder_beside(engine: Engine, name: str) -> Path:
    """A folder beside a record's file; in the program's own where the record is on a server."""
    path = sqlite_path(engine)
    return (path.absolute().parent if path is not None else own_folder()) / name


def untaken(folder: Path, name: str, kind: str) -> Path:
    """A file's path that is not taken yet, numbered where it must be."""
    taken = (folder / f"{name}{more}.{kind}" for more in ("", *(f"-{n}" for n in range(2, 10_000))))
    return next(path for path in taken if not path.exists())


def own_folder() -> Path:
    """The program's own data folder."""
    from platformdirs import user_data_path

    return Path(user_data_path("stockroom"))


def keep_copy(engine: Engine, to: Path, version: str, prove: Prove | None = None) -> None:
    """Copies a record while others use it: a file of SQLite, or JSON lines of a server's.

    The copy gets its name when ``prove`` has found no fault with it.

    Raises:
        Damaged: the record cannot be read to its end.
        NoShop: the copy cannot be written.
    """
    path = sqlite_path(engine)
    if path is None:
        keep_lines(engine, to, version, prove)
        return
    with made_whole(to) as part:
        copy_into(path, part)
        if prove is not None:
            prove(part)


def keep_lines(engine: Engine, to: Path, version: str, prove: Prove | None = None) -> None:
    """Writes a record as JSON lines to a new file, as ``keep_copy`` does."""
    with made_whole(to) as part:
        with reading(engine) as session, part.open("wb") as file:
            file.writelines(as_text(as_lines(session, version)))
        if prove is not None:
            prove(part)


def copy_into(source: Path, to: Path) -> None:
    """Copies an SQLite record by SQLite's own backup, whole although others write meanwhile.

    Raises:
        Damaged: the source cannot be read to its end.
        NoShop: it cannot be read now, or the copy cannot be written.
    """
    try:
        with (
            closing(sqlite3.connect(f"{source.absolute().as_uri()}?mode=ro", uri=True)) as here,
            closing(sqlite3.connect(to)) as there,
        ):
            here.backup(there)
            there.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.Error as error:
        if is_damage(error):
            raise Damaged("file_is_damaged", LAST_BACKUP, path=source, why=str(error)) from error
        raise NoShop("cannot_be_copied", path=source, to=to.parent, why=str(error)) from error


def tables_of(session: Session) -> list[Table]:
    """The record's own tables as they are in the database, each after those it points to."""
    found = MetaData()
    found.reflect(session.connection(), only=lambda name, _: name in OURS)
    tables = [table for table in found.sorted_tables if table.name in OURS]
    for kind in (column.type for table in tables for column in table.columns):
        if isinstance(kind, JSON):
            kind.none_as_null = True  # A list that is not there stays away, and is no text "null".
    return tables


def as_lines(session: Session, version: str) -> Iterator[str]:
    """The whole record as lines of JSON, the same from either kind of database."""
    counts: Counter[str] = Counter()
    yield json.dumps({"stockroom": FORMAT, "version": version})
    for table in sorted(tables_of(session), key=lambda table: table.name):
        asked = select(table).order_by(*table.primary_key.columns)
        # Closed however it ends: a server keeps what is read a part at a time.
        with session.connection().execute(asked, execution_options={"yield_per": CHUNK}) as rows:
            for row in rows.mappings():
                counts[table.name] += 1
                values = {name: plain(row[name]) for name in sorted(map(str, row))}
                yield json.dumps({"table": table.name, "row": values}, ensure_ascii=False)
    yield json.dumps({"end": dict(sorted(counts.items()))})


def plain(value: Any) -> Any:
    """A value as JSON keeps it."""
    return value.isoformat() if isinstance(value, date | datetime) else value


def version_named(path: Path) -> str:
    """The record's version that a file of JSON lines names.

    Raises:
        BadFile: it is no such file.
    """
    try:
        with path.open(encoding="utf-8") as file:
            head = json.loads(file.readline(1000))
        if head["stockroom"] != FORMAT:
            other = Fact("other_format", {"format": str(head["stockroom"]), "ours": FORMAT})
            raise BadFile(str(path), [(1, other)], "update_program")
        return str(head["version"])
    except OSError as error:
        said = Fact("file_cannot_be_read", {"why": error.strerror})
        raise BadFile(str(path), [(0, said)], "check_path") from error
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise BadFile(str(path), [(1, Fact("no_copy_of_record"))], "check_path") from error


def filled(session: Session, path: Path) -> None:
    """Puts the rows of a file of JSON lines into empty tables.

    Raises:
        BadFile: a line is not understood, or the file is cut short.
    """
    tables = {table.name: table for table in tables_of(session)}
    waiting: dict[str, list[dict[str, Any]]] = {name: [] for name in tables}
    end: Any = None
    number = 1
    with path.open("rb") as file:
        next(file, b"")
        for number, line in enumerate(file, 2):
            told = read_line(path, number, line)
            if end is not None:
                raise fault(path, number, "follows_the_end")
            if "end" in told:
                end = told["end"]
                continue
            name, row = told.get("table"), told.get("row")
            if name not in tables or not isinstance(row, dict):
                raise fault(path, number, "names_no_table")
            waiting[name].append(row_told(path, number, tables[name], row))
    if end != {name: len(rows) for name, rows in sorted(waiting.items()) if rows}:
        raise fault(path, number, "file_cut_short")
    put(session, path, tables, waiting)


def read_line(path: Path, number: int, line: bytes) -> dict[str, Any]:
    """A line as an object."""
    try:
        told = json.loads(line)
    except (ValueError, RecursionError):
        raise fault(path, number, "not_json") from None
    if not isinstance(told, dict):
        raise fault(path, number, "not_an_object")
    return told


def row_told(path: Path, number: int, table: Table, row: Mapping[str, Any]) -> dict[str, Any]:
    """A row as the database takes it."""
    if set(row) != set(table.columns.keys()):
        raise fault(path, number, "other_columns", table=table.name)
    values = {}
    for column in table.columns:
        try:
            values[column.name] = value_told(column, row[column.name])
        except (ValueError, TypeError):
            raise fault(
                path, number, "cell_not_understood", cell=f"{table.name}.{column.name}"
            ) from None
    return values


def value_told(column: Column[Any], value: Any) -> Any:
    """A cell as the database takes it.

    Raises:
        ValueError: it is of another kind.
    """
    if value is None or isinstance(column.type, JSON):
        return value
    if isinstance(column.type, DateTime):
        return datetime.fromisoformat(value)
    if isinstance(column.type, Date):
        return date.fromisoformat(value)
    kind = bool if isinstance(column.type, Boolean) else (
        int if isinstance(column.type, Integer) else str
    )  # fmt: skip
    if type(value) is not kind:
        raise ValueError(f"{value!r} is no {kind.__name__}")
    if isinstance(value, str) and not isinstance(column.type, Text) and not value.isprintable():
        raise ValueError("it holds a character that cannot be shown")
    return value


def put(
    session: Session,
    path: Path,
    tables: Mapping[str, Table],
    waiting: Mapping[str, list[dict[str, Any]]],
) -> None:
    """Writes the rows, those that others point to first."""
    try:
        for name, table in tables.items():
            rows = waiting[name]
            for start in range(0, len(rows), CHUNK):
                put_rows(session.connection(), table, rows[start : start + CHUNK])
    except DBAPIError as error:
        if error.connection_invalidated:
            raise
        said = str(error.orig).strip().splitlines()[0]
        raise fault(path, 0, "rows_do_not_fit", said=said) from error
    except (OverflowError, UnicodeEncodeError) as error:
        raise fault(path, 0, "cell_cannot_be_kept") from error


def fault(path: Path, row: int, code: str, **about: str) -> BadFile:
    """A fault of a file of JSON lines."""
    return BadFile(str(path), [(row, Fact(code, about))], "make_copy_again")


def emptied(session: Session) -> None:
    """Takes all rows out of the record's own tables; only a restore, which fills them again, may.

    What lies beside them in the database is left as it is.
    """
    for table in reversed(tables_of(session)):
        session.connection().execute(table.delete())
