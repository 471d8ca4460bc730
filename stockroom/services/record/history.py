"""The record's memory: entries, the life of a piece with its ancestors and offspring, of a job."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import NamedTuple

from sqlalchemy import func
from sqlmodel import Session, col, select

from stockroom.facts import Fact
from stockroom.record.audit import Violation
from stockroom.record.database import reading
from stockroom.record.jobs import frame_label, job_named
from stockroom.record.ledger import BATCH, undoings
from stockroom.record.tables import Entry, Frame, Job, Line, Piece, Plan, Touch
from stockroom.refusals import Unknown
from stockroom.services.record.proof import faults_of
from stockroom.services.shop import Shop
from stockroom.units.lengths import Micrometres

__all__ = [
    "EntryRow",
    "PieceLife",
    "Touched",
    "audit_shop",
    "entry_row",
    "entry_rows",
    "job_life",
    "newest",
    "piece_life",
]


class Touched(NamedTuple):
    """A piece, job, plan or order that an entry is about, by its number."""

    what: str
    which: str

    @property
    def told(self) -> Fact:
        """It as a fact, for words."""
        return Fact(f"touched_{self.what}", {"which": self.which})


@dataclass(frozen=True, slots=True)
class EntryRow:
    """An entry in a trail: what it is about, and what moved where, in micrometres, by place."""

    number: int
    at: datetime
    day: date
    kind: str
    who: str
    why: str
    about: tuple[Touched, ...]
    moved: tuple[tuple[Fact, int], ...]
    reverses: int | None
    undone_by: int | None

    @property
    def called(self) -> str:
        """What it is called: rails that come cut to size are chops at many benches."""
        return "cut to size (chop)" if self.kind == "cut to size" else self.kind


@dataclass(frozen=True, slots=True)
class PieceLife:
    """A piece's life: what happened to it, and the lives of its offcuts."""

    number: int
    profile: str
    batch: str
    kind: str
    on_rack: bool
    length: Micrometres
    entries: tuple[EntryRow, ...]
    offspring: tuple["PieceLife", ...] = field(default=())


def audit_shop(shop: Shop) -> list[Violation]:
    """All faults of the shop's record."""
    with reading(shop.engine) as session:
        return faults_of(session)


def newest(shop: Shop) -> tuple[int, int]:
    """The numbers of the newest entry and of the newest plan; 0 where there is none.

    What changes the record raises one of them: a draft writes no entry.
    """
    with reading(shop.engine) as session:
        entry = session.exec(select(func.max(col(Entry.id)))).one()
        plan = session.exec(select(func.max(col(Plan.id)))).one()
    return entry or 0, plan or 0


def entry_rows(shop: Shop, *, last: int = 20) -> list[EntryRow]:
    """The newest entries, newest first."""
    with reading(shop.engine) as session:
        newest = session.exec(select(Entry).order_by(col(Entry.id).desc()).limit(last)).all()
        return rows_of(session, newest)


def entry_row(shop: Shop, number: int) -> EntryRow:
    """One entry.

    Raises:
        Unknown: there is none of this number.
    """
    with reading(shop.engine) as session:
        entry = session.get(Entry, number)
        if entry is None:
            raise Unknown("unknown_entry", str(number))
        return rows_of(session, [entry])[0]


def piece_life(shop: Shop, number: int) -> PieceLife:
    """The tree that a piece belongs to, from the first ancestor down.

    Raises:
        Unknown: no piece ever had this number.
    """
    with reading(shop.engine) as session:
        piece = session.get(Piece, number)
        if piece is None:
            raise Unknown("unknown_piece", str(number))
        while piece.parent_id is not None:
            piece = session.get_one(Piece, piece.parent_id)
        return life(session, piece)


