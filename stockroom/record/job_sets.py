"""Jobs that hang together: those that match one job, and that job, are a set of one batch."""

from collections.abc import Collection, Iterable, Mapping
from datetime import date

from sqlmodel import Session, col, select

from stockroom.record.ledger import rails_cut
from stockroom.record.tables import Frame, Job, Piece, PlanRail
from stockroom.units.bench_days import BenchDays

__all__ = ["batches_of", "days_to_cut", "matched_by", "set_batches", "set_mates", "sets_of"]

MOST_AT_ONCE = 10_000
Moulding = tuple[int, str | None]
"""A job, and the profile of one of its layers where that is not the job's own."""


def matched_by(session: Session, jobs: Collection[int]) -> dict[int, int]:
    """The standing jobs that match these, each with the job that it matches."""
    found: dict[int, int] = {}
    numbers = sorted(jobs)
    for start in range(0, len(numbers), MOST_AT_ONCE):
        asked = select(Job.id, Job.match_job).where(
            col(Job.match_job).in_(numbers[start : start + MOST_AT_ONCE]), Job.state != "cancelled"
        )
        found |= {job: match for job, match in session.exec(asked) if match is not None}
    return found


def sets_of(session: Session, jobs: Iterable[Job]) -> dict[int, int]:
    """The jobs of these that are of a set of several, and what these are matched by; each with the
    job that its set is named after."""
    match_of = {job.id: job.match_job or job.id for job in jobs}
    others = matched_by(session, set(match_of.values()))
    named = set(others.values())
    return {job: name for job, name in (match_of | others).items() if name in named} | {
        name: name for name in named
    }


def set_mates(session: Session, job: Job) -> list[int]:
    """The other jobs of a job's set, by number."""
    return sorted(sets_of(session, [job]).keys() - {job.id})


def days_to_cut(jobs: Iterable[Job], sets: Mapping[int, int], bench: BenchDays) -> dict[int, date]:
    """The last day to cut each job so that it is ready when it is due, a set with its earliest."""
    own = {job.id: bench.cut_by(job.due, job.bench_days) for job in jobs}
    earliest: dict[int, date] = {}
    for job, day in own.items():
        name = sets.get(job, job)
        earliest[name] = min(day, earliest.get(name, day))
    return {job: earliest[sets.get(job, job)] for job in own}


def batches_of(session: Session, jobs: Iterable[int]) -> dict[Moulding, frozenset[str]]:
    """The batches that the rails of these jobs were cut from or are about to be, done frames among
    them; by job and what its frame has of a profile of its own."""
    numbers = sorted(jobs)
    owner: dict[int, Moulding] = {}
    for start in range(0, len(numbers), MOST_AT_ONCE):
        asked = select(Frame).where(
            col(Frame.job_id).in_(numbers[start : start + MOST_AT_ONCE]),
            col(Frame.dropped_in).is_(None),
        )
        owner |= {frame.id: (frame.job_id, frame.profile_code) for frame in session.exec(asked)}
    frames = sorted(owner)
    planned = session.exec(
        select(PlanRail.frame_id, Piece.batch_code)
        .join(Piece, col(Piece.id) == PlanRail.piece_id)
        .where(col(PlanRail.settled_in).is_(None), col(PlanRail.frame_id).in_(frames))
    ).all()
    cut = [(frame, batch) for (frame, _), batch in rails_cut(session, frames).items()]
    found: dict[Moulding, frozenset[str]] = {}
    for frame, batch in (*cut, *planned):
        found[owner[frame]] = found.get(owner[frame], frozenset()) | {batch}
    return found


def set_batches(
    session: Session, jobs: Collection[int], sets: Mapping[int, int]
) -> dict[Moulding, frozenset[str]]:
    """The batches of these jobs by moulding, each with those of its set."""
    names = {sets.get(job, job) for job in jobs}
    members = {job for job, name in sets.items() if name in names} | set(jobs)
    own = batches_of(session, members)
    of_set: dict[int, frozenset[str]] = {}
    for (job, other), batches in own.items():
        if other is None:
            name = sets.get(job, job)
            of_set[name] = of_set.get(name, frozenset()) | batches
    return own | {(job, None): of_set.get(sets.get(job, job), frozenset()) for job in jobs}
