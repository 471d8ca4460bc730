"""The record's schema: made new, checked at each opening, brought up to date after a backup."""

import os
import re
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, text
from sqlalchemy.exc import DBAPIError, PendingRollbackError, ProgrammingError
from sqlmodel import Session

from stockroom.files.new_file import made_whole
from stockroom.record.copies import OURS, free_name, keep_copy, tables_of
from stockroom.record.database import (
    changing,
    has_table,
    reading,
    sqlite_path,
)
from stockroom.record.database_errors import LAST_BACKUP, place_of, translated
from stockroom.record.databases.server import HOME
from stockroom.record.databases.sqlite_file import sqlite_engine
from stockroom.record.seal import broken_seals, seal_anew
from stockroom.record.whose import (
    BOOKKEEPING,
    FIRST,
    lies_here,
    lies_in_public,
    ours_in,
    refuse_foreign,
)
from stockroom.refusals import Damaged, NoShop, Refused
from stockroom.remedies import Do, Remedy

__all__ = [
    "NEWEST",
    "VERSIONS",
    "create",
    "ensure_current",
    "fill_new",
    "upgrade",
    "version_of",
]

MIGRATIONS = Path(__file__).parent / "migrations"
VERSIONS = tuple(sorted(file.name[1:5] for file in (MIGRATIONS / "versions").glob("v*.py")))
"""The schema's versions, by their migrations."""
NEWEST = VERSIONS[-1]
SEALED_AS_NOW = "0007"
"""The first version whose rows are hashed as they are now: a record of before it is sealed anew,
one that is newer keeps its seals, since each column that came later is ``added``."""
Fill = Callable[[Session], None]


def version_of(engine: Engine) -> str | None:
    """The schema version of a record; None where the database holds no record of ours."""
    with reading(engine) as session:
        return version_in(session)


def version_in(session: Session) -> str | None:
    """The schema version that this session sees; None where there is no record of ours."""
    if not all(has_table(session, name) for name in (BOOKKEEPING, *FIRST)):
        return None
    row = session.connection().execute(text("SELECT version_num FROM alembic_version")).first()
    return None if row is None else str(row[0])


def create(engine: Engine, fill: Fill | None = None, version: str = NEWEST) -> None:
    """Makes a new record and puts into it what ``fill`` writes: all of it, or nothing.

    Raises:
        Refused: there is a file, or a record, already.
        NoShop: it cannot be made there.
    """
    path = sqlite_path(engine)
    if path is None:
        make(engine, fill, version)
        return
    if os.path.lexists(path):
        give_way(engine, path)
    with made_whole(path) as part:
        fresh = sqlite_engine(engine.url.set(database=str(part)))
        try:
            make(fresh, fill, version)
            keep_log(fresh)
        except NoShop as error:
            failed = error.__cause__
            if error.about.get("place") != place_of(fresh) or not isinstance(failed, DBAPIError):
                raise
            # Nobody knows the file that was begun, and it goes.
            raise NoShop("cannot_be_written", path=path, why=str(failed.orig)) from failed


def keep_log(engine: Engine) -> None:
    """Has a file that is whole written through a log beside it from now on.

    Not before: SQLite passes over a disk that is full as a log is brought into its file at last.
    """
    with translated(engine), engine.connect() as connection:
        driver: Any = connection.connection.dbapi_connection
        driver.execute("PRAGMA journal_mode = WAL").close()


def make(engine: Engine, fill: Fill | None, version: str) -> None:
    """Makes the tables in an empty database, and fills them."""
    with changing(engine) as session:
        refuse_foreign(session)
        if lies_here(session):
            raise Refused("record_is_there", Remedy(Do.OTHER_SHOP), place=place_of(engine))
        fill_new(session, fill, version)


def fill_new(session: Session, fill: Fill | None, version: str = NEWEST) -> None:
    """Makes the tables of a record where there are none, and fills them."""
    make_home(session)
    upgrade(session.connection(), version)
    if fill is not None:
        fill(session)


def give_way(engine: Engine, path: Path) -> None:
    """Takes away an empty database that an older program's stopped setup left behind.

    Raises:
        Refused: the file holds something.
    """
    if not holds_nothing(engine, path):
        raise Refused("file_is_there", Remedy(Do.OTHER_SHOP), path=path)
    path.unlink(missing_ok=True)


def holds_nothing(engine: Engine, path: Path) -> bool:
    """True where a file is an SQLite database without a table, or is empty."""
    try:
        with reading(engine) as session:
            asked = text("SELECT COUNT(*) FROM sqlite_master")
            return path.is_file() and session.connection().execute(asked).scalar() == 0
    except NoShop:
        return False


