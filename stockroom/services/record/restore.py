"""The way back: a copy brought in the record's place, and what it replaces kept.

A record that can be read is filled anew in one change, so that others who have it open go on. One
that cannot is put aside: the new one is made whole beside it first, and takes its name then.

What was numbered after the copy was made is on the rack with its labels. So numbers go on after the
last that the replaced record gave; where it cannot tell, some are left out.
"""

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Engine, text
from sqlalchemy.exc import DBAPIError
from sqlmodel import Session, SQLModel, col, select

from stockroom.files.new_file import sync_folder
from stockroom.record import schema
from stockroom.record.condition import Condition, condition_of
from stockroom.record.copies import OURS, emptied, free_name, keep_copy, untaken
from stockroom.record.database import (
    Waiting,
    changing,
    engine_for,
    has_table,
    reading,
    sqlite_path,
)
from stockroom.record.database_errors import place_of
from stockroom.record.databases.server import HOME, take_time
from stockroom.record.numbering import beyond, given, leave_out, serial
from stockroom.record.tables import Entry, Piece
from stockroom.record.whose import BOOKKEEPING
from stockroom.refusals import BadFile, Clash, Damaged, NoShop
from stockroom.remedies import Do, Remedy
from stockroom.services.record.backup import newest, opened_copy, pour

__all__ = ["Restored", "restore"]

BROKEN = (Damaged, BadFile, DBAPIError, ValueError, TypeError, LookupError)
"""What may come of reading a damaged record; a full disk or a lost server is none of these."""
Given = dict[type[SQLModel], int]
"""The highest number that was given in each table."""


@dataclass(frozen=True, slots=True)
class Restored:
    """A record brought back: how many entries it holds, where what it replaced is kept, and the
    number of the next piece where numbers were left out."""

    entries: int
    kept: str | None
    next_piece: int | None = None


def restore(
    where: str, path: Path, *, newer: bool = False, waiting: Waiting | None = None
) -> Restored:
    """Brings a copy back; what it replaces is kept, named by the time.

    Raises:
        BadFile, NoShop: the copy cannot be used, or the record not be reached; nothing was changed.
        Refused: what lies there is not a shop's record.
        Clash: the record has entries that the copy lacks, and ``newer`` was not said.
    """
    with opened_copy(path) as copy:
        target = engine_for(where if "://" in where else str(Path(where).resolve()))
        condition = condition_of(target)
        if condition is Condition.NOTHING:
            schema.create(target, lambda session: pour_on(copy, session, unsure(copy)))
            return told(target, copy, None)
        if condition is Condition.RECORD:
            try:
                return told(target, copy, in_place(target, copy, newer, waiting))
            except BROKEN:
                pass
        if not newer:
            refuse_newer_if_told(target, copy)
        return told(target, copy, instead(target, copy, waiting))


def told(target: Engine, copy: Engine, kept: str | None) -> Restored:
    """What came of it."""
    with reading(target) as now, reading(copy) as then:
        number = serial(now, Piece)
        return Restored(newest(copy)[0], kept, number if number != serial(then, Piece) else None)


def pour_on(copy: Engine, session: Session, numbers: Given) -> None:
    """Fills empty tables from a copy; numbers go on after these."""
    pour(copy, session)
    leave_out(session, numbers)


def unsure(copy: Engine, damaged: Engine | None = None) -> Given:
    """The numbers to go on after where no record is left that can be relied on to tell."""
    with reading(copy) as session:
        last = beyond(given(session))
    if damaged is None:
        return last
    try:
        with reading(damaged) as session:
            seen = given(session)
    except (*BROKEN, NoShop):
        return last
    return {table: max(number, seen[table]) for table, number in last.items()}


