"""Opening the shop's database, and the two kinds of transaction: reading and changing.

SQLite serves one computer, PostgreSQL several; one URL says which. A changing transaction takes
the shop's single write lock at its first statement, so that what it reads stays true until it
commits: ``BEGIN IMMEDIATE`` on SQLite, an advisory lock on PostgreSQL.
"""

import os
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, OperationalError
from sqlalchemy.pool import NullPool
from sqlmodel import Session

from stockroom.errors import Busy, NoShop

__all__ = ["Waiting", "changing", "engine_for", "reading", "shown", "sqlite_path"]

WRITE_LOCK = 7_307_001
WAIT_SECONDS = 10.0
SAY_AFTER_SECONDS = 0.5
POLL_MS = 200


@dataclass(frozen=True, slots=True)
class Waiting:
    """How long a change waits for another to finish, and whom it tells that it is waiting."""

    seconds: float = WAIT_SECONDS
    tell: Callable[[str], None] | None = None


def shown(url: str | URL) -> str:
    """The URL as it may be shown: without its password."""
    return make_url(url).render_as_string(hide_password=True)


def sqlite_path(engine: Engine) -> Path | None:
    """The file behind an SQLite engine; None for a server."""
    if engine.dialect.name != "sqlite" or engine.url.database in (None, "", ":memory:"):
        return None
    return Path(str(engine.url.database))


def engine_for(shop: str) -> Engine:
    """An engine for a shop given as a file's path or a database URL.

    Raises:
        NoShop: the URL is not understood, or names a kind of database that is not served.
    """
    try:
        url = make_url(shop) if "://" in shop else URL.create("sqlite", database=shop)
    except ArgumentError as error:
        raise NoShop(
            "the shop's database URL is not understood",
            "give a file's path, or postgresql://user@host/name",
        ) from error
    kind = url.get_backend_name()
    if kind == "sqlite":
        return sqlite_engine(url)
    if kind == "postgresql":
        return postgres_engine(url.set(drivername="postgresql+psycopg"))
    raise NoShop(f"a {kind} database is not served", "use a file (SQLite) or postgresql://")


