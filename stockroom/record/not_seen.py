"""Pieces that were not at their place when they were fetched, until somebody sees them again."""

from sqlmodel import Session, col, select

from stockroom.record.tables import Entry, Piece, PlanPiece, Touch

__all__ = ["NOT_THERE", "not_seen"]

NOT_THERE = "not_there"
"""What the detail of an entry 'left' says where the piece was not at its place."""
SEEN = ("cut", "move", "flaw", "remeasure", "count")
"""Entries about a piece that nobody makes who has not seen it."""


def not_seen(session: Session) -> dict[int, Entry]:
    """The pieces on the rack that were last looked for in vain, each with that entry."""
    rows = session.exec(
        select(PlanPiece.piece_id, Entry)
        .join(Piece, col(Piece.id) == PlanPiece.piece_id)
        .join(Entry, col(Entry.id) == PlanPiece.settled_in)
        .where(col(Piece.left_in).is_(None), Entry.kind == "left")
        .order_by(col(Entry.id))
    )
    lost = {piece: entry for piece, entry in rows if entry.detail.get(NOT_THERE)}
    return {piece: entry for piece, entry in lost.items() if not seen_after(session, piece, entry)}


def seen_after(session: Session, piece: int, entry: Entry) -> bool:
    """True where a later entry shows that somebody had the piece in hand."""
    undone = select(Entry.reverses).where(col(Entry.reverses).is_not(None))
    later = session.exec(
        select(Entry.id)
        .join(Touch)
        .where(
            Touch.what == "piece", Touch.which == str(piece), col(Entry.id) > entry.id,
            col(Entry.kind).in_(SEEN), col(Entry.id).not_in(undone),
        )
    ).first()  # fmt: skip
    return later is not None
