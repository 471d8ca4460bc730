"""The learned worths that the record keeps: the newest of each profile that stands."""

from collections.abc import Collection

from sqlmodel import Session, col, select

from planner.values import Curve
from stockroom.record.ledger import stands
from stockroom.record.tables import Entry, Touch

__all__ = ["KIND", "curves_kept"]

KIND = "worth"


def curves_kept(session: Session, codes: Collection[str]) -> dict[str, Curve]:
    """The newest learned curve of each of these profiles; an undone one does not count."""
    rows = session.exec(
        select(Entry, Touch.which)
        .join(Touch, col(Touch.entry_id) == Entry.id)
        .where(col(Touch.what) == "profile", col(Touch.which).in_(list(codes)))
        .where(col(Entry.kind) == KIND, stands())
        .order_by(col(Entry.id))
    )
    return {which: tuple((x, w) for x, w in entry.detail["points_um"]) for entry, which in rows}
