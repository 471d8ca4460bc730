"""What the tables share: the names of constraints, aware UTC moments, words from lists."""

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import JSON, CheckConstraint, DateTime, Dialect, TypeDecorator
from sqlmodel import SQLModel

__all__ = ["ADDED", "ENDS", "LIST", "PARTED", "PLACES", "STAGES", "UtcTime", "added", "one_of"]

PARTED = ("sold", "sample", "gift")
"""What a length leaves the shop as, outside any plan."""
PLACES = ("supplier", "rack", "rails", "saw", "scrap", "found", "missing", "returned", *PARTED)
ENDS = ("factory", "cut", "square")
LIST = JSON(none_as_null=True)
"""A list that may be none, which queries see as null."""
STAGES = ("", "joined", "fitted", "ready", "collected")
"""How far a job is after it is cut, in this order."""

ADDED = "what the rows of before hold"

SQLModel.metadata.naming_convention = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}


def added(was: str | int | None = None) -> dict[str, Any]:
    """For ``Field(sa_column_kwargs=...)`` of a column that is added to a table of sealed rows.

    ``was`` is what the migration gives the rows of before; their seals know nothing of it.
    """
    return {"info": {ADDED: was}}


class UtcTime(TypeDecorator[datetime]):
    """An aware UTC moment; a naive one is refused, and one read back is aware again."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """To the database: naive UTC.

        Raises:
            ValueError: the moment has no time zone.
        """
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"{value} has no time zone")
        return value.astimezone(UTC).replace(tzinfo=None)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """From the database: aware UTC."""
        return None if value is None else value.replace(tzinfo=UTC)


def one_of(column: str, values: tuple[str, ...]) -> CheckConstraint:
    """The column holds one of these words."""
    words = ", ".join(f"'{value}'" for value in values)
    return CheckConstraint(f"{column} IN ({words})", name=f"{column}_known")
