"""What the record tells of a span of days: lines that stand, pieces that lay on the rack, jobs."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from sqlalchemy import func
from sqlalchemy.orm import aliased
from sqlmodel import Session, col, select

from stockroom.record.jobs import FOR_STOCK, frames_for_stock
from stockroom.record.ledger import BATCH, stands
from stockroom.record.tables import Entry, Flaw, Job, Line
from stockroom.record.tables import Frame as FrameRow
from stockroom.record.tables import Piece as PieceRow
from stockroom.units.lengths import Micrometres

__all__ = [
    "Moved",
    "Span",
    "Stay",
    "jobs_of",
    "moved_in",
    "stays_in",
    "stock_cuts",
    "without_sent_back",
    "without_stock",
]


@dataclass(frozen=True, slots=True)
class Span:
    """The days of a replay; what came before its first cut's entry lay there from the start."""

    since: date
    until: date
    first_cut: int = 0

    @property
    def days(self) -> int:
        """How many days they are."""
        return (self.until - self.since).days + 1

    def number(self, day: date) -> int:
        """A day's number: 1 for the first; what lies before or after counts as an end."""
        return min(max((day - self.since).days + 1, 1), self.days)


@dataclass(frozen=True, slots=True)
class Moved:
    """A line of an entry that stands and fell on one of the days."""

    entry: int
    day: date
    kind: str
    line: Line


@dataclass(frozen=True, slots=True)
class Stay:
    """A piece that lay on the rack on one of the days: from when to when, and what took it.

    ``length`` (um) is as it was last measured; ``outside`` says that it was not cut off a piece.
    """

    row: PieceRow
    came: date
    left: date | None
    left_by: str
    length: Micrometres
    flaws: tuple[tuple[int, int], ...]
    outside: bool

    def lay(self, span: Span, number: int) -> bool:
        """True where it lay on the rack on the evening of a day of this number."""
        evening = span.since + timedelta(number - 1)
        there = self.came <= evening or self.row.came_in < span.first_cut
        return there and (self.left is None or self.left > evening)

    def born_at(self, span: Span) -> int | None:
        """The day's number on which it came from outside; None where it was cut in these days."""
        if self.came < span.since or self.row.came_in < span.first_cut:
            return 0
        return span.number(self.came) if self.outside else None


def without_stock(stay: Stay, stock: Collection[int]) -> Stay:
    """A piece as it counts where these cuts for stock are left out."""
    taken = stay.row.left_in in stock
    return replace(stay, outside=stay.outside or stay.row.came_in in stock,
                   left_by=FOR_STOCK if taken else stay.left_by)  # fmt: skip


def moved_in(session: Session, codes: Sequence[str], span: Span) -> list[Moved]:
    """The lines of these days in entries that stand."""
    rows = session.exec(
        select(col(Entry.id), col(Entry.day), col(Entry.kind), Line)
        .join(Line, col(Line.entry_id) == Entry.id)
        .where(Entry.day >= span.since, Entry.day <= span.until)
        .where(stands(), col(Line.profile_code).in_(codes))
        .order_by(col(Line.id))
    )
    return [Moved(*row) for row in rows]


def without_sent_back(moved: Sequence[Moved]) -> list[Moved]:
    """The lines without rails that were cut, and sent back as their job changed: none asked for
    them after all, and what they are since was left by the cut. One that serves another side of its
    frame since counts there.
    """
    rails: dict[tuple[int | None, int | None], Moved] = {}
    rest: list[Moved] = []
    for one in moved:
        where = (one.line.frame_id, one.line.rail)
        if one.line.place != "rails":
            rest.append(one)
        elif one.kind == BATCH:
            continue
        elif one.line.length_um < 0:
            rails.pop(where, None)
        else:
            rails[where] = replace(one, kind="cut" if one.kind == "change" else one.kind)
    return sorted((*rest, *rails.values()), key=lambda one: one.line.id)


def stays_in(session: Session, codes: Sequence[str], span: Span) -> list[Stay]:
    """The pieces of these profiles that lay on the rack on one of the days, by number."""
    came, left = aliased(Entry), aliased(Entry)
    rows = session.exec(
        select(PieceRow, col(came.day), col(left.day), col(left.kind))
        .join(came, col(came.id) == PieceRow.came_in)
        .join(left, col(left.id) == PieceRow.left_in, isouter=True)
        .where(col(PieceRow.profile_code).in_(codes), came.day <= span.until)
        .where(col(left.day).is_(None) | (col(left.day) >= span.since))
        .where(stands(came))
        .order_by(col(PieceRow.id))
    ).all()
    lengths, flaws = measured(session, codes), flaws_of(session, codes)
    return [
        Stay(row, came_on, left_on, left_by or "", lengths[row.id],
             tuple(flaw for flaw in flaws.get(row.id, ()) if flaw[1] <= lengths[row.id]),
             row.parent_id is None)
        for row, came_on, left_on, left_by in rows
        if lengths.get(row.id, 0) > 0
    ]  # fmt: skip


def measured(session: Session, codes: Sequence[str]) -> dict[int, int]:
    """The last length of each piece while it lay on the rack."""
    rows = session.exec(
        select(PieceRow.id, func.sum(Line.length_um))
        .join(Line, col(Line.piece_id) == PieceRow.id)
        .where(col(PieceRow.profile_code).in_(codes), Line.place == "rack")
        .where(col(PieceRow.left_in).is_(None) | (col(Line.entry_id) != PieceRow.left_in))
        .group_by(col(PieceRow.id))
    )
    return {number: int(length) for number, length in rows}


def flaws_of(session: Session, codes: Sequence[str]) -> Mapping[int, list[tuple[int, int]]]:
    """The flaws that stand on each piece, whenever they were marked."""
    found: dict[int, list[tuple[int, int]]] = defaultdict(list)
    rows = session.exec(
        select(Flaw).join(PieceRow).where(col(PieceRow.profile_code).in_(codes))
    )  # fmt: skip
    for flaw in rows:
        if flaw.lifted_in is None:
            found[flaw.piece_id].append((flaw.start_um, flaw.end_um))
    return found


def jobs_of(session: Session, moved: Sequence[Moved]) -> dict[int, tuple[Job, date]]:
    """The job of each frame that rails were cut for, and the day on which it was taken in."""
    wanted = {one.line.frame_id for one in moved if one.line.frame_id is not None}
    numbers, found = sorted(wanted), {}
    for start in range(0, len(numbers), 10_000):
        rows = session.exec(
            select(col(FrameRow.id), Job, col(Entry.day))
            .join(Job, col(Job.id) == FrameRow.job_id)
            .join(Entry, col(Entry.id) == Job.taken_in)
            .where(col(FrameRow.id).in_(numbers[start : start + 10_000]))
        )
        found.update({frame: (job, day) for frame, job, day in rows})
    return found


def stock_cuts(session: Session, moved: Sequence[Moved]) -> set[int]:
    """The cuts of these lines that were made for stock."""
    frames: dict[int, set[int]] = defaultdict(set)
    for one in moved:
        if one.line.frame_id is not None:
            frames[one.line.frame_id].add(one.entry)
    made = frames_for_stock(session, sorted(frames))
    return {entry for number in made for entry in frames[number]}
