"""The ledger: entries whose lines sum to zero, written once; all that is on hand is folded here.

Length moves between places: supplier, rack (by piece), rails (by frame and rail), saw, scrap,
found, missing, returned, sold, sample, gift. Positive into a place, negative out of it.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import Any

import sqlalchemy
from sqlalchemy import ColumnElement, and_, func
from sqlalchemy.orm import aliased
from sqlmodel import Session, SQLModel, col, select

from stockroom.record.numbering import serial
from stockroom.record.seal import add_rows
from stockroom.record.tables import Entry, Flaw, Line, Move, Piece, Touch
from stockroom.refusals import Refused, StockroomError
from stockroom.remedies import Do, Remedy
from stockroom.units.lengths import Micrometres
from stockroom.units.texts import kept_text

__all__ = [
    "BATCH", "Flow", "Hand", "LedgerBug", "RackPiece", "on_rack", "open_entries", "post", "put_at",
    "rails_cut", "spots_of", "stands", "take_off", "undoings",
]  # fmt: skip


PIECE, FLAW, MOVE, HELD = (
    SQLModel.metadata.tables[name] for name in ("piece", "flaw", "move", "planpiece")
)
LIES = ["id", "profile_code", "batch_code", "kind", "since", "note", "label_end", "far_end",
        "longest_um", "grade", "owner", "motif_um"]  # fmt: skip
BATCH = "batch"
"""The kind of entry that says of which batch pieces and rails are."""
MOST_AT_ONCE = 10_000
"""Numbers asked for in one query; a server takes no more than 65 535."""


class LedgerBug(StockroomError):
    """An entry that would not balance was about to be written: a fault of the program."""

    exit_code = 17


@dataclass(frozen=True, slots=True)
class Hand:
    """Who is at the bench, on which of the shop's days, and when."""

    who: str
    day: date
    at: datetime = field(default_factory=lambda: datetime.now(UTC))

    def __post_init__(self) -> None:
        if not kept_text(self.who, "name of who is at the bench", 80):
            raise Refused("nobody_named", Remedy(Do.WHO))


@dataclass(frozen=True, slots=True)
class Flow:
    """One line of an entry to be: length (um) into a place, or out of it where negative."""

    place: str
    length: Micrometres
    profile: str
    batch: str
    piece: int | None = None
    frame: int | None = None
    rail: int | None = None
    cause: str = ""


@dataclass(frozen=True, slots=True)
class RackPiece:
    """A piece as it lies on the rack now; lengths in micrometres, flaws from its label's end.

    ``ends`` are what the label's end and the far one are. A bowed one gives rails up to
    ``longest`` alone; an ``owner`` is the customer whose it is; ``motif`` is its first one's place.
    """

    id: int
    profile: str
    batch: str
    kind: str
    length: Micrometres
    spot: str
    since: date
    flaws: tuple[tuple[int, int], ...]
    held_by: int | None
    note: str
    ends: tuple[str, ...] = ()
    longest: Micrometres | None = None
    grade: str = ""
    owner: str = ""
    motif: Micrometres | None = None


def open_entry(
    session: Session, hand: Hand, kind: str, *, why: str = "", detail: dict[str, Any] | None = None,
    touches: Iterable[tuple[str, int | str]] = (), reverses: int | None = None,
) -> int:  # fmt: skip
    """Begins an entry and says what it is about; its lines follow with ``add_lines``."""
    number = serial(session, Entry)
    row = entry_row(hand, number, kind, kept_text(why, "reason"), detail or {}, reverses)
    add_rows(session, Entry, [row])
    touch(session, number, touches)
    return number


def open_entries(
    session: Session, hand: Hand, kinds: Sequence[str], about: Sequence[tuple[str, int]],
    details: Sequence[dict[str, Any]],
) -> range:  # fmt: skip
    """Begins an entry of each kind with its detail, about one thing each; gives their numbers."""
    first = serial(session, Entry)
    numbers = range(first, first + len(kinds))
    add_rows(session, Entry, [
        entry_row(hand, number, kind, detail=detail)
        for number, kind, detail in zip(numbers, kinds, details, strict=True)
    ])  # fmt: skip
    touches = [{"entry_id": number, "what": what, "which": str(which)}
               for number, (what, which) in zip(numbers, about, strict=True)]  # fmt: skip
    add_rows(session, Touch, touches)
    return numbers


