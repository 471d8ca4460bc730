"""Numbers that stand on labels, tickets, cut sheets and orders: none is ever given twice.

A copy that is brought back knows nothing of what was numbered after it was made, but the labels are
on the rack. So the record keeps how far numbers had come, and goes on after that.
"""

from collections.abc import Mapping

from sqlalchemy import func
from sqlmodel import Session, SQLModel, col, select

from stockroom.record.order_tables import Purchase
from stockroom.record.tables import Job, Piece, Plan, Setting

__all__ = ["beyond", "given", "leave_out", "nonsense", "serial"]

NUMBERED: tuple[type[SQLModel], ...] = (Piece, Job, Plan, Purchase)
GAP = 1_000
"""Left out where nobody can tell what was given: to a round thousand, half of one at least."""
KEPT = "numbers given: "


def serial(session: Session, table: type[SQLModel]) -> int:
    """The next free number of a table; the write lock keeps it ours until we commit."""
    session.flush()
    highest = session.exec(select(func.max(col(table.id)))).one() or 0  # type: ignore[attr-defined]
    return max(highest, kept(session, table)) + 1


def kept(session: Session, table: type[SQLModel]) -> int:
    """How far a table's numbers had come when a copy was brought back; 0 where none was."""
    if table not in NUMBERED:
        return 0
    row = session.get(Setting, KEPT + table.__name__.lower())
    return int(row.value) if row is not None and is_number(row.value) else 0


def is_number(text: str) -> bool:
    """True for a number as it is kept."""
    return text.isascii() and text.isdecimal() and len(text) < 12


def nonsense(session: Session) -> list[str]:
    """The settings of this kind that nobody can have kept."""
    names = {KEPT + table.__name__.lower() for table in NUMBERED}
    rows = session.exec(select(Setting).where(col(Setting.name).startswith(KEPT))).all()
    return sorted(row.name for row in rows if row.name not in names or not is_number(row.value))


def given(session: Session) -> dict[type[SQLModel], int]:
    """The highest number that was ever given in each table whose numbers are written on things."""
    return {table: serial(session, table) - 1 for table in NUMBERED}


def beyond(known: Mapping[type[SQLModel], int]) -> dict[type[SQLModel], int]:
    """The round numbers to go on after where more may have been given than are known."""
    return {table: -(-(number + GAP // 2) // GAP) * GAP for table, number in known.items()}


def leave_out(session: Session, numbers: Mapping[type[SQLModel], int]) -> None:
    """Keeps that these numbers were given, where the record's own rows do not show it."""
    for table, number in numbers.items():
        if number >= serial(session, table):
            session.merge(Setting(name=KEPT + table.__name__.lower(), value=str(number)))
    session.flush()
