"""What a span of days really held, read from the record: rails cut, pieces that came, offcuts."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import fmean

from sqlalchemy import func
from sqlalchemy.orm import aliased
from sqlmodel import Session, col, select

from planner.values import Frame, Piece, Rules
from stockroom.replay import Demand, Figures, Order
from stockroom.replay.demand import FIRST_DAY
from stockroom.replay.supply import Arrival
from stockroom.services.problem import rules_for
from stockroom.settings import Settings
from stockroom.tables import Entry, Flaw, Job, Line, Profile
from stockroom.tables import Frame as FrameRow
from stockroom.tables import Piece as PieceRow

__all__ = ["Lived", "lived"]


@dataclass(frozen=True, slots=True)
class Lived:
    """One profile's span of days, ready to be cut again, and what really happened in it.

    Day 0 is the evening before the first day. ``late`` counts frames cut after their due day.
    """

    demand: Demand
    days: int
    orders: tuple[Order, ...]
    arrivals: tuple[Arrival, ...]
    happened: Figures
    late: int

    @property
    def brought(self) -> int:
        """The length of the offcuts that came from outside in these days, um."""
        return sum(piece.length for one in self.arrivals for piece in one.pieces
                   if one.day and piece.kind == "offcut")  # fmt: skip


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

    ``length`` (um) is as it was last measured. ``entry`` is the one that it came in.
    """

    row: PieceRow
    came: date
    left: date | None
    left_by: str
    length: int
    flaws: tuple[tuple[int, int], ...]

    def lay(self, span: Span, number: int) -> bool:
        """True where it lay on the rack on the evening of a day of this number."""
        evening = span.since + timedelta(number - 1)
        there = self.came <= evening or self.row.came_in < span.first_cut
        return there and (self.left is None or self.left > evening)

    def born_at(self, span: Span) -> int | None:
        """The day's number on which it came from outside; None where it was cut in these days."""
        if self.came < span.since or self.row.came_in < span.first_cut:
            return 0
        return span.number(self.came) if self.row.parent_id is None else None


def lived(
    session: Session, settings: Settings, chosen: Sequence[Profile], since: date, until: date
) -> list[Lived]:
    """The days of those of these profiles that were cut in them; both days included."""
    span, codes = Span(since, until), [profile.code for profile in chosen]
    moved, stays = moved_in(session, codes, span), stays_in(session, codes, span)
    span = Span(since, until, min((one.entry for one in moved if one.kind == "cut"), default=0))
    jobs = jobs_of(session, moved)
    found = []
    for profile in chosen:
        mine = [one for one in moved if one.line.profile_code == profile.code]
        if any(one.kind == "cut" and one.line.place == "rails" for one in mine):
            here = [stay for stay in stays if stay.row.profile_code == profile.code]
            found.append(one_profile(profile, rules_for(settings, profile), span, mine, here, jobs))
    return found


def moved_in(session: Session, codes: Sequence[str], span: Span) -> list[Moved]:
    """The lines of these days in entries that stand."""
    undone = select(Entry.reverses).where(col(Entry.reverses).is_not(None))
    rows = session.exec(
        select(col(Entry.id), col(Entry.day), col(Entry.kind), Line)
        .join(Line, col(Line.entry_id) == Entry.id)
        .where(Entry.day >= span.since, Entry.day <= span.until, Entry.kind != "undo")
        .where(col(Entry.id).not_in(undone), col(Line.profile_code).in_(codes))
        .order_by(col(Line.id))
    )
    return [Moved(*row) for row in rows]


