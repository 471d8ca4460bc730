"""Jobs after they are taken in: held, released, cancelled, changed; each change journalled."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from sqlalchemy import func
from sqlmodel import Session, col, select

from stockroom.job_notes import JOB_NOTES, notes_of
from stockroom.record.database import changing, reading
from stockroom.record.job_sets import matched_by
from stockroom.record.jobs import job_named, open_frames, standing_frames
from stockroom.record.ledger import Flow, Hand, RackPiece, add_lines, on_rack, post
from stockroom.record.tables import Frame, Job, PlanRail
from stockroom.refusals import Clash, Refused
from stockroom.remedies import Do, Remedy
from stockroom.services.counter.fit_again import Refit, cut_for_job, refit, reopen
from stockroom.services.counter.sized_layers import around_told, fillet_told, layers_kept
from stockroom.services.counter.take import (
    NewJob,
    Taken,
    add_frames,
    artwork_columns,
    artwork_of,
    check,
)
from stockroom.services.rack.rails_back import RailsTo, StandingRail, send_back
from stockroom.services.shop import Shop

__all__ = ["Cancelled", "at_stake", "cancel", "cancel_stock", "change", "hold", "release"]


LIGHT = {"due", "title", "customer", "bench_days", "set_with", *JOB_NOTES}
"""What changes of a job while its frames stay as they are."""


@dataclass(frozen=True, slots=True)
class Cancelled:
    """A cancelled job, the offcuts that its rails are now, and how many rails are scrap."""

    number: int
    back: tuple[RackPiece, ...]
    scrapped: int


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
                "job_in_wrong_state", job=job.id, state=job.state, wanted=wanted, becoming=state
            )
        refuse_planned(session, job)
        note_job(session, shop.hand, job, "hold" if state == "held" else "release", why,
                 {"state": state})  # fmt: skip
        return job.id


def cancel(shop: Shop, typed: str, why: str, rails: RailsTo | None = None) -> Cancelled:
    """A job is cancelled; rails that are cut for it go back to the rack, or to the scrap.

    Frames that are ``joined`` stay as they are: only loose rails go back then. Where nothing is
    told, those of a job that was noted as joined do.

    Raises:
        Unreadable, Unknown: it is no job's number.
        Clash: it is cancelled already, or a plan is about to cut it.
    """
    with changing(shop.engine, shop.waiting) as session:
        job = job_named(session, typed)
        if job.state == "cancelled":
            raise Clash("job_cancelled_already", job=job.id)
        refuse_planned(session, job)
        to = rails or ("joined" if job.stage else "rack")
        return write_cancelled(session, shop.hand, job, why, to)


def write_cancelled(
    session: Session, hand: Hand, job: Job, why: str, rails: RailsTo = "rack"
) -> Cancelled:
    """A job is cancelled: its frames that do not stay joined are dropped, their rails go back."""
    frames, cut = cut_for_job(session, f"J{job.id}")
    stay = {frame.id for frame in frames if frame.done_in is not None and rails == "joined"}
    back = [rail for rail in cut if rail.frame not in stay]
    entry = note_job(session, hand, job, "cancel", why, {"state": "cancelled"},
                     done_in=reopen(frames, back))  # fmt: skip
    for frame in frames:
        if frame.id not in stay:
            frame.dropped_in = entry
        session.add(frame)
    offcuts = gone_back(session, hand, entry, back, rails)
    return Cancelled(job.id, offcuts, len(back) - len(offcuts))


def gone_back(
    session: Session, hand: Hand, entry: int, back: Sequence[StandingRail], to: RailsTo,
    moves: Iterable[Flow] = (),
) -> tuple[RackPiece, ...]:  # fmt: skip
    """Takes rails out of their frames; gives the offcuts that they are now."""
    flows, numbers = send_back(session, entry, hand, back, to)
    add_lines(session, entry, [*flows, *moves])
    return tuple(on_rack(session, ids=numbers)) if numbers else ()


def cancel_stock(session: Session, hand: Hand) -> int:
    """Jobs for stock are cancelled where no frame is begun or in a plan; gives how many."""
    waiting = open_frames(session, stock="alone", states=("open", "held"))
    begun = {frame.job for frame in waiting if frame.held or len(frame.rails) < len(frame.whole)}
    idle = sorted({frame.job for frame in waiting} - begun)
    for number in idle:
        job = session.get_one(Job, number)
        frames = [frame for _, frame in standing_frames(session, [job])]
        if all(frame.done_in is None for frame in frames):
            write_cancelled(session, hand, job, "not made after all")
    return len(idle)


def change(
    shop: Shop, typed: str, wanted: Mapping[str, Any], rails: RailsTo | None = None
) -> Taken:
    """Changes what a job is; gives its sizes now.

    Cut rails that are still right stay; the others go back to the rack, or to the scrap.
    ``wanted`` holds new values for fields of NewJob.

    Raises:
        Clash: a plan is about to cut it.
        Refused, Unknown: as when it is taken in.
    """
    with changing(shop.engine, shop.waiting) as session:
        refuse_planned(session, job_named(session, typed))
        job, told, taken, light = told_now(session, shop, typed, wanted)
        frames, cut = cut_for_job(session, typed)
        if light:
            note_job(session, shop.hand, job, "change", "", now_columns(job, told, taken, None))
            return replace(taken, number=job.id)
        fit = refit(frames, cut, taken.layers, told.quantity, numbers_used(session, job))
        if fit.back and (rails or ("joined" if job.stage else "rack")) == "joined":
            raise Refused("joined_rails_stay")
        if cut and told.artwork.shape != artwork_of(job).shape:
            raise Refused("shape_of_cut_job", job=job.id)
        now = now_columns(job, told, taken, wanted.get("one_batch"))
        now |= {"stage": ""} if fit.back else {}
        entry = note_job(session, shop.hand, job, "change", "", now,
                         {f.id: [f.across_um, f.upright_um, f.rails_um] for f in frames},
                         reopen(frames, fit.back))  # fmt: skip
        resize(session, entry, job, frames, fit, taken)
        back = gone_back(session, shop.hand, entry, fit.back, rails or "rack", fit.moves)
        return replace(taken, number=job.id, back=back, scrapped=len(fit.back) - len(back))


def at_stake(
    shop: Shop, typed: str, wanted: Mapping[str, Any] | None = None
) -> tuple[StandingRail, ...]:
    """The cut rails that a job would lose if it were changed so, or, with None, cancelled."""
    with reading(shop.engine) as session:
        frames, cut = cut_for_job(session, typed)
        if wanted is None or not cut:
            return tuple(cut)
        job, told, taken, light = told_now(session, shop, typed, wanted)
        if light:
            return ()
        used = numbers_used(session, job)
        return refit(frames, cut, taken.layers, told.quantity, used).back


def told_now(
    session: Session, shop: Shop, typed: str, wanted: Mapping[str, Any]
) -> tuple[Job, NewJob, Taken, bool]:
    """A job, as it is told now, with its sizes, and whether its frames stay as they are."""
    job = job_named(session, typed)
    told = told_again(job, wanted)
    light = not set(wanted) - LIGHT
    if told.set_with:
        refuse_matched(session, job, told.set_with)
    day = shop.hand.day if "due" in wanted else min(shop.hand.day, job.due)
    return job, told, check(session, shop.settings, day, told), light


def refuse_matched(session: Session, job: Job, match: int) -> None:
    """A job matches neither itself nor, where others match it, another.

    Raises:
        Refused: it would.
    """
    if match == job.id:
        raise Refused("job_matches_itself", job=job.id)
    if others := matched_by(session, [job.id]):
        raise Refused("job_is_matched", job=job.id, other=min(others))


def now_columns(job: Job, told: NewJob, taken: Taken, one_batch: bool | None) -> dict[str, Any]:
    """A job's columns as it is told now; ``one_batch`` where that is told anew."""
    return {
        "customer": told.customer.strip(), "title": told.title.strip(), "due": told.due,
        **{name: text.strip() for name, text in notes_of(told).items()},
        "profile_code": taken.profile, "quantity": told.quantity,
        "one_batch": told.one_batch, "one_piece": told.one_piece, "bench_days": told.bench_days,
        "match_batch": told.match, "takes": told.takes,
        "match_job": taken.job.set_with,
        **artwork_columns(told.artwork),
        "layers": layers_kept([one.layer for one in taken.layers], one_batch, job.layers),
    }  # fmt: skip


