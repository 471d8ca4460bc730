"""A record in a file of SQLite: its pragmas, and how its transactions begin."""

import sqlite3
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import NullPool, Pool

from stockroom.record.databases.kind import DatabaseKind
from stockroom.refusals import NoShop
from stockroom.remedies import Do, Remedy

__all__ = ["SQLITE", "sqlite_engine"]

READ_WAIT_MS = 5_000


def sqlite_engine(url: URL, pool: type[Pool] = NullPool, *, keys: bool = True) -> Engine:
    """SQLite with the pragmas that keep a record safe, and BEGIN said by us, not the driver.

    ``keys`` False leaves foreign keys unchecked, as a migration that rebuilds a table needs.
    ``pool`` says what becomes of a connection after its transaction: usually it is closed.

    Raises:
        NoShop: the URL names no file.
    """
    name = url.database or ""
    if not name.strip() or name.startswith(":memory:") or not name.isprintable() or url.query:
        raise NoShop("shop_file_without_name", Remedy(Do.SHOP_FILE))
    driver = {"timeout": READ_WAIT_MS / 1000, "isolation_level": None}
    engine = create_engine(url.set(drivername="sqlite+pysqlite"), poolclass=pool,
                           connect_args=driver)  # fmt: skip

    @event.listens_for(engine, "connect")
    def set_pragmas(connection: Any, _record: Any) -> None:
        cursor = connection.cursor()
        cursor.execute(f"PRAGMA foreign_keys = {'ON' if keys else 'OFF'}")
        cursor.execute("PRAGMA synchronous = FULL")
        cursor.close()

    @event.listens_for(engine, "begin")
    def say_begin(connection: Connection) -> None:
        wait = connection.get_execution_options().get("lock_wait_ms")
        connection.exec_driver_sql(f"PRAGMA busy_timeout = {wait or READ_WAIT_MS}")
        connection.exec_driver_sql("BEGIN" if wait is None else "BEGIN IMMEDIATE")

    return engine


def locked(error: DBAPIError) -> bool:
    """True where another writes."""
    return isinstance(error.orig, sqlite3.Error) and "locked" in str(error.orig)


SQLITE = DatabaseKind(
    sqlite_engine,
    locked,
    "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = :name",
    "json_extract(f.rails_um, '$[' || r.rail || ']')",
)
