"""The kinds of database that are served, by the name that SQLAlchemy has for each."""

from sqlalchemy import Connection, Engine

from stockroom.record.databases.kind import DatabaseKind
from stockroom.record.databases.server import POSTGRESQL
from stockroom.record.databases.sqlite_file import SQLITE

__all__ = ["KINDS", "kind_of"]

KINDS = {"sqlite": SQLITE, "postgresql": POSTGRESQL}


def kind_of(database: Engine | Connection) -> DatabaseKind:
    """The kind of database that a record is in."""
    return KINDS[database.dialect.name]
