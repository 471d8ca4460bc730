"""Jobs and their frames as they stand: which rails are still to be cut, from which batch."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from sqlalchemy import ColumnElement, and_, or_
from sqlmodel import Session, col, select

from stockroom.frame.layers import layer_letter
from stockroom.frame.shapes import FRAME, JobShape, shape_told
from stockroom.record.job_sets import days_to_cut, set_batches, sets_of
from stockroom.record.ledger import rails_cut
from stockroom.record.tables import Entry, Frame, Job, PlanRail
from stockroom.refusals import Unknown, Unreadable
from stockroom.remedies import Do, Remedy
from stockroom.units.bench_days import BenchDays
from stockroom.units.lengths import Micrometres

__all__ = [
    "FOR_STOCK", "OpenFrame", "frame_label", "frame_profile", "frames_for_stock", "in_profile",
    "job_named", "job_number", "labels", "moulding_named", "open_frames", "rails_of",
    "standing_frames", "stock_jobs", "wants_one_batch",
]  # fmt: skip

MOST_AT_ONCE = 10_000
FOR_STOCK = "take for stock"
"""The kind of entry that takes in frames nobody ordered: no demand, and in no day's plan."""


@dataclass(frozen=True, slots=True)
class OpenFrame:
    """A frame with rails still to cut: ``rails`` maps rail number to length, um.

    ``whole`` are all its rails, those across by turns with the upright ones unless its ``shape``
    has others. ``match`` is a batch of old that it is to match; ``takes`` is as its job's.

    ``cut_by`` is the last day to cut it, with all its set, so that it is ready when it is due.
    ``batches`` are those of its rails that are cut already, ``job_batches`` those of all its job's
    and its set's that are cut or planned; ``held`` says that an accepted plan is about to cut some
    of its rails. Frames of one ``set_name`` match and are cut all or none; so are those of one
    ``number`` of a ``layered`` job, which lie in one another.
    """

    id: int
    label: str
    job: int
    number: int
    layer: int
    customer: str
    title: str
    profile: str
    due: date
    cut_by: date
    one_batch: bool
    one_piece: bool
    across: Micrometres
    upright: Micrometres
    rails: dict[int, int]
    batches: frozenset[str]
    held: bool
    state: str
    layered: bool = False
    job_batches: frozenset[str] = frozenset()
    whole: tuple[int, ...] = ()
    shape: JobShape = FRAME
    match: str = ""
    set_name: str | None = None
    takes: str = ""

    @property
    def link(self) -> str | None:
        """What the frames that lie in one another are linked by; None where there is but one."""
        return f"J{self.job}.{self.number}" if self.layered else None


def rails_of(frame: Frame) -> tuple[Micrometres, ...]:
    """The long points of all rails of a frame by their numbers, um."""
    return tuple(map(Micrometres, frame.rails_um or (frame.across_um, frame.upright_um) * 2))


def frame_label(job: Job, frame: Frame) -> str:
    """A frame's name on screens and paper: J12, or J12.2 where its job has several.

    A moulding beyond the one that the artwork lies in has its letter: J12.b, J12.2b.
    """
    more = f"{'' if job.quantity == 1 else frame.number}{layer_letter(frame.layer)}"
    return f"J{job.id}.{more}" if more else f"J{job.id}"


def frame_profile(job: Job, frame: Frame) -> str:
    """The code of a frame's moulding: its own, or its job's."""
    return frame.profile_code or job.profile_code


def wants_one_batch(job: Job, frame: Frame) -> bool:
    """Whether the rails of a frame, and of its like in its job, are to match."""
    own = {one["number"]: bool(one["one_batch"]) for one in job.layers or ()}
    return own.get(frame.layer, job.one_batch)


def in_profile(code: str) -> ColumnElement[bool]:
    """The condition that a frame, asked for with its job, is of this moulding."""
    return or_(col(Frame.profile_code) == code,
               and_(col(Frame.profile_code).is_(None), col(Job.profile_code) == code))  # fmt: skip