def sqlite_engine(url: URL) -> Engine:
    """SQLite with the pragmas that keep a record safe, and BEGIN said by us, not the driver."""
    driver = {"timeout": POLL_MS / 1000, "isolation_level": None}
    engine = create_engine(url, poolclass=NullPool, connect_args=driver)

    @event.listens_for(engine, "connect")
    def set_pragmas(connection: Any, _record: Any) -> None:
        cursor = connection.cursor()
        cursor.execute("PRAGMA foreign_keys = ON")
        cursor.execute("PRAGMA synchronous = FULL")
        cursor.close()

    @event.listens_for(engine, "begin")
    def say_begin(connection: Connection) -> None:
        writing = connection.get_execution_options().get("writing", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

    return engine


def postgres_engine(url: URL) -> Engine:
    """PostgreSQL; readers see one moment (repeatable read), writers queue at one lock.

    Raises:
        NoShop: the driver is not installed.
    """
    try:
        engine = create_engine(url, poolclass=NullPool)
    except ModuleNotFoundError as error:
        raise NoShop(
            "the PostgreSQL driver is not installed",
            "install it: pip install 'stockroom[postgres]'",
        ) from error

    @event.listens_for(engine, "begin")
    def take_lock(connection: Connection) -> None:
        if connection.get_execution_options().get("writing", False):
            connection.exec_driver_sql(f"SET LOCAL lock_timeout = {POLL_MS}")
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({WRITE_LOCK})")
        else:
            connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")

    return engine


@contextmanager
def reading(engine: Engine) -> Iterator[Session]:
    """A session that sees one moment of the record and changes nothing."""
    with translated(engine), engine.connect() as connection, begun(connection):
        yield session_on(connection)


@contextmanager
def changing(engine: Engine, waiting: Waiting | None = None) -> Iterator[Session]:
    """A session under the write lock: all of it is written, or nothing.

    Raises:
        Busy: another change held the lock for longer than we wait.
        NoShop: the database cannot be written or reached.
    """
    with translated(engine), engine.connect() as plain:
        connection = plain.execution_options(writing=True)
        with lock_taken(connection, waiting or Waiting()):
            session = session_on(connection)
            yield session
            session.flush()


def session_on(connection: Connection) -> Session:
    """A session that joins the connection's transaction and leaves its end to us."""
    return Session(connection, expire_on_commit=False, join_transaction_mode="control_fully")


@contextmanager
def begun(connection: Connection) -> Iterator[None]:
    """The connection's transaction, rolled back at the end."""
    transaction = connection.begin()
    try:
        yield
    finally:
        transaction.rollback()


@contextmanager
def lock_taken(connection: Connection, waiting: Waiting) -> Iterator[None]:
    """The connection's transaction under the write lock, committed unless something is raised."""
    until = time.monotonic() + waiting.seconds
    told = waiting.tell is None
    while True:
        try:
            transaction = connection.begin()
            break
        except OperationalError as error:
            connection.rollback()
            if not is_locked(error):
                raise
            if time.monotonic() >= until:
                raise Busy(
                    f"another command is writing to the record; waited {waiting.seconds:g} s",
                    "nothing was changed; try again when it has finished",
                ) from error
            if not told and waiting.tell is not None:
                waiting.tell(f"another command is writing; waiting up to {waiting.seconds:g} s")
                told = True
    try:
        yield
    except BaseException:
        if transaction.is_active:
            transaction.rollback()
        raise
    transaction.commit()


def is_locked(error: DBAPIError) -> bool:
    """True where the database says that somebody else holds the lock."""
    if isinstance(error.orig, sqlite3.Error):
        return "locked" in str(error.orig)
    return getattr(error.orig, "sqlstate", None) == "55P03"


@contextmanager
def translated(engine: Engine) -> Iterator[None]:
    """Turns what a database says into what a framer can act on."""
    try:
        yield
    except DBAPIError as error:
        raise no_shop(engine, error) from error


def no_shop(engine: Engine, error: DBAPIError) -> NoShop | Busy | DBAPIError:
    """The refusal that a database error amounts to; the error itself where it is a bug of ours."""
    said = str(error.orig).strip().splitlines()[0] if str(error.orig).strip() else "no reason given"
    where = shown(engine.url) if sqlite_path(engine) is None else str(sqlite_path(engine))
    if is_locked(error):
        return Busy("another command is writing to the record", "try again when it has finished")
    for sign, message, remedy in SIGNS:
        if sign in said:
            return NoShop(f"{where}: {message}", remedy)
    if isinstance(error, OperationalError):
        return NoShop(f"{where}: {said}", "nothing was changed; check the database and try again")
    return error


SIGNS = (
    ("not a database", "this file is not a shop's record", "name another with --shop"),
    ("malformed", "the record is damaged", "restore the last backup"),
    ("readonly", "the record cannot be written", "check who may write the file and its folder"),
    ("read-only", "the record cannot be written", "check who may write to the database"),
    ("unable to open", "the record cannot be opened", "check the path and who may read it"),
    ("full", "the disk is full; nothing was changed", "make room and try again"),
    ("disk I/O", "the disk refused; nothing was changed", "check the disk and try again"),
)


def owner_only(path: Path) -> None:
    """Makes a new record readable by its owner alone, before anything is written to it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    os.close(os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))


def has_table(session: Session, name: str) -> bool:
    """True where the database holds a table of this name."""
    if session.get_bind().dialect.name == "sqlite":
        asked = text("SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = :name")
    else:
        asked = text("SELECT 1 WHERE to_regclass(:name) IS NOT NULL")
    return session.connection().execute(asked, {"name": name}).first() is not None
