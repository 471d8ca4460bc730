"""Whose it is that lies where a record would be: a record's, or another program's."""

import re

from sqlalchemy import text
from sqlmodel import Session

from stockroom.record.copies import OURS
from stockroom.record.database import has_table
from stockroom.record.database_errors import place_of
from stockroom.refusals import Refused
from stockroom.remedies import Do, Remedy

__all__ = ["BOOKKEEPING", "FIRST", "TRACES", "lies_here", "lies_in_public", "ours_in",
           "refuse_foreign"]  # fmt: skip

BOOKKEEPING = "alembic_version"
FIRST = ("entry", "line", "piece")
"""Tables that every version of a record has."""
TRACES = 5
"""So many of a record's tables: it was a record, though it is no whole one any more."""


def ours_in(session: Session) -> set[str]:
    """Which of a record's own tables the database holds."""
    return {name for name in OURS if has_table(session, name)}


def lies_here(session: Session) -> bool:
    """True where the database holds a record, or what is left of one."""
    return bool(ours_in(session)) or has_table(session, BOOKKEEPING) or lies_in_public(session)


def refuse_foreign(session: Session) -> None:
    """What lies under names of ours is a record's: many of its tables, or a version of ours.

    Raises:
        Refused: it is another program's.
    """
    if len(ours_in(session)) >= TRACES or not lies_here(session) or lies_in_public(session):
        return
    if has_table(session, BOOKKEEPING):
        row = session.connection().execute(text(f"SELECT * FROM {BOOKKEEPING}")).first()
        if row is not None and re.fullmatch("[0-9]{4}", str(row[0])):
            return
    place = place_of(session.connection().engine)
    raise Refused("foreign_file_left", Remedy(Do.OTHER_SHOP_OR_MOVE), path=place)


def lies_in_public(session: Session) -> bool:
    """True where the record was made by an older program, in the schema that all share."""
    if session.connection().dialect.name != "postgresql":
        return False
    return all(has_table(session, f"public.{name}") for name in (BOOKKEEPING, *FIRST))
