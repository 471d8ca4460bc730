"""Rails that the supplier cut to size: they come for a job, and never lie on the rack."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from sqlmodel import Session

from stockroom.record.arrivals import delivered_batch
from stockroom.record.database import changing, reading
from stockroom.record.jobs import OpenFrame, moulding_named, open_frames
from stockroom.record.ledger import Flow, add_lines
from stockroom.record.tables import Frame, Job
from stockroom.refusals import Clash, Refused
from stockroom.remedies import Do, Remedy
from stockroom.services.counter.amend import note_job
from stockroom.services.shop import Shop
from stockroom.units.lengths import Micrometres

__all__ = ["Chops", "chops_awaited", "pairs_of", "supplied"]


@dataclass(frozen=True, slots=True)
class Chops:
    """What came cut to size for a job: how many rails, of which batch, and how many of each length
    (um) it still waits for."""

    rails: int
    batch: str
    awaited: Mapping[Micrometres, int]

    @property
    def pairs(self) -> Mapping[Micrometres, int]:
        """How many pairs of each length to ask for."""
        return pairs_of(self.awaited)


def pairs_of(awaited: Mapping[Micrometres, int]) -> Mapping[Micrometres, int]:
    """How many pairs of each length to ask for, since chops are sold by the pair."""
    return {length: -(-many // 2) for length, many in awaited.items()}


def supplied(
    shop: Shop, typed: str, batch: str = "", came: Mapping[Micrometres, int] | None = None, *,
    joined: bool = False, why: str = "",
) -> Chops:  # fmt: skip
    """Notes that rails a job still waits for have come cut to size: all of them, or as many of each
    length as ``came`` and can be used; the others still wait. Undoing this makes it wait again.

    Of a job of several mouldings they are those of the one where its artwork lies, or of the one
    named, as J12.b. Without a ``batch`` the delivery is one. ``joined``: the supplier joined the
    frames.

    Raises:
        Unreadable, Unknown: it is no job's number, or has no such moulding.
        Refused: the job waits for nothing, not for so many, or for rails that match others; or
            frames are said to be joined that lack a rail.
        Clash: an accepted plan is about to cut some of its rails.
    """
    with changing(shop.engine, shop.waiting) as session:
        job, profile = moulding_named(session, typed)
        waiting = frames_waiting(session, job, profile)
        if any(frame.held for frame in waiting):
            raise Clash("job_about_to_be_cut", Remedy(Do.LET_THAT_GO), job=job.id)
        awaited = lengths_of(waiting)
        told = awaited if came is None else as_awaited(came, awaited, shop.settings.step_um)
        here = dealt(job, waiting, told)
        rest = awaited - Counter(length for rails in here.values() for length in rails.values())
        if joined and rest:
            raise Refused("joined_lack_rails", job=job.id, rails=rest.total())
        code = delivered_batch(session, shop.hand, profile, batch)
        refuse_unmatched(waiting, here, code)
        entry = note_job(session, shop.hand, job, "cut to size", why,
                         {"stage": "joined"} if joined else {})  # fmt: skip
        add_lines(session, entry, [flow for frame in waiting
                                   for flow in flows_of(frame, here[frame.id], code)])  # fmt: skip
        finish(session, [one for one in waiting if len(here[one.id]) == len(one.rails)], entry)
        return Chops(sum(map(len, here.values())), code, dict(rest))


def chops_awaited(shop: Shop, typed: str) -> Mapping[Micrometres, int]:
    """How many rails of each length a job waits for, the longest first; none where it is cut.

    Raises:
        Unreadable, Unknown: it is no job's number.
    """
    with reading(shop.engine) as session:
        job, profile = moulding_named(session, typed)
        waiting = open_frames(session, states=("open", "held"), profile=profile)
        return dict(sorted(lengths_of([one for one in waiting if one.job == job.id]).items(),
                           reverse=True))  # fmt: skip


def frames_waiting(session: Session, job: Job, profile: str) -> list[OpenFrame]:
    """The frames of a job that lack a rail of this moulding.

    Raises:
        Refused: there is none.
    """
    every = open_frames(session, states=("open", "held"), profile=profile)
    waiting = [frame for frame in every if frame.job == job.id]
    if not waiting:
        raise Refused("job_waits_for_no_rail", Remedy(Do.SEE_JOBS_ALL), job=job.id)
    return waiting


def lengths_of(frames: Sequence[OpenFrame]) -> Counter[Micrometres]:
    """How many rails of each length frames wait for."""
    return Counter(length for frame in frames for length in frame.rails.values())


def as_awaited(
    came: Mapping[Micrometres, int], awaited: Mapping[Micrometres, int], step_um: Fraction
) -> Counter[Micrometres]:
    """The rails that came by the lengths that are awaited: one is typed as it is printed, to the
    shop's step, and may be up to half of it longer or shorter."""
    found: Counter[Micrometres] = Counter()
    for length, many in came.items():
        nearest = min(awaited, key=lambda one: abs(one - length), default=length)
        found[nearest if 2 * abs(nearest - length) <= step_um else length] += many
    return found


def dealt(
    job: Job, waiting: Sequence[OpenFrame], came: Mapping[Micrometres, int]
) -> dict[int, dict[int, Micrometres]]:
    """The rails that came, by frame and number, so that the first frames are whole first.

    Raises:
        Refused: none came, or more of a length than the job waits for.
    """
    left = +Counter(came)
    if not left:
        raise Refused("no_chop_came", job=job.id)
    over = left - lengths_of(waiting)
    for length, many in sorted(over.items()):
        raise Refused("more_chops_than_awaited", Remedy(Do.LOG_FOUND), job=job.id, length_um=length,
                      awaited=left[length] - many, came=left[length])  # fmt: skip
    here: dict[int, dict[int, Micrometres]] = {}
    for frame in waiting:
        here[frame.id] = {}
        for rail, length in frame.rails.items():
            if left[length]:
                here[frame.id][rail] = length
                left[length] -= 1
    return here


def refuse_unmatched(
    waiting: Sequence[OpenFrame], here: Mapping[int, Mapping[int, Micrometres]], batch: str
) -> None:
    """A matched frame has its rails of one batch.

    Raises:
        Refused: it has some of another already.
    """
    for frame in waiting:
        if here[frame.id] and frame.one_batch and frame.batches - {batch}:
            raise Refused("chop_of_other_batch", frame=frame.label, batch=batch,
                          batches=tuple(sorted(frame.batches)))  # fmt: skip


def flows_of(frame: OpenFrame, rails: Mapping[int, Micrometres], batch: str) -> list[Flow]:
    """The lines of the rails of a frame that came, from the supplier."""
    return [
        flow
        for rail, length in rails.items()
        for flow in (
            Flow("supplier", -length, frame.profile, batch),
            Flow("rails", length, frame.profile, batch, frame=frame.id, rail=rail),
        )
    ]


def finish(session: Session, frames: list[OpenFrame], entry: int) -> None:
    """These frames have all their rails by this entry."""
    for frame in frames:
        row = session.get_one(Frame, frame.id)
        row.done_in = entry
        session.add(row)
    session.flush()