def make_home(session: Session) -> None:
    """A schema of the record's own on a server.

    Raises:
        NoShop: this role may not make one.
    """
    connection = session.connection()
    if connection.dialect.name != "postgresql":
        return
    asked = text("SELECT 1 WHERE to_regnamespace(:name) IS NOT NULL")
    if connection.execute(asked, {"name": HOME}).first() is not None:
        return
    try:
        connection.execute(text(f"CREATE SCHEMA {HOME}"))
    except ProgrammingError as error:
        raise NoShop(
            "role_may_not_make_schema", place=place_of(connection.engine), home=HOME
        ) from error


def move_home(engine: Engine) -> None:
    """Moves the record's own tables, by name, into a schema of their own; nothing else."""
    with changing(engine) as session:
        if ours_in(session) or not lies_in_public(session):
            return
        make_home(session)
        for name in (BOOKKEEPING, *sorted(OURS)):
            if has_table(session, f"public.{name}"):
                session.connection().execute(text(f"ALTER TABLE public.{name} SET SCHEMA {HOME}"))


def ensure_current(engine: Engine) -> Path | None:
    """Refuses a record that is missing, foreign or newer; upgrades an older one after a backup.

    Gives the backup where one was made.

    Raises:
        NoShop: there is no record here, or it is newer than this program.
    """
    path, where = sqlite_path(engine), place_of(engine)
    if path is not None and not os.path.exists(path):
        raise NoShop("no_shop_at", Remedy(Do.SET_UP), where=where)
    version = version_of(engine) or version_moved(engine)
    if version is None:
        raise NoShop("not_a_shop", Remedy(Do.OTHER_SHOP), where=where)
    if not re.fullmatch("[0-9]{4}", version):
        raise Damaged("version_not_understood", LAST_BACKUP, where=where)
    if version not in VERSIONS:
        raise NoShop("written_by_newer", where=where, version=version, newest=NEWEST)
    return None if version == NEWEST else bring_up(engine, version)


def version_moved(engine: Engine) -> str | None:
    """The version of a record that is not where we look: moved there, if it is an older one's.

    Raises:
        NoShop: the role that asks may not see what is there.
        Damaged: parts of a record are there, and parts are not.
    """
    with reading(engine) as session:
        if is_hidden(session):
            raise NoShop("role_may_not", place=place_of(engine), said=HOME)
        parts, older = ours_in(session), lies_in_public(session)
        refuse_foreign(session)
    if parts:
        raise Damaged("tables_missing", LAST_BACKUP, place=place_of(engine))
    if older:
        move_home(engine)
    return version_of(engine) if older else None


def is_hidden(session: Session) -> bool:
    """True where the record's schema is there, on a server, but not for the role that asks."""
    if session.connection().dialect.name != "postgresql":
        return False
    asked = "SELECT 1 FROM pg_namespace WHERE nspname = :home AND NOT " \
            "has_schema_privilege(nspname, 'USAGE')"  # fmt: skip
    return session.connection().execute(text(asked), {"home": HOME}).first() is not None


def bring_up(engine: Engine, version: str) -> Path:
    """Upgrades an older record after a backup; gives the backup.

    Raises:
        Damaged: it cannot be upgraded; it is as it was.
    """
    keep = free_name(engine, f"before-{NEWEST}", datetime.now(UTC))
    keep_copy(engine, keep, version)
    path = sqlite_path(engine)
    unchecked = engine if path is None else sqlite_engine(engine.url, keys=False)
    with changing(unchecked) as session:
        if version_in(session) == NEWEST:
            return keep
        try:
            upgrade_sealed(session, version)
        except DBAPIError as error:
            raise stuck(engine, str(error.orig), keep) from error
        if path is not None:
            asked = text("PRAGMA foreign_key_check")
            if astray := session.connection().execute(asked).first():
                raise stuck(engine, f"rows of {astray[0]} point nowhere", keep)
    return keep


def upgrade_sealed(session: Session, version: str) -> None:
    """Brings a record up to date; where its rows are others then, it is sealed anew as it is.

    One with a broken seal is not, so that it stays broken.
    """
    anew = version < SEALED_AS_NOW
    if anew:
        before = {table.name: table for table in tables_of(session)}
        anew = "seal" not in before or next(broken_seals(session, before), None) is None
    upgrade(session.connection())
    if anew:
        seal_anew(session)


def stuck(engine: Engine, why: str, keep: Path) -> Damaged:
    """The refusal of a record that cannot be brought up to date."""
    said = why.strip().splitlines()[0]
    return Damaged("cannot_be_brought_up", place=place_of(engine), said=said, copy=keep)


def upgrade(connection: Connection, version: str = "head") -> None:
    """Runs the migrations that this connection's database still lacks, up to a version.

    Told to end, it ends, though Alembic would tidy up on a connection that is closed by then.

    Raises:
        BaseException: what told it to end, a signal or Ctrl-C.
    """
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    try:
        command.upgrade(config, version)
    except PendingRollbackError as error:
        ending: BaseException | None = error
        while isinstance(ending, Exception):
            ending = ending.__context__
        raise ending or error from None
