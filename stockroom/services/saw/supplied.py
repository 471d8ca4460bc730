"""Rails that the supplier cut to size: they come for a job, and never lie on the rack."""

from sqlmodel import Session

from stockroom.record.catalogue import add_batch
from stockroom.record.database import changing
from stockroom.record.jobs import OpenFrame, job_named, open_frames
from stockroom.record.ledger import Flow, add_lines, open_entry
from stockroom.record.tables import Frame
from stockroom.refusals import Clash, Refused
from stockroom.remedies import Do, Remedy
from stockroom.services.shop import Shop

__all__ = ["supplied"]


def supplied(shop: Shop, typed: str, batch: str) -> int:
    """Notes that the rails a job still waits for have come cut to size; gives how many they are.

    The job need not be held any more: all of it is cut. Undoing this makes it wait again.

    Raises:
        Unreadable, Unknown: it is no job's number.
        Refused: the job waits for nothing.
        Clash: an accepted plan is about to cut some of its rails.
    """
    with changing(shop.engine, shop.waiting) as session:
        job = job_named(session, typed)
        waiting = [frame for frame in open_frames(session, states=("open", "held"),
                                                  profile=job.profile_code)
                   if frame.job == job.id]  # fmt: skip
        if not waiting:
            raise Refused("job_waits_for_no_rail", Remedy(Do.SEE_JOBS_ALL), job=job.id)
        if any(frame.held for frame in waiting):
            raise Clash("job_about_to_be_cut", Remedy(Do.LET_THAT_GO), job=job.id)
        code = add_batch(session, job.profile_code, batch)
        entry = open_entry(session, shop.hand, "cut to size", touches=[("job", job.id)])
        flows = [flow for frame in waiting for flow in flows_of(frame, code)]
        add_lines(session, entry, flows)
        finish(session, waiting, entry)
        return len(flows) // 2


def flows_of(frame: OpenFrame, batch: str) -> list[Flow]:
    """The lines of a frame's missing rails, from the supplier."""
    return [
        flow
        for rail, length in frame.rails.items()
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