def life(session: Session, piece: Piece) -> PieceLife:
    """A piece and all that came of it."""
    children = session.exec(
        select(Piece).where(Piece.parent_id == piece.id).order_by(col(Piece.id))
    ).all()
    lines = session.exec(select(Line.length_um).where(Line.piece_id == piece.id)).all()
    left = session.exec(
        select(Line.length_um).where(Line.piece_id == piece.id, Line.entry_id == piece.left_in)
    ).all()
    entries = rows_of(session, about(session, "piece", piece.id))
    return PieceLife(
        piece.id, piece.profile_code, piece.batch_code, piece.kind, piece.left_in is None,
        sum(lines) or -sum(left),
        tuple(of_piece(row, piece.id) for row in entries),
        tuple(life(session, child) for child in children),
    )  # fmt: skip


def of_piece(row: EntryRow, number: int) -> EntryRow:
    """An entry without the other pieces that came or were counted with this one."""
    came_with = row.kind in ("receive", "found", "count")
    if not came_with:
        return row
    about = tuple(one for one in row.about if one.what != "piece" or one.which == str(number))
    return replace(row, about=about, moved=tuple(m for m in row.moved if m[0] == on_rack(number)))


def job_life(shop: Shop, typed: str) -> list[EntryRow]:
    """What happened to a job, from measure to cut."""
    with reading(shop.engine) as session:
        job = job_named(session, typed)
        return rows_of(session, about(session, "job", job.id))


def about(session: Session, what: str, which: int) -> Sequence[Entry]:
    """The entries about something, oldest first."""
    return session.exec(
        select(Entry)
        .join(Touch)
        .where(Touch.what == what, Touch.which == str(which))
        .order_by(col(Entry.id))
    ).all()


def rows_of(session: Session, entries: Sequence[Entry]) -> list[EntryRow]:
    """These entries as rows of a trail."""
    ids = [entry.id for entry in entries]
    touches = session.exec(select(Touch).where(col(Touch.entry_id).in_(ids))).all()
    in_order = sorted(touches, key=lambda touch: (touch.what, len(touch.which), touch.which))
    lines = session.exec(
        select(Line, Frame, Job)
        .join(Frame, col(Line.frame_id) == Frame.id, isouter=True)
        .join(Job, col(Frame.job_id) == Job.id, isouter=True)
        .where(col(Line.entry_id).in_(ids))
        .order_by(col(Line.id))
    ).all()
    about: dict[int, list[Touched]] = defaultdict(list)
    for touch in in_order:
        if touch.what in ("piece", "job", "plan", "order"):
            about[touch.entry_id].append(Touched(touch.what, touch.which))
    moved: dict[int, list[tuple[Fact, int]]] = defaultdict(list)
    batches = {entry.id for entry in entries if BATCH in (entry.kind, kind_undone(session, entry))}
    for line, frame, job in lines:
        if line.entry_id in batches:
            continue  # Nothing moved: what left one batch came to the other.
        moved[line.entry_id].append((where(line, frame, job), line.length_um))
    undone = {entry: undoing.id for entry, undoing in undoings(session, ids).items()}
    return [
        EntryRow(
            entry.id, entry.at, entry.day, entry.kind, entry.who, entry.why,
            tuple(about[entry.id]), tuple(moved[entry.id]),
            entry.reverses, undone.get(entry.id),
        )
        for entry in entries
    ]  # fmt: skip


def kind_undone(session: Session, entry: Entry) -> str:
    """The kind of the entry that this one undoes; none where it undoes none."""
    return "" if entry.reverses is None else session.get_one(Entry, entry.reverses).kind


def on_rack(piece: int) -> Fact:
    """The place of a piece on the rack."""
    return Fact("place_on_rack", {"piece": piece})


def where(line: Line, frame: Frame | None, job: Job | None) -> Fact:
    """The place of a line: a piece on the rack, a frame's rail, or what took it and why."""
    if line.piece_id is not None:
        return on_rack(line.piece_id)
    if frame is not None and job is not None and line.rail is not None:
        return Fact("place_of_rail", {"rail": line.rail + 1, "frame": frame_label(job, frame)})
    place = Fact("cutting loss" if line.place == "saw" else line.place)
    return (
        Fact("place_and_cause", {"place": place, "cause": Fact(line.cause)})
        if line.cause
        else place
    )
