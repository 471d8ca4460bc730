"""Backup while the shop works, proven by an audit of the copy; and the way back."""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from stockroom.files.new_file import as_text, write_new
from stockroom.record import schema
from stockroom.record.audit import audit
from stockroom.record.copies import (
    as_lines,
    copy_file,
    emptied,
    filled,
    free_name,
    keep_copy,
    version_named,
)
from stockroom.record.database import Waiting, changing, engine_for, reading, sqlite_path
from stockroom.record.database_errors import place_of
from stockroom.record.tables import Entry
from stockroom.refusals import BadFile, Clash, NoShop
from stockroom.services.shop import Shop

__all__ = ["Backup", "Restored", "back_up", "opened_copy", "put_new", "restore"]

MAGIC = b"SQLite format 3\x00"


@dataclass(frozen=True, slots=True)
class Backup:
    """A copy of the record: where it is, and how many entries it holds."""

    path: Path
    entries: int


@dataclass(frozen=True, slots=True)
class Restored:
    """A record brought back: how many entries it holds, and where what it replaced is kept."""

    entries: int
    kept: Path | None


def back_up(shop: Shop, folder: Path | None = None) -> Backup:
    """Copies the record while others use it, and audits the copy.

    The copy is named by the time, in the record's own folder ``backups`` unless told.

    Raises:
        NoShop: it cannot be written, or the copy has faults.
    """
    to = free_name(shop.engine, "backup", shop.hand.at, folder)
    keep_copy(shop.engine, to, schema.NEWEST)
    try:
        with opened_copy(to) as engine:
            return Backup(to, newest(engine)[0])
    except BadFile as error:
        raise NoShop(f"the record was copied to {to}, and the copy has faults:\n{error.message}",
                     "keep the last good backup; see: stockroom audit") from error  # fmt: skip


def newest(engine: Engine) -> tuple[int, datetime | None]:
    """The last entry of a record, and when it was written."""
    with reading(engine) as session:
        return newest_in(session)


def newest_in(session: Session) -> tuple[int, datetime | None]:
    """The last entry that this session sees."""
    entry = session.exec(select(Entry).order_by(col(Entry.id).desc())).first()
    return (0, None) if entry is None else (entry.id, entry.at)


@contextmanager
def opened_copy(path: Path) -> Iterator[Engine]:
    """A copy of the record opened aside, brought up to date, and audited; itself left as it is.

    Raises:
        BadFile: it is no copy of a record, or has faults.
        NoShop: it was written by a newer program.
    """
    with tempfile.TemporaryDirectory(prefix="stockroom-") as folder:
        engine = engine_for(str(Path(folder) / "copy.db"))
        aside = sqlite_path(engine)
        if aside is not None and is_sqlite(path):
            copy_file(path, aside)
            schema.ensure_current(engine)
        else:
            load_lines(engine, path)
        with reading(engine) as session:
            faults = audit(session)
        if faults:
            raise BadFile(str(path), [(0, str(fault)) for fault in faults[:20]],
                          "nothing was changed; take another copy")  # fmt: skip
        yield engine


def is_sqlite(path: Path) -> bool:
    """True for a file of SQLite, by its first bytes.

    Raises:
        BadFile: it cannot be read.
    """
    try:
        with path.open("rb") as file:
            return file.read(len(MAGIC)) == MAGIC
    except (OSError, ValueError) as error:
        said = getattr(error, "strerror", None) or "its name is no path"
        raise BadFile(str(path), [(0, f"cannot be read: {said}")], "check the path") from error


def load_lines(engine: Engine, path: Path) -> None:
    """Makes a record from JSON lines, of the version that they were written by, then up to date."""
    version = version_named(path)
    if version not in schema.VERSIONS:
        raise NoShop(f"{path} was written by a newer program (its version {version[:20]}, ours "
                     f"{schema.NEWEST})", "update this program; nothing was changed")  # fmt: skip
    schema.create(engine, lambda session: filled(session, path), version)
    schema.ensure_current(engine)


def put_new(where: str, copy: Engine) -> int:
    """Puts a whole record where there is none; gives how many entries it holds.

    Raises:
        Refused: there is one already.
    """
    schema.create(engine_for(where), lambda session: pour(copy, session))
    return newest(copy)[0]


def pour(copy: Engine, session: Session) -> None:
    """Puts all rows of a copy into empty tables."""
    with tempfile.TemporaryDirectory(prefix="stockroom-") as folder:
        lines = Path(folder) / "record.jsonl"
        with reading(copy) as source:
            write_new(lines, as_text(as_lines(source, schema.NEWEST)))
        filled(session, lines)


def restore(
    where: str, path: Path, *, newer: bool = False, waiting: Waiting | None = None
) -> Restored:
    """Brings a copy back; what it replaces is kept beside it, named by the time.

    Raises:
        BadFile, NoShop: the copy cannot be used; nothing was changed.
        Clash: the record has entries that the copy lacks, and ``newer`` was not said.
    """
    with opened_copy(path) as copy:
        target = engine_for(where)
        file = sqlite_path(target)
        if file is not None and schema.is_there(file) and not readable(target):
            kept = put_aside(target, file)
            return Restored(put_new(where, copy), kept)
        if (file is not None and not schema.is_there(file)) or schema.version_of(target) is None:
            return Restored(put_new(where, copy), None)
        schema.ensure_current(target)
        with changing(target, waiting) as session:
            if not newer:
                refuse_newer(session, copy)
            kept = free_name(target, "replaced", datetime.now(UTC))
            keep_copy(target, kept, schema.NEWEST)
            emptied(session)
            pour(copy, session)
        return Restored(newest(copy)[0], kept)


def readable(engine: Engine) -> bool:
    """False for a damaged file, which a restore puts aside."""
    try:
        with reading(engine) as session:
            audit(session)
        return schema.version_of(engine) is not None
    except NoShop:
        return False


def put_aside(engine: Engine, file: Path) -> Path:
    """Keeps a damaged record, with what SQLite left beside it, under another name."""
    to = free_name(engine, "damaged", datetime.now(UTC))
    to.parent.mkdir(parents=True, exist_ok=True)
    for suffix in ("", "-wal", "-shm"):
        part = file.with_name(file.name + suffix)
        if part.exists():
            part.rename(to.with_name(to.name + suffix))
    return to


def refuse_newer(session: Session, copy: Engine) -> None:
    """The record holds nothing that the copy lacks.

    Raises:
        Clash: it does; says how much, who wrote it and when.
    """
    number, at = newest(copy)
    shared = session.get(Entry, number)
    last = session.exec(select(Entry).order_by(col(Entry.id).desc())).first()
    if last is None or (shared is not None and shared.at == at and last.id == number):
        return
    same = shared is not None and shared.at == at
    what = f"{last.id - number} later entries" if same else "another history"
    raise Clash(
        f"the record at {place_of_session(session)} has {what} that the copy lacks; the last is "
        f"{last.kind} by {last.who} at {last.at:%Y-%m-%d %H:%M} UTC",
        "restore all the same with --newer; what is replaced is kept",
    )


def place_of_session(session: Session) -> str:
    """The place of the record that a session is on."""
    return place_of(session.connection().engine)
