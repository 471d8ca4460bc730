"""The whole proof of a record: its audit, and that what is kept as typed can be typed."""

from collections.abc import Iterator

from sqlmodel import Session, col, select

from stockroom.record.audit import Violation, audit
from stockroom.record.numbering import nonsense
from stockroom.record.tables import Profile
from stockroom.refusals import StockroomError
from stockroom.settings.shop_settings import not_understood
from stockroom.settings.wait_cost import read_wait
from stockroom.units.price_breaks import read_breaks

__all__ = ["faults_of"]

AS_TYPED = {"wait_cost": read_wait, "price_breaks": read_breaks}
"""What a profile keeps as it was typed, and how that is read."""


def faults_of(session: Session) -> list[Violation]:
    """All faults of a record; none where it is true."""
    settings = [f"setting {name}" for name in (*not_understood(session), *nonsense(session))]
    rules = {
        "it is a value that can be typed; its default holds": settings,
        "it is a value that can be typed": not_typed(session),
    }
    return audit(session) + [
        Violation(about, rule, 0, 1) for rule, faults in rules.items() for about in faults
    ]


def not_typed(session: Session) -> Iterator[str]:
    """The values of profiles that nobody can have typed."""
    for name, read in AS_TYPED.items():
        kept = select(Profile.code, getattr(Profile, name)).order_by(col(Profile.code))
        for code, value in session.exec(kept):
            try:
                if value is not None:
                    read(value)
            except StockroomError:
                yield f"{Profile.__tablename__} {code} {name}"