def job_number(typed: str) -> int:
    """The number of a job typed as J12 or 12.

    Raises:
        Unreadable: it is neither.
    """
    digits = typed.strip().upper().removeprefix("J")
    if not (digits.isascii() and digits.isdecimal() and len(digits) <= 9):
        raise Unreadable(typed, "of_job_number")
    return int(digits)


def job_named(session: Session, typed: str) -> Job:
    """The job of this number.

    Raises:
        Unreadable, Unknown: it is no number, or no job has it.
    """
    found = session.get(Job, job_number(typed))
    if found is None:
        raise Unknown("unknown_job", typed.strip(), (), Remedy(Do.SEE_JOBS_ALL))
    return found


def moulding_named(session: Session, typed: str) -> tuple[Job, str]:
    """A job and the code of its moulding: the one where its artwork lies, or, as J12.b, another.

    Raises:
        Unreadable, Unknown: it is no job's number, or the job has no such moulding.
    """
    named, _, more = typed.partition(".")
    job, letter = job_named(session, named), more.strip().lower().lstrip("0123456789")
    codes = {layer_letter(one["number"]): one["profile"] for one in job.layers or ()}
    code = job.profile_code if not letter else codes.get(letter)
    if code is None:
        raise Unknown("unknown_frame", typed.strip(), [f"J{job.id}.{each}" for each in codes])
    return job, str(code)


def standing_frames(session: Session, jobs: Sequence[Job]) -> list[tuple[Job, Frame]]:
    """The frames of these jobs that were not dropped, in order."""
    by_id = {job.id: job for job in jobs}
    rows = session.exec(
        select(Frame)
        .where(col(Frame.job_id).in_(list(by_id)))
        .order_by(col(Frame.job_id), col(Frame.number), col(Frame.layer))
    ).all()
    return [(by_id[frame.job_id], frame) for frame in rows if frame.dropped_in is None]


def labels(session: Session, frames: Iterable[int]) -> dict[int, str]:
    """The labels of these frames, by their ids."""
    rows = session.exec(
        select(Frame, Job).join(Job).where(col(Frame.id).in_(list(set(frames))))
    ).all()
    return {frame.id: frame_label(job, frame) for frame, job in rows}


def stock_jobs(session: Session, jobs: Iterable[Job]) -> frozenset[int]:
    """Those of these jobs that were taken in for stock."""
    taken = sorted({job.taken_in for job in jobs})
    found: set[int] = set()
    for start in range(0, len(taken), MOST_AT_ONCE):
        asked = (
            select(Job.id)
            .join(Entry, col(Entry.id) == Job.taken_in)
            .where(col(Entry.id).in_(taken[start : start + MOST_AT_ONCE]), Entry.kind == FOR_STOCK)
        )
        found |= set(session.exec(asked))
    return frozenset(found)


def frames_for_stock(session: Session, frames: Sequence[int]) -> frozenset[int]:
    """Those of these frames whose jobs were taken in for stock."""
    found: set[int] = set()
    for start in range(0, len(frames), MOST_AT_ONCE):
        found |= set(session.exec(
            select(Frame.id)
            .join(Job, col(Job.id) == Frame.job_id)
            .join(Entry, col(Entry.id) == Job.taken_in)
            .where(col(Frame.id).in_(frames[start : start + MOST_AT_ONCE]), Entry.kind == FOR_STOCK)
        ))  # fmt: skip
    return frozenset(found)


