"""Kinds of column that the tables share: aware UTC moments, and words from a list."""

from datetime import UTC, datetime

from sqlalchemy import CheckConstraint, DateTime, Dialect, TypeDecorator

__all__ = ["UtcTime", "one_of"]


class UtcTime(TypeDecorator[datetime]):
    """An aware UTC moment; a naive one is refused, and one read back is aware again."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """To the database: naive UTC."""
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