def in_place(target: Engine, copy: Engine, newer: bool, waiting: Waiting | None) -> str:
    """Fills a record that can be read anew; gives where what it held is kept."""
    schema.ensure_current(target)
    with changing(target, waiting) as session:
        if not newer:
            refuse_newer(session, copy)
        take_time(session.connection())
        kept = free_name(target, "replaced", datetime.now(UTC))
        keep_copy(target, kept, schema.NEWEST)
        numbers = given(session)
        emptied(session)
        session.expunge_all()
        pour_on(copy, session, numbers)
    return str(kept)


def instead(target: Engine, copy: Engine, waiting: Waiting | None) -> str:
    """Puts what cannot be read aside and the copy in its place; gives where the old one is."""
    file = sqlite_path(target)
    return on_server(target, copy, waiting) if file is None else in_file(target, file, copy)


def in_file(target: Engine, file: Path, copy: Engine) -> str:
    """A new file made whole beside the damaged one, which then makes way for it."""
    aside = untaken(file.parent, f"{file.stem}-damaged-{datetime.now(UTC):%Y%m%d-%H%M%S}", "db")
    fresh = untaken(file.parent, f"{file.stem}-new", "db")
    numbers = unsure(copy, target)
    schema.create(engine_for(str(fresh)), lambda session: pour_on(copy, session, numbers))
    try:
        # What SQLite left beside it goes first: it must never be read into the new file.
        for suffix in ("-wal", "-shm", "-journal", ""):
            part = file.with_name(file.name + suffix)
            if part.exists():
                part.rename(aside.with_name(aside.name + suffix))
        fresh.rename(file)
        sync_folder(file.parent)
    except OSError as error:
        raise NoShop(
            "cannot_be_put_aside", place=place_of(target), why=error.strerror, fresh=fresh
        ) from error
    return str(aside)


def on_server(target: Engine, copy: Engine, waiting: Waiting | None) -> str:
    """The record's own tables, by name, put into another schema, and made new in theirs."""
    first = f"{HOME}_damaged_{datetime.now(UTC):%Y%m%d_%H%M%S}"
    numbers = unsure(copy, target)
    with changing(target, waiting) as session:
        connection = session.connection()
        taken = set(connection.scalars(text("SELECT nspname FROM pg_namespace")))
        names = (first, *(f"{first}_{n}" for n in range(2, 100)))
        aside = next(name for name in names if name not in taken)
        connection.execute(text(f"CREATE SCHEMA {aside}"))
        for name in (BOOKKEEPING, *sorted(OURS)):
            if has_table(session, name):
                connection.execute(text(f"ALTER TABLE {name} SET SCHEMA {aside}"))
        schema.fill_new(session, lambda fresh: pour_on(copy, fresh, numbers))
    return f"the schema {aside}"


def refuse_newer_if_told(target: Engine, copy: Engine) -> None:
    """The same of a damaged record, where it can still tell what it held last."""
    try:
        with reading(target) as session:
            refuse_newer(session, copy)
    except (*BROKEN, NoShop):
        return


def last_seal(engine: Engine) -> tuple[int, str | None]:
    """The last entry of a copy, and its seal."""
    with reading(engine) as session:
        found = select(Entry.id, Entry.seal).order_by(col(Entry.id).desc())
        return session.exec(found).first() or (0, None)


def refuse_newer(session: Session, copy: Engine) -> None:
    """The record holds nothing that the copy lacks.

    Raises:
        Clash: it does; says how much, who wrote it and when.
    """
    number, sealed = last_seal(copy)
    columns = select(Entry.id, Entry.at, Entry.kind, Entry.who)
    last = session.exec(columns.order_by(col(Entry.id).desc())).first()
    shared = session.exec(select(Entry.seal).where(Entry.id == number)).first()
    same = shared is not None and shared == sealed
    if last is None or (same and last[0] == number):
        return
    raise Clash(
        "newer_than_copy" if same else "other_than_copy", Remedy(Do.NEWER),
        place=place_of(session.connection().engine), later=last[0] - number,
        kind=last[2], who=last[3], at=f"{last[1]:%Y-%m-%d %H:%M} UTC",
    )  # fmt: skip
