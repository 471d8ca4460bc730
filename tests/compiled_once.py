"""Statements are compiled once for all the databases of a kind that the tests open, the tables of a
new record are made by the migrations once in a process, and tables alike are read once.

A command opens an engine of its own, as it does in a shop, and an engine begins with no compiled
statement: a third of the time of the tests of commands went there. What a statement becomes
depends on the kind of database alone, since all of a run have the same version.

Ten migrations take a third of a second; a file that is made after the first gets its tables as
those of the first read, and a database on a server what the first was told. A copy is made
through the tables as they are in the database; those that are defined the same there to the
letter are the same tables, and what reads them is compiled.
"""

from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, Table, event
from sqlalchemy.engine.default import DefaultDialect
from sqlalchemy.util import LRUCache
from sqlmodel import Session

from stockroom.record import copies, schema

STATEMENTS = 4_000
COMPILED: dict[type, LRUCache[Any, Any]] = {}
UPGRADE = schema.upgrade
TABLES = {
    "sqlite": "SELECT COUNT(*) FROM sqlite_master",
    "postgresql": """
        SELECT COUNT(*) FROM pg_class WHERE relnamespace = current_schema()::regnamespace""",
}
SCRIPTS: dict[tuple[str, Path, str], list[tuple[str, Any]]] = {}
TABLES_OF = copies.tables_of
DEFINED = {
    "sqlite": "SELECT name, sql FROM sqlite_master ORDER BY name",
    "postgresql": """
        SELECT relname, attname, format_type(atttypid, atttypmod), attnotnull::text
        FROM pg_attribute JOIN pg_class ON pg_class.oid = attrelid
        WHERE attnum > 0 AND relkind = 'r' AND relnamespace = current_schema()::regnamespace
        UNION SELECT conrelid::regclass::text, conname, pg_get_constraintdef(oid), ''
        FROM pg_constraint WHERE connamespace = current_schema()::regnamespace ORDER BY 1, 2""",
}
FOUND: dict[tuple[str, str], list[Table]] = {}


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
    copies.tables_of = schema.tables_of = read_once  # type: ignore[attr-defined]


def read_once(session: Session) -> list[Table]:
    """The record's own tables, those of another database where they are defined alike."""
    connection = session.connection()
    kind = connection.dialect.name
    defined = kind, repr(connection.exec_driver_sql(DEFINED[kind]).all())
    if defined not in FOUND:
        FOUND[defined] = TABLES_OF(session)
    return FOUND[defined]


def made_once(connection: Connection, version: str = "head") -> None:
    """Brings a database up to a version; an empty one gets what the first one came to hold."""
    kind = connection.dialect.name
    if connection.exec_driver_sql(TABLES[kind]).scalar():
        UPGRADE(connection, version)
        return
    made = (kind, schema.MIGRATIONS, version)
    if made not in SCRIPTS:
        told = made_first(connection, version)
        driver: Any = connection.connection.dbapi_connection
        if kind == "sqlite":
            told = [(statement, ()) for statement in list(driver.iterdump())[1:-1]]
        SCRIPTS[made] = told
        return
    for statement, values in SCRIPTS[made]:
        connection.exec_driver_sql(statement, values)


def made_first(connection: Connection, version: str) -> list[tuple[str, Any]]:
    """Brings an empty database up to a version; gives what it is told to do."""
    told: list[tuple[str, Any]] = []

    def hear(_: Any, cursor: Any, statement: str, values: Any, *more: Any) -> None:
        if not statement.lstrip().startswith("SELECT"):
            told.append((statement, values))

    event.listen(connection, "before_cursor_execute", hear)
    UPGRADE(connection, version)
    event.remove(connection, "before_cursor_execute", hear)
    return told
