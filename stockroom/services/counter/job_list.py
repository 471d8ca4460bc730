"""Jobs as the shop lists them: what is cut, what waits, what is planned."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import CompoundSelect, Text, and_, cast, func, or_, union
from sqlmodel import Session, col, select

from stockroom.frame.layers import FILLET
from stockroom.frame.notices import notice
from stockroom.job_notes import JobNotes, notes_of
from stockroom.record.catalogue import profile_named
from stockroom.record.database import reading
from stockroom.record.job_sets import set_mates
from stockroom.record.jobs import job_named, rails_of, standing_frames
from stockroom.record.ledger import rails_cut
from stockroom.record.numbering import serial
from stockroom.record.tables import STAGED, STAGES, Frame, Job, PlanRail
from stockroom.refusals import Refused
from stockroom.remedies import Do, Remedy
from stockroom.services.counter.machine_fit import noticed
from stockroom.services.counter.sized_layers import SizedLayer, kept_layers, sized_layers
from stockroom.services.counter.take import artwork_of
from stockroom.services.shop import Shop
from stockroom.settings.shop_settings import Settings
from stockroom.units.bench_days import BenchDays
from stockroom.units.lengths import Micrometres

__all__ = [
    "LOOKED_THROUGH", "JobRow", "job_row", "job_rows", "jobs_found", "kept_sizes", "newest_job",
    "stage_rows",
]  # fmt: skip

MOST_FOUND, LOOKED_THROUGH = 100, 30_000
FORGOTTEN_DAYS = 365
"""A job that was cut and not said to be joined is looked for no longer after its day."""


@dataclass(frozen=True, slots=True)
class JobRow(JobNotes):
    """A job in a list; ``profile`` has all its mouldings from the inside out, ``frames`` counts
    each of them. ``state`` is open, planned, part cut, cut, held or cancelled, or how far it is
    after it is cut: joined, fitted, ready, collected. ``waits``: the shop has work left."""

    number: int
    customer: str
    title: str
    profile: str
    due: date
    cut_by: date
    quantity: int
    frames: int
    frames_cut: int
    rails_waiting: int
    across: Micrometres
    upright: Micrometres
    one_batch: bool
    one_piece: bool
    state: str
    waits: bool = True
    shape: str = ""
    match: str = ""
    takes: str = ""
    rails_cut: int = 0

    def late(self, today: date) -> int:
        """How many days ago it should have been ready; 0 where it is not late."""
        return max(0, (today - self.due).days) if self.waits else 0


def job_rows(
    shop: Shop, *, until: date | None = None, done: bool = False, profile: str | None = None
) -> list[JobRow]:
    """The jobs that wait for something, by the day to cut them; with ``done``, the others too.

    One that is cut waits to be joined where the shop tells how far its jobs are.
    """
    with reading(shop.engine) as session:
        asked = select(Job).order_by(col(Job.due), col(Job.id))
        if profile is not None:
            code = profile_named(session, profile).code
            layered = select(Frame.job_id).where(
                Frame.profile_code == code, col(Frame.dropped_in).is_(None)
            )
            asked = asked.where(or_(col(Job.profile_code) == code, col(Job.id).in_(layered)))
        if not done:
            asked = asked.where(
                col(Job.state) != "cancelled", col(Job.id).in_(waiting(session, shop.hand.day))
            )
        rows = rows_of(session, session.exec(asked).all(), shop.settings.bench)
    shown = [row for row in rows if done or row.waits or row.state == "ready"]
    return sorted((row for row in shown if until is None or row.cut_by <= until),
                  key=lambda row: (row.cut_by, row.due, row.number))  # fmt: skip


def jobs_found(shop: Shop, wanted: str) -> list[JobRow]:
    """The jobs of this number, or whose customer, title or profile holds the text, done or not.

    The newest first, and no more of them than anybody looks through; by text among the newest
    ``LOOKED_THROUGH`` jobs.
    """
    digits = wanted.casefold().lstrip("j")
    numbered = digits.isascii() and digits.isdecimal() and len(digits) < 10
    told = (col(Job.customer) + "\n" + col(Job.title) + "\n" + col(Job.profile_code)
            + func.coalesce(cast(Job.layers, Text), ""))  # fmt: skip
    # SQLite knows capitals of ASCII alone: any other sign is first taken for any, then looked at.
    loose = "".join("_" if not c.isascii() else f"/{c}" if c in "/%_" else c for c in wanted)
    which = col(Job.id) == int(digits) if numbered else told.ilike(f"%{loose}%", escape="/")
    with reading(shop.engine) as session:
        oldest = serial(session, Job) - LOOKED_THROUGH
        among = which if numbered else and_(col(Job.id) >= oldest, which)
        asked = select(Job).where(among).order_by(col(Job.id).desc()).limit(MOST_FOUND)
        jobs = [job for job in session.exec(asked) if numbered or wanted.casefold() in
                f"{job.customer}\n{job.title}\n{mouldings(job)}".casefold()]  # fmt: skip
        return rows_of(session, jobs, shop.settings.bench)


def waiting(session: Session, today: date) -> CompoundSelect[tuple[int]]:
    """The jobs with a frame to cut, and those between cut and collected."""
    uncut = select(Frame.job_id).where(col(Frame.done_in).is_(None))
    on_the_way = select(Job.id).where(STAGED, col(Job.stage).in_(STAGES[1:-1]))
    since = stages_since(session)
    if since is None:
        return union(uncut, on_the_way)
    unjoined = select(Job.id).where(
        Job.state == "open", Job.due >= today - timedelta(FORGOTTEN_DAYS), Job.taken_in >= since,
        Job.stage == "",
    )  # fmt: skip
    return union(uncut, on_the_way, unjoined)


def stages_since(session: Session) -> int | None:
    """The entry from which on jobs are said to be joined and so on: the one that took in the first
    of which that was said."""
    return session.exec(select(func.min(Job.taken_in)).where(STAGED)).one()


def stage_rows(shop: Shop, numbers: Sequence[int]) -> list[JobRow]:
    """These jobs, by number."""
    with reading(shop.engine) as session:
        jobs = session.exec(
            select(Job).where(col(Job.id).in_(numbers)).order_by(col(Job.id))
        ).all()  # fmt: skip
        return rows_of(session, jobs, shop.settings.bench)


def job_row(shop: Shop, typed: str) -> tuple[JobRow, tuple[SizedLayer, ...]]:
    """One job and the sizes of each of its mouldings, the one where the artwork lies first."""
    with reading(shop.engine) as session:
        job = job_named(session, typed)
        return rows_of(session, [job], shop.settings.bench)[0], kept_sizes(
            session, job, shop.settings
        )


def newest_job(shop: Shop) -> str:
    """The job that was taken in last, as it is named.

    Raises:
        Refused: there is none.
    """
    with reading(shop.engine) as session:
        number = session.exec(select(Job.id).where(Job.state != "cancelled")
                              .order_by(col(Job.id).desc()).limit(1)).first()  # fmt: skip
    if number is None:
        raise Refused("no_job_at_all", Remedy(Do.TAKE_OR_AHEAD))
    return f"J{number}"


def kept_sizes(session: Session, job: Job, settings: Settings) -> tuple[SizedLayer, ...]:
    """The sizes of each of a job's mouldings, the one where the artwork lies first, as its frames
    are on the record, whatever the shop rounds to by now."""
    frames = session.exec(
        select(Frame)
        .where(Frame.job_id == job.id)
        .order_by(col(Frame.dropped_in).is_(None), col(Frame.number).desc())
    ).all()
    rails = {frame.layer: rails_of(frame) for frame in frames}
    first, *layers = sized_layers(kept_layers(session, job), artwork_of(job), settings, rails)
    others = ", ".join(f"J{number}" for number in set_mates(session, job))
    said = (notice("one batch with", which=others),) if others else ()
    return noticed(first, *said), *layers


def rows_of(session: Session, jobs: Sequence[Job], bench: BenchDays) -> list[JobRow]:
    """These jobs as rows."""
    since = stages_since(session)
    frames = standing_frames(session, jobs)
    ids = [frame.id for _, frame in frames]
    cut = rails_cut(session, ids)
    held = set(session.exec(
        select(PlanRail.frame_id).where(
            col(PlanRail.settled_in).is_(None), col(PlanRail.frame_id).in_(ids)
        )
    ))  # fmt: skip
    by_job: dict[int, list[Frame]] = {job.id: [] for job in jobs}
    for job, frame in frames:
        by_job[job.id].append(frame)
    rows = []
    for job in jobs:
        mine = by_job[job.id]
        size = (mine[0].across_um, mine[0].upright_um) if mine else last_size(session, job)
        wanted = [(frame.id, rail) for frame in mine for rail in range(len(rails_of(frame)))]
        rails = sum(rail in cut for rail in wanted)
        rows.append(JobRow(
            number=job.id, customer=job.customer, title=job.title, profile=mouldings(job),
            due=job.due, cut_by=bench.cut_by(job.due, job.bench_days), quantity=job.quantity,
            frames=len(mine), frames_cut=frames_whole(mine),
            rails_waiting=len(wanted) - rails,
            across=size[0], upright=size[1],
            one_batch=job.one_batch, one_piece=job.one_piece,
            state=(state := state_of(job, len(wanted), rails,
                                     any(frame.id in held for frame in mine))),
            **notes_of(job), waits=waits(job, state, since), shape=job.shape,
            match=job.match_batch, takes=job.takes, rails_cut=rails,
        ))  # fmt: skip
    return rows


def mouldings(job: Job) -> str:
    """The codes of a job's mouldings from the inside out."""
    rest = {one["number"]: one["profile"] for one in job.layers or ()}
    lining = rest.pop(FILLET, None)
    return " + ".join(filter(None, (lining, job.profile_code, *rest.values())))


def frames_whole(frames: Sequence[Frame]) -> int:
    """How many of a job's frames are cut, each with all its mouldings."""
    waiting = {frame.number for frame in frames if frame.done_in is None}
    return len({frame.number for frame in frames} - waiting)


def last_size(session: Session, job: Job) -> tuple[int, int]:
    """The long points across and upright, um, that the frames of a cancelled job had."""
    asked = select(Frame).where(Frame.job_id == job.id).order_by(col(Frame.id).desc())
    frame = session.exec(asked).first()
    return (0, 0) if frame is None else (frame.across_um, frame.upright_um)


def waits(job: Job, state: str, since: int | None) -> bool:
    """True where the shop has work left on a job in this state."""
    if state == "cut":
        return since is not None and job.taken_in >= since
    return state not in ("ready", "collected", "cancelled")


def state_of(job: Job, rails: int, cut: int, planned: bool) -> str:
    """How far a job is, in a word."""
    if job.state != "open":
        return job.state
    if planned:
        return "planned"
    if cut == rails:
        return job.stage or "cut"
    return "part cut" if cut else "open"
