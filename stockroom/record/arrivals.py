"""Pieces that come on the record, one or thousands at once: their rows, places and flaws."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import count
from typing import Any

from sqlmodel import Session, SQLModel, col, select

from stockroom.record.catalogue import add_batch
from stockroom.record.ledger import Hand
from stockroom.record.numbering import serial
from stockroom.record.seal import add_rows
from stockroom.record.tables import Batch, Entry, Flaw, Line, Move, Piece, Touch
from stockroom.units.lengths import Micrometres
from stockroom.units.texts import kept_text

__all__ = ["UNPRINTED", "Incoming", "bring_in", "bring_in_all", "delivered_batch", "implied_ends"]

UNPRINTED = ("", "-")
"""What is typed where no batch is printed on a box."""


@dataclass(frozen=True, slots=True)
class Incoming:
    """A piece that comes in; its length comes with the entry's lines. Flaws in micrometres.

    Its ends, the label's first, are those of a stick or of an offcut cut at both where not told.
    The longest rail that it gives, its grade, owner and first motif are as a ``Piece`` has them.
    """

    profile: str
    batch: str
    kind: str
    spot: str = ""
    parent: int | None = None
    number: int | None = None
    note: str = ""
    since: date | None = None
    ends: Sequence[str] = ()
    flaws: Sequence[tuple[int, int]] = ()
    longest: Micrometres | None = None
    grade: str = ""
    owner: str = ""
    motif: Micrometres | None = None


def bring_in(session: Session, entry: int, hand: Hand, **told: Any) -> int:
    """Puts one new piece on the record, told as an ``Incoming``; gives its number."""
    return bring_in_all(session, entry, hand, [Incoming(**told)])[0]


def bring_in_all(session: Session, entry: int, hand: Hand, pieces: Sequence[Incoming]) -> list[int]:
    """Puts new pieces on the record in an entry; gives their numbers.

    Those without a number of their own are numbered after all that have one.
    """
    own = [piece.number for piece in pieces if piece.number is not None]
    free = max(serial(session, Piece), max(own, default=0) + 1)
    move, flaw = serial(session, Move), serial(session, Flaw)
    numbers: list[int] = []
    rows: dict[type[SQLModel], list[dict[str, Any]]] = {Piece: [], Touch: [], Move: [], Flaw: []}
    for piece in pieces:
        number = free if piece.number is None else piece.number
        free += piece.number is None
        numbers.append(number)
        rows[Piece].append(row_of(piece, number, entry, hand))
        rows[Touch].append({"entry_id": entry, "what": "piece", "which": str(number)})
        if spot := kept_text(piece.spot, "place", 40):
            rows[Move].append({"id": move, "piece_id": number, "spot": spot, "moved_in": entry,
                               "lifted_in": None})  # fmt: skip
            move += 1
        for start, end in piece.flaws:
            rows[Flaw].append({"id": flaw, "piece_id": number, "start_um": start, "end_um": end,
                               "marked_in": entry, "lifted_in": None})  # fmt: skip
            flaw += 1
    for table, added in rows.items():
        add_rows(session, table, added)
    return numbers


def row_of(piece: Incoming, number: int, entry: int, hand: Hand) -> dict[str, Any]:
    """A piece as it is kept."""
    label_end, far_end = piece.ends or implied_ends(piece.kind)
    return {
        "id": number, "profile_code": piece.profile, "batch_code": piece.batch,
        "kind": piece.kind, "parent_id": piece.parent, "label_end": label_end,
        "far_end": far_end, "came_in": entry, "left_in": None,
        "since": piece.since or hand.day, "note": kept_text(piece.note, "note"),
        "longest_um": piece.longest, "grade": piece.grade, "motif_um": piece.motif,
        "owner": kept_text(piece.owner, "customer"),
    }  # fmt: skip


def implied_ends(kind: str) -> tuple[str, str]:
    """What both ends of a piece are where nobody said: as bought, or mitred."""
    end = "factory" if kind == "stick" else "cut"
    return end, end


def delivered_batch(session: Session, hand: Hand, profile: str, typed: str) -> str:
    """The batch of what came from a supplier, put on the record. Where none is printed on the box
    the delivery is the batch, apart from all others: what one command brings is one delivery."""
    if typed.strip() not in UNPRINTED:
        return add_batch(session, profile, typed)
    of_the_day = (f"D{hand.day.isoformat()}" + f"-{time}" * (time > 1) for time in count(1))
    return add_batch(session, profile, next(
        code for code in of_the_day if brought(session, profile, code) in (None, hand.at)
    ))  # fmt: skip


def brought(session: Session, profile: str, code: str) -> datetime | None:
    """When something was brought of this batch last; none where it is not on the record."""
    if session.get(Batch, (profile, code)) is None:
        return None
    return session.exec(
        select(Entry.at).join(Line, col(Line.entry_id) == Entry.id)
        .where(Line.profile_code == profile, Line.batch_code == code)
        .order_by(col(Line.id).desc()).limit(1)
    ).first()  # fmt: skip
