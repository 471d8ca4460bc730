"""Statements are compiled once for all the databases of a kind that the tests open, and the tables
of a new record are made by the migrations once in a process.

A command opens an engine of its own, as it does in a shop, and an engine begins with no compiled
statement: a third of the time of the tests of commands went there. What a statement becomes
depends on the kind of database alone, since all of a run have the same version.

Ten migrations take a third of a second; a file that is made after the first gets its tables as
those of the first read.
"""

from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine
from sqlalchemy.engine.default import DefaultDialect
from sqlalchemy.util import LRUCache

from stockroom.record import schema

STATEMENTS = 4_000
COMPILED: dict[type, LRUCache[Any, Any]] = {}
UPGRADE = schema.upgrade
TABLES = "SELECT COUNT(*) FROM sqlite_master"
SCRIPTS: dict[tuple[Path, str], list[str]] = {}


def share() -> None:
    """From now on, engines of one kind share what they compiled."""
    opens = Engine.__init__

    def shared(self: Engine, pool: Any, dialect: Any, url: Any, **options: Any) -> None:
        opens(self, pool, dialect, url, **options)
        cache = COMPILED.setdefault(type(dialect), LRUCache(STATEMENTS))
        self.update_execution_options(compiled_cache=cache)

    Engine.__init__ = shared  # type: ignore[method-assign, assignment]
    # The cache's keys name the dialect: two of a kind are one.
    DefaultDialect.__hash__ = lambda self: hash(type(self))  # type: ignore[method-assign]
    DefaultDialect.__eq__ = lambda self, other: type(self) is type(other)  # type: ignore[method-assign]
    schema.upgrade = made_once


def made_once(connection: Connection, version: str = "head") -> None:
    """Brings a database up to a version; an empty file gets what the first one came to hold."""
    if connection.dialect.name != "sqlite" or connection.exec_driver_sql(TABLES).scalar():
        UPGRADE(connection, version)
        return
    driver: Any = connection.connection.dbapi_connection
    made = (schema.MIGRATIONS, version)
    if made not in SCRIPTS:
        UPGRADE(connection, version)
        SCRIPTS[made] = list(driver.iterdump())[1:-1]
        return
    for statement in SCRIPTS[made]:
        connection.exec_driver_sql(statement)
