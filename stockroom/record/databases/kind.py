"""What a kind of database does its own way; all else of a record is alike in any."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Column, ColumnElement, Engine, String, type_coerce
from sqlalchemy.engine import URL
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import NullPool, Pool

__all__ = ["DatabaseKind", "Opens", "as_it_lies"]

Opens = Callable[[URL, type[Pool]], Engine]


def as_it_lies(column: Column[Any], _kind: object) -> ColumnElement[Any]:
    """A cell as a text or a number, where that is how it lies there."""
    return type_coerce(column, String)


@dataclass(frozen=True, slots=True)
class DatabaseKind:
    """A kind of database: it keeps transactions, foreign keys, and indexes of some rows alone.

    ``opens`` gives an engine on a URL, whose connections begin a transaction as a reader's, or with
    the option ``lock_wait_ms`` under the one lock of all writers; ``locked`` is true of the fault
    where that was held for so long. ``has_table`` asks for a table's ``:name``; ``rail_in_list`` is
    the number at ``r.rail`` of the list ``f.rails_um``. ``cell`` gives a column of this type as the
    same text or whole number as in any other kind: a day 2026-11-23, a moment with its
    microseconds, true as 1.
    """

    opens: Opens
    locked: Callable[[DBAPIError], bool]
    has_table: str
    rail_in_list: str
    cell: Callable[[Column[Any], object], ColumnElement[Any]] = as_it_lies

    def open(self, url: URL, pool: type[Pool] = NullPool) -> Engine:
        """An engine; ``pool`` says what becomes of a connection after its transaction.

        Raises:
            NoShop: the URL is not understood, or its driver is not installed.
        """
        return self.opens(url, pool)
