"""Jobs after they are taken in: held, released, cancelled, changed; each change journalled."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from sqlalchemy import func
from sqlmodel import Session, col, select

from stockroom.record.database import changing
from stockroom.record.jobs import RAILS, job_named, open_frames, standing_frames
from stockroom.record.ledger import Hand, post, rails_cut
from stockroom.record.tables import Frame, Job, PlanRail
from stockroom.refusals import Clash
from stockroom.remedies import Do, Remedy
from stockroom.services.counter.take import (
    NewJob,
    Taken,
    add_frames,
    artwork_columns,
    artwork_of,
    check,
)
from stockroom.services.shop import Shop

__all__ = ["cancel", "cancel_stock", "change", "hold", "release"]


def hold(shop: Shop, typed: str, why: str = "") -> int:
    """A job is held back from plans until it is released."""
    return set_state(shop, typed, "open", "held", why)


def release(shop: Shop, typed: str, why: str = "") -> int:
    """A held job goes into plans again."""
    return set_state(shop, typed, "held", "open", why)


def set_state(shop: Shop, typed: str, wanted: str, state: str, why: str) -> int:
    """Changes a job's state and writes down what it was."""
    with changing(shop.engine, shop.waiting) as session:
        job = job_named(session, typed)
        if job.state != wanted:
            raise Clash(
                f"job J{job.id} is {job.state}", f"only a job that is {wanted} can be {state}"
            )
        refuse_planned(session, job)
        note_job(session, shop.hand, job, "hold" if state == "held" else "release", why,
                 {"state": state})  # fmt: skip
        return job.id


def cancel(shop: Shop, typed: str, why: str) -> int:
    """A job is cancelled; what was cut for it stays cut.

    Raises:
        Unreadable, Unknown: it is no job's number.
        Clash: it is cancelled already, or a plan is about to cut it.
    """
    with changing(shop.engine, shop.waiting) as session:
        job = job_named(session, typed)
        if job.state == "cancelled":
            raise Clash(f"job J{job.id} is cancelled already", "there is nothing to do")
        refuse_planned(session, job)
        write_cancelled(session, shop.hand, job, why)
        return job.id


def write_cancelled(session: Session, hand: Hand, job: Job, why: str) -> None:
    """A job is cancelled: its frames that are not done are dropped."""
    entry = note_job(session, hand, job, "cancel", why, {"state": "cancelled"})
    for _, frame in standing_frames(session, [job]):
        if frame.done_in is None:
            frame.dropped_in = entry
            session.add(frame)


def cancel_stock(session: Session, hand: Hand) -> int:
    """Jobs for stock are cancelled where no frame is begun or in a plan; gives how many."""
    waiting = open_frames(session, stock="alone", states=("open", "held"))
    begun = {frame.job for frame in waiting if frame.held or len(frame.rails) < RAILS}
    idle = sorted({frame.job for frame in waiting} - begun)
    for number in idle:
        job = session.get_one(Job, number)
        frames = [frame for _, frame in standing_frames(session, [job])]
        if all(frame.done_in is None for frame in frames):
            write_cancelled(session, hand, job, "not made after all")
    return len(idle)


def change(shop: Shop, typed: str, wanted: Mapping[str, Any]) -> Taken:
    """Changes what a job is, before any of its rails is cut; gives its sizes now.

    ``wanted`` holds new values for fields of NewJob.

    Raises:
        Clash: a plan is about to cut it, or a rail is cut.
        Refused, Unknown: as when it is taken in.
    """
    with changing(shop.engine, shop.waiting) as session:
        job = job_named(session, typed)
        refuse_planned(session, job)
        frames = [frame for _, frame in standing_frames(session, [job])]
        told = told_again(job, wanted)
        light = not set(wanted) - {"due", "title", "note", "customer", "bench_days"}
        if not light and rails_cut(session, [frame.id for frame in frames]):
            raise Clash(f"rails of job J{job.id} are cut already",
                        "take what differs in as a new job")  # fmt: skip
        day = shop.hand.day if "due" in wanted else min(shop.hand.day, job.due)
        taken = check(session, shop.settings, day, told)
        sizes = {} if light else {f.id: [f.across_um, f.upright_um] for f in frames}
        entry = note_job(session, shop.hand, job, "change", "", now_columns(told, taken), sizes)
        if not light:
            resize(session, entry, job, frames, taken)
        return replace(taken, number=job.id)


def now_columns(told: NewJob, taken: Taken) -> dict[str, Any]:
    """A job's columns as it is told now."""
    return {
        "customer": told.customer.strip(), "title": told.title.strip(), "due": told.due,
        "note": told.note.strip(), "profile_code": taken.profile, "quantity": told.quantity,
        "one_batch": told.one_batch, "one_piece": told.one_piece, "bench_days": told.bench_days,
        **artwork_columns(told.artwork),
    }  # fmt: skip


def told_again(job: Job, wanted: Mapping[str, Any]) -> NewJob:
    """The job as it would be told today, with what changes."""
    told = NewJob(job.customer, job.profile_code, artwork_of(job), job.due, job.title,
                  job.quantity, job.one_batch, job.one_piece, job.note, proud=True,
                  bench_days=job.bench_days)  # fmt: skip
    return replace(told, **wanted)


def resize(session: Session, entry: int, job: Job, frames: Sequence[Frame], taken: Taken) -> None:
    """The job's frames take their new sizes and number."""
    across, upright = taken.sizes.rails_um
    for place, frame in enumerate(frames, 1):
        frame.across_um, frame.upright_um = across, upright
        if place > job.quantity:
            frame.dropped_in = entry
        session.add(frame)
    session.flush()
    used = session.exec(select(func.max(Frame.number)).where(Frame.job_id == job.id)).one()
    more = job.quantity - sum(frame.dropped_in is None for frame in frames)
    add_frames(session, job.id, range(used + 1, used + 1 + more), taken.sizes)


def refuse_planned(session: Session, job: Job) -> None:
    """A job that an accepted plan is about to cut is left alone.

    Raises:
        Clash: a plan holds one of its rails.
    """
    held = session.exec(
        select(PlanRail.plan_id)
        .join(Frame)
        .where(Frame.job_id == job.id, col(PlanRail.settled_in).is_(None))
    ).first()
    if held is not None:
        raise Clash(f"job J{job.id} is in plan {held}, which is about to be cut",
                    Remedy(Do.LET_GO, held))  # fmt: skip


def note_job(
    session: Session,
    hand: Hand,
    job: Job,
    kind: str,
    why: str,
    now: Mapping[str, Any],
    sizes: Mapping[int, list[int]] | None = None,
) -> int:
    """Changes a job's columns; the entry keeps what they were and are."""
    was = {name: getattr(job, name) for name in now}
    changed = {name for name in now if was[name] != now[name]}
    entry = post(session, hand, kind, why=why, touches=[("job", job.id)], detail={
        "was": {name: plain(was[name]) for name in sorted(changed)},
        "is": {name: plain(now[name]) for name in sorted(changed)},
            "frames": {str(frame): lengths for frame, lengths in (sizes or {}).items()},
    })  # fmt: skip
    for name in changed:
        setattr(job, name, now[name])
    session.add(job)
    session.flush()
    return entry


def plain(value: Any) -> Any:
    """A value as JSON keeps it."""
    return value.isoformat() if isinstance(value, date) else value