def told_again(job: Job, wanted: Mapping[str, Any]) -> NewJob:
    """The job as it would be told today, with what changes."""
    told = NewJob(job.customer, job.profile_code, artwork_of(job), job.due, job.title,
                  job.quantity, job.one_batch, job.one_piece, proud=True,
                  bench_days=job.bench_days, match=job.match_batch,
                  around=around_told(job), fillet=fillet_told(job),
                  set_with=job.match_job, takes=job.takes, **notes_of(job))  # fmt: skip
    return replace(told, **wanted)


def resize(
    session: Session, entry: int, job: Job, frames: Sequence[Frame], fit: Refit, taken: Taken
) -> None:
    """The job's frames take their new sizes, mouldings and number."""
    wanted = {one.number: one for one in taken.layers}
    for frame in frames:
        if (one := wanted.get(frame.layer)) is not None:
            frame.across_um, frame.upright_um = one.sizes.rails_um
            frame.rails_um = [*one.sizes.each_um] or None
            frame.profile_code = one.layer.profile.code if one.number else None
        if frame.id not in fit.kept:
            frame.dropped_in = entry
        session.add(frame)
    session.flush()
    add_frames(session, [(job.id, number, one) for number, one in fit.new])


def numbers_used(session: Session, job: Job) -> int:
    """The highest number that a frame of a job ever had."""
    asked = select(func.max(Frame.number)).where(Frame.job_id == job.id)
    return session.exec(asked).one() or 0


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
        raise Clash("job_in_plan", Remedy(Do.TAKE_OUT, f"J{job.id}"), job=job.id, plan=held)


def note_job(
    session: Session,
    hand: Hand,
    job: Job,
    kind: str,
    why: str,
    now: Mapping[str, Any],
    sizes: Mapping[int, list[Any]] | None = None,
    done_in: Mapping[str, int] | None = None,
) -> int:
    """Changes a job's columns; the entry keeps what they were and are."""
    was = {name: getattr(job, name) for name in now}
    changed = {name for name in now if was[name] != now[name]}
    entry = post(session, hand, kind, why=why, touches=[("job", job.id)], detail={
        "was": {name: plain(was[name]) for name in sorted(changed)},
        "is": {name: plain(now[name]) for name in sorted(changed)},
            "frames": {str(frame): lengths for frame, lengths in (sizes or {}).items()},
            **({"done_in": dict(done_in)} if done_in else {}),
    })  # fmt: skip
    for name in changed:
        setattr(job, name, now[name])
    session.add(job)
    session.flush()
    return entry


def plain(value: Any) -> Any:
    """A value as JSON keeps it."""
    return value.isoformat() if isinstance(value, date) else value
