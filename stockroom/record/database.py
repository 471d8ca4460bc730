"""Opening the shop's database, and the two kinds of transaction: reading and changing.

SQLite serves one computer, PostgreSQL several; one URL says which. A changing transaction takes
the shop's single write lock at its first statement, so that what it reads stays true until it
commits: ``BEGIN IMMEDIATE`` on SQLite, an advisory lock on PostgreSQL.
"""

import re
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, Engine, text
from sqlalchemy.engine import URL, RootTransaction, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, OperationalError
from sqlmodel import Session

from stockroom.facts import Fact
from stockroom.record.database_errors import damaged, lost_at_commit, shown, translated
from stockroom.record.databases.known_kinds import KINDS, kind_of
from stockroom.record.row_text import strange_cells
from stockroom.record.seal import seal, watch
from stockroom.refusals import Busy, NoShop, Recorded, Unreadable

__all__ = [
    "Key",
    "Waiting",
    "changing",
    "engine_for",
    "reading",
    "session_on",
    "shown",
    "sqlite_path",
]

WAIT_SECONDS = 10.0
SAY_AFTER_SECONDS = 0.5
NO_FILE = re.compile(r"^postgres[a-z+]*:|pass[a-z]* *=|^[^:@]+:[^@/\\]+@", re.IGNORECASE)
"""What is no file's name, but a server's address as it is written elsewhere, or user:password@."""
KEY = re.compile(r"[A-Za-z0-9._-]{8,64}")


class Key:
    """The key of one command, which its entry carries: repeated under it, it is recorded once.

    A command that makes several changes numbers them under its key.

    Raises:
        Unreadable: it is too short to be nobody else's, too long, or no plain text.
    """

    def __init__(self, typed: str) -> None:
        if not KEY.fullmatch(typed):
            raise Unreadable(typed, "of_key")
        self.typed = typed
        self.used = 0

    def __str__(self) -> str:
        return f"{self.typed}#{self.used + 1}" if self.used else self.typed


@dataclass(frozen=True, slots=True)
class Waiting:
    """How a change is made: how long it waits for another to finish, whom it tells so, under which
    key, and what is done before, such as the day's backup."""

    seconds: float = WAIT_SECONDS
    tell: Callable[[Fact], None] | None = None
    key: Key | None = None
    before: Callable[[], None] | None = None


def sqlite_path(engine: Engine) -> Path | None:
    """The file behind an SQLite engine; None for a server."""
    return Path(str(engine.url.database)) if engine.dialect.name == "sqlite" else None


def engine_for(shop: str) -> Engine:
    """An engine for a shop given as a file's path or a database URL.

    Raises:
        NoShop: the URL is not understood, or names a kind of database that is not served.
    """
    try:
        url = make_url(shop) if "://" in shop else URL.create("sqlite", database=shop)
        kind = url.get_backend_name()
        lost = "@" in (url.host or "") or (kind == "sqlite" and url.username)
        if lost or NO_FILE.search(shop if "://" not in shop else ""):
            raise ValueError("a password may stand in it, so it is not shown")
    except (ArgumentError, ValueError):
        raise NoShop("shop_url_unclear") from None
    if kind not in KINDS:
        raise NoShop("database_not_served", kind=kind)
    return KINDS[kind].open(url)


@contextmanager
def reading(engine: Engine) -> Iterator[Session]:
    """A session that sees one moment of the record and changes nothing."""
    with translated(engine, read=True), engine.connect() as connection, begun(connection):
        session = session_on(connection)
        with understood(session, engine):
            yield session


@contextmanager
def understood(session: Session, engine: Engine) -> Iterator[None]:
    """What a text in place of a number or a day leads to is the record's damage.

    Raises:
        Damaged: there is one.
    """
    try:
        yield
    except (TypeError, ValueError) as error:
        if isinstance(error, UnicodeError) or not any(strange_cells(session)):
            raise
        raise damaged(engine) from error


@contextmanager
def changing(
    engine: Engine, waiting: Waiting | None = None, *, dry_run: bool = False
) -> Iterator[Session]:
    """A session under the write lock: all of it is written, or nothing; nothing in a dry run.

    Raises:
        Busy: another change held the lock for longer than we wait.
        Recorded: it was made before under the same key.
        NoShop: the database cannot be written or reached.
    """
    waiting = waiting or Waiting()
    if waiting.before is not None and not dry_run:
        waiting.before()
    with translated(engine), engine.connect() as connection:
        transaction = lock_taken(connection, waiting)
        try:
            session = session_on(connection)
            if waiting.key is not None:
                refuse_recorded(session, str(waiting.key))
            watch(session)
            with understood(session, engine):
                yield session
            session.flush()
            seal(session, None if waiting.key is None else str(waiting.key))
        except BaseException:
            if transaction.is_active:
                transaction.rollback()
            raise
        if dry_run:
            transaction.rollback()
        else:
            commit(engine, transaction, waiting.key)


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


def lock_taken(connection: Connection, waiting: Waiting) -> RootTransaction:
    """The connection's transaction under the write lock.

    The first wait is short; then it says that it waits, and keeps its place in the queue.

    Raises:
        Busy: another change held the lock for longer than we wait.
    """
    since = time.monotonic()
    transaction = begun_within(connection, min(SAY_AFTER_SECONDS, waiting.seconds))
    if transaction is None and waiting.seconds > SAY_AFTER_SECONDS:
        if waiting.tell is not None:
            waiting.tell(Fact("waiting_for_another", {"seconds": waiting.seconds}))
        left = max(0.0, waiting.seconds - (time.monotonic() - since))
        transaction = begun_within(connection, left)
    if transaction is None:
        raise Busy("another_writes_waited", seconds=waiting.seconds)
    return transaction


def begun_within(connection: Connection, seconds: float) -> RootTransaction | None:
    """The connection's transaction under the write lock; None where it was not free in time."""
    connection.execution_options(lock_wait_ms=max(1, round(seconds * 1000)))
    try:
        return connection.begin()
    except OperationalError as error:
        connection.rollback()
        if kind_of(connection).locked(error):
            return None
        raise


def commit(engine: Engine, transaction: RootTransaction, key: Key | None) -> None:
    """Writes what was changed for good.

    Raises:
        NoShop: it failed at the last moment; says how to repeat it so that it is recorded once.
    """
    try:
        transaction.commit()
    except DBAPIError as error:
        raise lost_at_commit(engine, None if key is None else str(key)) from error
    if key is not None:
        key.used += 1


def refuse_recorded(session: Session, key: str) -> None:
    """Nothing is recorded under this key yet, undone entries included.

    Raises:
        Recorded: something is.
    """
    asked = text("""SELECT e.id, e.kind, e.who, u.id FROM entry e
        LEFT JOIN entry u ON u.reverses = e.id WHERE e.key = :key""")
    found = session.connection().execute(asked, {"key": key}).first()
    if found is not None:
        raise Recorded(*found)


def has_table(session: Session, name: str) -> bool:
    """True where the database holds a table of this name."""
    connection = session.connection()
    asked = text(kind_of(connection).has_table)
    return connection.execute(asked, {"name": name}).first() is not None