def stays_in(session: Session, codes: Sequence[str], span: Span) -> list[Stay]:
    """The pieces of these profiles that lay on the rack on one of the days, by number."""
    came, left = aliased(Entry), aliased(Entry)
    undone = select(Entry.reverses).where(col(Entry.reverses).is_not(None))
    rows = session.exec(
        select(PieceRow, col(came.day), col(left.day), col(left.kind))
        .join(came, col(came.id) == PieceRow.came_in)
        .join(left, col(left.id) == PieceRow.left_in, isouter=True)
        .where(col(PieceRow.profile_code).in_(codes), came.day <= span.until)
        .where(col(left.day).is_(None) | (col(left.day) >= span.since))
        .where(col(PieceRow.came_in).not_in(undone))
        .order_by(col(PieceRow.id))
    ).all()
    lengths, flaws = measured(session, codes), flaws_of(session, codes)
    return [
        Stay(row, came_on, left_on, left_by or "", lengths[row.id],
             tuple(flaw for flaw in flaws.get(row.id, ()) if flaw[1] <= lengths[row.id]))
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


def one_profile(
    profile: Profile, rules: Rules, span: Span, moved: Sequence[Moved], stays: Sequence[Stay],
    jobs: Mapping[int, tuple[Job, date]],
) -> Lived:  # fmt: skip
    """One profile's days."""
    cut = [one for one in moved if one.kind == "cut" and one.line.place == "rails"]
    longest = max(one.line.length_um for one in cut)
    stick = max(profile.stick_length_um, longest + 2 * rules.end_trim)
    demand = Demand(profile.code, "", 1.0, rules, profile.batch_matched, sides=(1, longest),
                    sticks=(stick, stick), delivery=1, minimum=1)  # fmt: skip
    orders = orders_of(profile.code, span, cut, jobs)
    return Lived(
        demand, span.days, orders, arrivals_of(stays, span),
        happened(rules, span, moved, stays, len(orders)), late_of(cut, jobs),
    )  # fmt: skip


def orders_of(
    code: str, span: Span, cut: Sequence[Moved], jobs: Mapping[int, tuple[Job, date]]
) -> tuple[Order, ...]:
    """The rails that were cut, frame by frame, each due when its job was."""
    rails: dict[int, dict[int, int]] = defaultdict(dict)
    for one in cut:
        rails[one.line.frame_id or 0][one.line.rail or 0] = one.line.length_um
    found = []
    for number, lengths in sorted(rails.items()):
        job, taken = jobs[number]
        due = span.number(job.due)
        frame = Frame(f"F{number:07d}", code, tuple(lengths[rail] for rail in sorted(lengths)),
                      FIRST_DAY + timedelta(due), job.one_batch, job.one_piece)  # fmt: skip
        found.append(Order(min(span.number(taken), due), due, frame))
    return tuple(found)


def arrivals_of(stays: Sequence[Stay], span: Span) -> tuple[Arrival, ...]:
    """What lay on the rack the evening before, and what came from outside on which day.

    Pieces that left otherwise than by being cut could not have been cut, and are left out.
    """
    groups: dict[tuple[int, int, str], list[Stay]] = defaultdict(list)
    for stay in stays:
        lost = stay.left is not None and stay.left <= span.until and stay.left_by != "cut"
        if (day := stay.born_at(span)) is not None and not lost:
            groups[day, stay.row.came_in if day else 0, stay.row.kind if day else ""].append(stay)
    return tuple(
        Arrival(day, tuple(piece_of(stay, span) for stay in group))
        for (day, _, _), group in sorted(groups.items())
    )


def piece_of(stay: Stay, span: Span) -> Piece:
    """A piece as the replay takes it; its days are counted from the replay's first."""
    row = stay.row
    return Piece(
        str(row.id), row.profile_code, row.batch_code, row.kind,  # type: ignore[arg-type]
        stay.length, FIRST_DAY + (row.since - span.since) + timedelta(1), stay.flaws,
    )  # fmt: skip


def happened(
    rules: Rules, span: Span, moved: Sequence[Moved], stays: Sequence[Stay], frames: int
) -> Figures:
    """The figures of what was really cut, reckoned like those of a replay."""
    kinds = {stay.row.id: stay.row.kind for stay in stays}
    cuts = [one for one in moved if one.kind == "cut"]
    used = [one.line for one in cuts if one.line.place == "rack" and one.line.length_um < 0]
    rails = [one.line.length_um for one in cuts if one.line.place == "rails"]
    scrap = [one.line for one in moved if one.line.place == "scrap"]
    trims = sum(line.length_um for line in scrap if line.cause == "end trim")
    opened = -sum(line.length_um for line in used if kinds.get(line.piece_id or 0) == "stick")
    lay = [[stay for stay in stays if stay.row.kind == "offcut" and stay.lay(span, number)]
           for number in range(span.days + 1)]  # fmt: skip
    ages = [(span.since - stay.row.since).days + number - 1
            for number, there in enumerate(lay) for stay in there if number]  # fmt: skip
    return Figures(
        bought=opened - trims,
        needed=sum(rails) + rules.cut_allowance * len(rails),
        grown=length_of(lay[-1]) - length_of(lay[0]) - brought(stays, span),
        scrap=sum(line.length_um for line in scrap) - trims,
        frames=frames,
        handled=len(used),
        offcuts=fmean(map(len, lay[1:])),
        most=max(map(len, lay[1:])),
        oldest=max(ages, default=0),
        seconds=0.0,
    )  # fmt: skip


def length_of(stays: Sequence[Stay]) -> int:
    """The length of these pieces, um."""
    return sum(stay.length for stay in stays)


def brought(stays: Sequence[Stay], span: Span) -> int:
    """The length of the offcuts that came from outside in these days, um: no gain of cutting."""
    return length_of([stay for stay in stays if stay.row.kind == "offcut" and stay.born_at(span)])


def late_of(cut: Sequence[Moved], jobs: Mapping[int, tuple[Job, date]]) -> int:
    """How many frames had a rail cut after the day they were due."""
    last: dict[int, date] = {}
    for one in cut:
        number = one.line.frame_id or 0
        last[number] = max(one.day, last.get(number, one.day))
    return sum(day > jobs[number][0].due for number, day in last.items())