def entry_row(
    hand: Hand, number: int, kind: str, why: str = "",
    detail: dict[str, Any] | None = None, reverses: int | None = None,
) -> dict[str, Any]:  # fmt: skip
    """An entry as it is kept; its key and its seal come at its end."""
    return {"id": number, "at": hand.at, "day": hand.day, "kind": kind, "who": hand.who,
            "why": why, "reverses": reverses, "detail": detail or {}, "key": None,
            "seal": None}  # fmt: skip


def stands(entry: type[Entry] = Entry) -> ColumnElement[bool]:
    """True of an entry that was not undone, and undoes none itself.

    Nearly all entries undo none, so that one is never to be looked for by the index of those.
    """
    later = aliased(Entry)
    undone = select(later.id).where(col(later.reverses) == entry.id).correlate(entry).exists()
    return and_(func.coalesce(entry.reverses, 0) == 0, ~undone)


def undoings(session: Session, entries: Collection[int]) -> dict[int, Entry]:
    """Those of these entries that were undone, each with the entry that undid it."""
    rows = session.exec(select(Entry).where(col(Entry.reverses).in_(entries)))
    return {row.reverses: row for row in rows if row.reverses is not None}


def touch(session: Session, entry: int, touches: Iterable[tuple[str, int | str]]) -> None:
    """Adds what an entry is about, each once."""
    for what, which in dict.fromkeys((what, str(which)) for what, which in touches):
        if session.get(Touch, (entry, what, which)) is None:
            session.add(Touch(entry_id=entry, what=what, which=which))
    session.flush()


def add_lines(
    session: Session, entry: int, flows: Sequence[Flow], *, across_batches: bool = False
) -> None:
    """Writes the lines of an entry.

    ``across_batches``: what leaves one batch comes to another at the same place.

    Raises:
        LedgerBug: they do not sum to zero for each profile and batch, or would leave a piece
            with less than nothing.
    """
    sums: dict[tuple[str, str], int] = {}
    for flow in flows:
        key = (flow.profile, flow.place if across_batches else flow.batch)
        sums[key] = sums.get(key, 0) + flow.length
    if off := {key: total for key, total in sums.items() if total}:
        raise LedgerBug(f"an entry's lines do not sum to zero: {off}", "please report this")
    number = serial(session, Line)
    moved = [flow for flow in flows if flow.length]
    add_rows(session, Line, [
        {"id": line, "entry_id": entry, "place": flow.place, "cause": flow.cause,
         "profile_code": flow.profile, "batch_code": flow.batch, "piece_id": flow.piece,
         "frame_id": flow.frame, "rail": flow.rail, "length_um": flow.length}
        for line, flow in enumerate(moved, number)
    ])  # fmt: skip
    taken = sorted({flow.piece for flow in moved if flow.piece is not None and flow.length < 0})
    for start in range(0, len(taken), MOST_AT_ONCE):
        for piece, left in held_by(session, taken[start : start + MOST_AT_ONCE]):
            if left < 0:
                raise LedgerBug(f"piece {piece} would hold {left} um", "please report this")


def post(
    session: Session,
    hand: Hand,
    kind: str,
    flows: Sequence[Flow] = (),
    *,
    why: str = "",
    detail: dict[str, Any] | None = None,
    touches: Iterable[tuple[str, int | str]] = (),
) -> int:
    """Writes an entry whose pieces are on the record already; gives its number."""
    entry = open_entry(session, hand, kind, why=why, detail=detail, touches=touches)
    touch(session, entry, [("piece", flow.piece) for flow in flows if flow.piece is not None])
    add_lines(session, entry, flows)
    return entry


def put_at(session: Session, entry: int, piece: int, spot: str) -> None:
    """Records where on the rack a piece was put."""
    if spot := kept_text(spot, "place", 40):
        number = serial(session, Move)
        session.add(Move(id=number, piece_id=piece, spot=spot, moved_in=entry))
        session.flush()


