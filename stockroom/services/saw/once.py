"""A report that may come twice: a device marks it with a key, and it is recorded once.

The key stands in the entry's detail. It is looked up under the write lock, among the entries about
the report's piece; an entry that was undone counts too, so that a late retry never cuts again.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlmodel import Session, col, select

from stockroom.record.tables import Entry, Touch

__all__ = ["UNMARKED", "Mark", "entry_marked"]


@dataclass(frozen=True, slots=True)
class Mark:
    """What a device says of its report: a key of its own, and when it happened at the bench."""

    key: str = ""
    at: datetime | None = None

    @property
    def detail(self) -> dict[str, Any]:
        """What the entry keeps of it; the entry's own time is that of writing."""
        kept: dict[str, Any] = {"key": self.key} if self.key else {}
        if self.at is not None:
            kept["cut_at"] = self.at.isoformat(timespec="seconds")
        return kept


UNMARKED = Mark()


def entry_marked(session: Session, piece: int, mark: Mark) -> Entry | None:
    """The entry about this piece that was made by a report of this key, if there is one."""
    if not mark.key:
        return None
    entries = session.exec(
        select(Entry)
        .join(Touch)
        .where(Touch.what == "piece", Touch.which == str(piece))
        .order_by(col(Entry.id))
    )
    return next((entry for entry in entries if entry.detail.get("key") == mark.key), None)
