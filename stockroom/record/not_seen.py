"""Pieces that were not at their place when they were fetched, until somebody sees them again."""

from collections.abc import Collection

from sqlmodel import Session, col, select

from stockroom.record.ledger import stands
from stockroom.record.tables import Entry, Touch

__all__ = ["NOT_THERE", "not_seen"]

NOT_THERE = "not_there"
"""What the detail of an entry 'left' says where the piece was not at its place."""
AT_ONCE = 500
"""Pieces asked about at once: they are found by the index of what entries are about."""
SEEN = ("cut", "move", "flaw", "remeasure", "count")
"""Entries about a piece that nobody makes who has not seen it."""


def not_seen(session: Session, pieces: Collection[int]) -> dict[int, Entry]:
    """Those of these pieces that were last looked for in vain, each with that entry."""
    asked = sorted(pieces)
    lost: dict[int, Entry] = {}
    for start in range(0, len(asked), AT_ONCE):
        some = [str(piece) for piece in asked[start : start + AT_ONCE]]
        rows = session.exec(
            select(Touch.which, Entry)
            .join(Entry, col(Entry.id) == Touch.entry_id)
            .where(Touch.what == "piece", col(Touch.which).in_(some), Entry.kind == "left")
            .order_by(col(Entry.id))
        )
        lost |= {int(piece): entry for piece, entry in rows if entry.detail.get(NOT_THERE)}
    return {piece: entry for piece, entry in lost.items() if not seen_after(session, piece, entry)}


def seen_after(session: Session, piece: int, entry: Entry) -> bool:
    """True where a later entry shows that somebody had the piece in hand."""
    later = session.exec(
        select(Entry.id)
        .join(Touch)
        .where(
            Touch.what == "piece", Touch.which == str(piece), col(Entry.id) > entry.id,
            col(Entry.kind).in_(SEEN), stands(),
        )
    ).first()  # fmt: skip
    return later is not None