def mark_flaws(session: Session, entry: int, piece: int, flaws: Iterable[tuple[int, int]]) -> None:
    """Records stretches of a piece that cannot be used."""
    for start, end in flaws:
        number = serial(session, Flaw)
        session.add(Flaw(id=number, piece_id=piece, start_um=start, end_um=end, marked_in=entry))
    session.flush()


def take_off(session: Session, entry: int, piece: int) -> None:
    """Records that a piece left the rack in this entry."""
    row = session.get_one(Piece, piece)
    row.left_in = entry
    session.add(row)
    session.flush()


def held_by(session: Session, pieces: Sequence[int]) -> list[tuple[int, int]]:
    """These pieces, each with what it holds now, folded from its lines, micrometres."""
    asked = (select(Line.piece_id, func.sum(Line.length_um)).group_by(col(Line.piece_id))
             .where(col(Line.piece_id).in_(pieces), Line.place == "rack"))  # fmt: skip
    return [(piece, length) for piece, length in session.exec(asked) if piece is not None]


def on_rack(
    session: Session, profile: str | None = None, ids: Sequence[int] | None = None
) -> list[RackPiece]:
    """The pieces that lie on the rack, by number; those of a profile, or of these ids, if given."""
    chosen: list[ColumnElement[bool]] = [col(Piece.left_in).is_(None)]
    if profile is not None:
        chosen.append(col(Piece.profile_code) == profile)
    if ids is not None:
        chosen.append(col(Piece.id).in_(ids))
    session.flush()
    ask = session.connection().execute
    # As columns: a thousand rows as objects of the tables take three times as long.
    asked = sqlalchemy.select(*(PIECE.c[name] for name in LIES), func.sum(Line.length_um))
    lying = ask(asked.join(Line).where(*chosen).group_by(PIECE.c.id).order_by(PIECE.c.id)).all()
    flaws: dict[int, list[tuple[int, int]]] = {}
    # What was lifted is left out here: the few rows of each piece are found by its number.
    for row in ask(sqlalchemy.select(FLAW).join(PIECE).where(*chosen)):
        if row.lifted_in is None:
            flaws.setdefault(row.piece_id, []).append((row.start_um, row.end_um))
    moves = ask(sqlalchemy.select(MOVE.c.piece_id, MOVE.c.spot, MOVE.c.lifted_in).join(PIECE)
                .where(*chosen).order_by(MOVE.c.id)).all()  # fmt: skip
    spots = {piece: spot for piece, spot, lifted in moves if lifted is None}
    held = ask(sqlalchemy.select(HELD).join(PIECE).where(*chosen, HELD.c.settled_in.is_(None)))
    plans = {row.piece_id: row.plan_id for row in held}
    return [
        RackPiece(piece, of, batch, kind, length, spots.get(piece, ""), since,
                  tuple(sorted(flaws.get(piece, ()))), plans.get(piece), note, (first, far), *marks)
        for piece, of, batch, kind, since, note, first, far, *marks, length in lying
    ]  # fmt: skip


def spots_of(session: Session, pieces: Sequence[int]) -> dict[int, str]:
    """Where these pieces lie, or last lay, by their numbers."""
    moves = session.exec(select(Move).where(col(Move.piece_id).in_(pieces)).order_by(col(Move.id)))
    return {row.piece_id: row.spot for row in moves if row.lifted_in is None}


def rails_cut(session: Session, frames: Sequence[int]) -> dict[tuple[int, int], str]:
    """The rails of these frames that are cut and stand, each with the batch it came from."""
    cut: dict[tuple[int, int], str] = {}
    for start in range(0, len(frames), MOST_AT_ONCE):
        rows = session.exec(
            select(Line.frame_id, Line.rail, Line.batch_code, func.sum(Line.length_um))
            .where(col(Line.frame_id).in_(frames[start : start + MOST_AT_ONCE]))
            .group_by(col(Line.frame_id), col(Line.rail), col(Line.batch_code))
        ).all()
        cut |= {
            (frame, rail): batch
            for frame, rail, batch, length in rows
            if length > 0 and frame is not None and rail is not None
        }
    return cut