def open_frames(
    session: Session,
    until: date | None = None,
    *,
    states: Sequence[str] = ("open",),
    profile: str | None = None,
    stock: Literal["without", "with", "alone"] = "without",
    bench: BenchDays | None = None,
) -> list[OpenFrame]:
    """The frames that wait for rails, of jobs to cut by ``until``, by that day and number.

    ``bench`` is how long frames are at the bench after they are cut; without it they are cut on
    the day they are due.

    ``stock`` says whether frames for stock are left out, in, or all that is wanted.
    """
    bench = bench or BenchDays()
    rows = [
        (frame, job)
        for frame, job in undone(session)
        if job.state in states and profile in (None, frame_profile(job, frame))
    ]
    sets = sets_of(session, {job.id: job for _, job in rows}.values())
    cut_by = days_to_cut([job for _, job in rows], sets, bench)
    rows = [row for row in rows if until is None or cut_by[row[1].id] <= until]
    if stock != "with":
        unasked = stock_jobs(session, [job for _, job in rows])
        rows = [row for row in rows if (row[1].id in unasked) == (stock == "alone")]
    ids = [frame.id for frame, _ in rows]
    cut = rails_cut(session, ids)
    held = set(
        session.exec(
            select(PlanRail.frame_id).where(
                col(PlanRail.settled_in).is_(None), col(PlanRail.frame_id).in_(ids)
            )
        )
    )
    several = {job.id for _, job in rows if job.quantity > 1 or job.id in sets}
    batches = set_batches(session, several, sets)
    found = [
        replace(
            open_frame(job, frame, cut, frame.id in held, cut_by[job.id]),
            job_batches=batches.get((job.id, frame.profile_code), frozenset()),
        )
        for frame, job in rows
    ]
    found = in_sets(found, {job: sets.get(job, job) for job in several}, sets)
    return sorted(found, key=lambda frame: (frame.cut_by, frame.due, frame.job))


def in_sets(
    frames: Sequence[OpenFrame], names: Mapping[int, int], matched: Collection[int]
) -> list[OpenFrame]:
    """Frames with the set that they are cut with: none where no rails of a job need to match, or
    where those of the set do not."""
    bound = [replace(one, one_batch=one.one_batch or (one.job in matched and one.layer == 0))
             for one in frames]  # fmt: skip
    match = {one.job for one in bound if one.one_batch}
    torn = {one.job for one in bound if one.one_batch and len(one.job_batches) > 1}
    whole = {job: f"J{name}" for job, name in names.items() if job in match - torn}
    return [replace(one, set_name=whole.get(one.job)) for one in bound]


def undone(session: Session) -> list[tuple[Frame, Job]]:
    """The standing frames that are not done, with their jobs, by due date and number.

    They are few among all that ever were: found by index first, their jobs by number then.
    """
    frames = session.exec(select(Frame).where(col(Frame.done_in).is_(None))).all()
    standing = [frame for frame in frames if frame.dropped_in is None]
    ids = sorted({frame.job_id for frame in standing})
    jobs: dict[int, Job] = {}
    for start in range(0, len(ids), MOST_AT_ONCE):
        asked = select(Job).where(col(Job.id).in_(ids[start : start + MOST_AT_ONCE]))
        jobs |= {job.id: job for job in session.exec(asked)}
    rows = [(frame, jobs[frame.job_id]) for frame in standing]
    return sorted(rows, key=lambda row: (row[1].due, row[1].id, row[0].number, row[0].layer))


def open_frame(
    job: Job, frame: Frame, cut: dict[tuple[int, int], str], held: bool, cut_by: date
) -> OpenFrame:
    """One frame with the rails it still waits for."""
    whole = rails_of(frame)
    return OpenFrame(
        id=frame.id, label=frame_label(job, frame), job=job.id, number=frame.number,
        layer=frame.layer, customer=job.customer, title=job.title, due=job.due,
        profile=frame_profile(job, frame), cut_by=cut_by, layered=bool(job.layers),
        one_piece=job.one_piece, one_batch=wants_one_batch(job, frame),
        across=frame.across_um, upright=frame.upright_um,
        rails={rail: length for rail, length in enumerate(whole) if (frame.id, rail) not in cut},
        batches=frozenset(
            cut[frame.id, rail] for rail in range(len(whole)) if (frame.id, rail) in cut),
        held=held, state=job.state, whole=whole, shape=shape_told(job.shape),
        match=job.match_batch if frame.layer == 0 else "",
        takes=job.takes if frame.layer == 0 or job.takes != "own" else "",
    )  # fmt: skip
