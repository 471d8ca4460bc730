"""What lies at the place where a restored record is to go.

"Cannot be read now" is not "damaged": a disk that is full, a folder that may not be entered or a
server that does not answer says nothing about the record, which is left where it is. And what never
was a shop's record is not ours to move.
"""

import os
import re
import sqlite3
import stat
from contextlib import closing
from enum import Enum
from pathlib import Path

from sqlalchemy import Engine

from stockroom.record import schema
from stockroom.record.copies import OURS
from stockroom.record.database import reading, sqlite_path
from stockroom.record.database_errors import is_damage
from stockroom.record.whose import BOOKKEEPING, TRACES, lies_here, refuse_foreign
from stockroom.refusals import Damaged, NoShop, Refused
from stockroom.remedies import Do, Remedy

__all__ = ["MAGIC", "Condition", "condition_of", "engine_faults"]

MAGIC = b"SQLite format 3\x00"
FORMATS = (b"\x01\x01", b"\x02\x02")
"""How SQLite writes and reads a file, by two of its first bytes: with a journal, or a log."""
CREATED = re.compile(rb'CREATE TABLE "?([a-z_]{1,40})"? ?\(', re.IGNORECASE)
CHUNK = 2**20
MOST_FAULTS = 20


class Condition(Enum):
    """What lies there: nothing, a record, or what is left of a damaged one."""

    NOTHING = "nothing"
    RECORD = "record"
    DAMAGED = "damaged"


def condition_of(engine: Engine) -> Condition:
    """What lies where this engine's record is or would be; changes nothing.

    Raises:
        Refused: it is something else than a shop's record.
        NoShop: it cannot be read now, which says nothing about what it is.
    """
    path = sqlite_path(engine)
    return condition_on_server(engine) if path is None else condition_of_file(path)


def condition_on_server(engine: Engine) -> Condition:
    """What the database on a server holds under our names.

    Raises:
        Refused: it is another program's.
    """
    try:
        with reading(engine) as session:
            refuse_foreign(session)
            if not lies_here(session):
                return Condition.NOTHING
        return Condition.RECORD if schema.version_of(engine) else Condition.DAMAGED
    except Damaged:
        return Condition.DAMAGED


def condition_of_file(path: Path) -> Condition:
    """What a file holds."""
    if not os.path.lexists(path):
        return Condition.NOTHING
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            raise Refused("is_no_file", Remedy(Do.OTHER_SHOP), path=path)
        with path.open("rb") as file:
            head = file.read(len(MAGIC) + 4)
    except OSError as error:
        raise out_of_reach(path, error.strerror or str(error)) from error
    if status.st_size == 0 and not beside(path).exists():
        return Condition.NOTHING
    if not head.startswith(MAGIC) or head[18:] not in FORMATS:
        return what_remains(path)
    return condition_by_engine(path)


def beside(path: Path) -> Path:
    """Where SQLite keeps what is not yet in the file itself."""
    return path.with_name(path.name + "-wal")


def out_of_reach(path: Path, said: str) -> NoShop:
    """The refusal to judge what cannot be read now."""
    return NoShop("place_out_of_reach", path=path, why=said)


def condition_by_engine(path: Path) -> Condition:
    """What a file of SQLite holds, by SQLite's own check."""
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as asked:
            names = {name for (name,) in asked.execute("SELECT name FROM sqlite_master")}
            faults = engine_check(asked, 1)
    except (sqlite3.Error, UnicodeDecodeError) as error:
        if broken(error):
            return what_remains(path)
        raise out_of_reach(path, str(error)) from error
    if not names and not faults:
        return Condition.NOTHING
    if {"entry", "line", "piece"} <= names:
        return Condition.DAMAGED if faults else Condition.RECORD
    return what_remains(path)


def what_remains(path: Path) -> Condition:
    """A file that is no readable record: a damaged one, where its bytes do not speak against it.

    Raises:
        Refused: it never was a record.
    """
    head, tables = told_by_bytes(path)
    tables |= told_by_bytes(beside(path))[1] if beside(path).exists() else set()
    nobodys = head in (MAGIC, bytes(len(MAGIC))) and tables <= {BOOKKEEPING, *OURS}
    if nobodys or len(tables & OURS) >= TRACES:
        return Condition.DAMAGED
    raise Refused("foreign_file_left", Remedy(Do.OTHER_SHOP_OR_MOVE), path=path)


def told_by_bytes(path: Path) -> tuple[bytes, set[str]]:
    """How a file begins, and the tables that it names in its bytes as SQLite keeps them."""
    found: set[str] = set()
    try:
        with path.open("rb") as file:
            head = tail = file.read(len(MAGIC))
            while chunk := file.read(CHUNK):
                found |= {name.decode() for name in CREATED.findall(tail + chunk)}
                tail = chunk[-100:]
    except OSError as error:
        raise out_of_reach(path, error.strerror or str(error)) from error
    return head, found


def broken(error: Exception) -> bool:
    """True where SQLite says that the file's bytes are wrong, not that it could not get at them."""
    not_one = getattr(error, "sqlite_errorcode", None) == sqlite3.SQLITE_NOTADB
    return not_one or is_damage(error) or isinstance(error, UnicodeDecodeError)


def engine_check(connection: sqlite3.Connection, most: int) -> list[str]:
    """What SQLite's own check of a whole file finds."""
    connection.execute("SELECT sql FROM sqlite_master").fetchall()
    found = [str(said) for (said,) in connection.execute(f"PRAGMA integrity_check({most})")]
    return [] if found == ["ok"] else found


def engine_faults(path: Path) -> list[str]:
    """What SQLite's own check of a whole file finds; none where it is sound.

    Raises:
        NoShop: the file cannot be read.
    """
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as asked:
            return engine_check(asked, MOST_FAULTS)
    except (sqlite3.Error, UnicodeDecodeError) as error:
        if broken(error):
            return [str(error)]
        raise out_of_reach(path, str(error)) from error
