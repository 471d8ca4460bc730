"""A frame cut again whole: what was cut for it goes back on the rack, mitred at both ends.

So a begun frame whose batch has run out can come from another batch, and one that was spoiled
after it was cut can be made once more.
"""

from dataclasses import dataclass

from sqlmodel import Session

from stockroom.frame.layers import layer_letter
from stockroom.record.database import changing
from stockroom.record.jobs import frame_label, job_named, standing_frames
from stockroom.record.ledger import RackPiece, add_lines, on_rack, open_entry, rails_cut
from stockroom.record.tables import Frame, Job
from stockroom.refusals import Clash, Refused, Unknown
from stockroom.remedies import Do, Remedy
from stockroom.services.counter.amend import refuse_planned
from stockroom.services.rack.rails_back import rails_standing, send_back
from stockroom.services.shop import Shop

__all__ = ["Afresh", "cut_afresh"]

AFRESH = "afresh"


@dataclass(frozen=True, slots=True)
class Afresh:
    """What cutting afresh did: its entry, the frames, the rails on the rack, length in the scrap
    (um)."""

    entry: int
    frames: tuple[str, ...]
    racked: tuple[RackPiece, ...]
    scrap: int


def cut_afresh(shop: Shop, typed: str, why: str = "", spot: str = "", *,
               scrap: bool = False) -> Afresh:  # fmt: skip
    """Frames wait for all their rails again; those cut go on the rack, or all to ``scrap``.

    ``typed`` is a frame such as J12.2, or a job: then its begun frames, or its only one.

    Raises:
        Unreadable, Unknown: there is no such job or frame.
        Refused: no rail of it is cut, or it is not clear which frame is meant.
        Clash: a plan is about to cut it, or the job is cancelled.
    """
    with changing(shop.engine, shop.waiting) as session:
        job, frames = frames_meant(session, typed)
        refuse_planned(session, job)
        touches = [("job", job.id)]
        done = {str(frame.id): frame.done_in for frame in frames if frame.done_in}
        detail = {"done_in": done, "was": {"stage": job.stage}}
        entry = open_entry(session, shop.hand, AFRESH, why=why, touches=touches, detail=detail)
        job.stage = ""
        session.add(job)
        cut = rails_standing(session, frames)
        flows, racked = send_back(session, entry, shop.hand, cut, "scrap" if scrap else "rack",
                                  "rail cut afresh", spot)  # fmt: skip
        add_lines(session, entry, flows)
        for frame in frames:
            frame.done_in = None
            session.add(frame)
        session.flush()
        lost = sum(flow.length for flow in flows if flow.place == "scrap")
        return Afresh(entry, tuple(frame_label(job, f) for f in frames),
                      tuple(on_rack(session, ids=racked)), lost)  # fmt: skip


def frames_meant(session: Session, typed: str) -> tuple[Job, list[Frame]]:
    """The job and those of its frames that are to be cut again, each with a rail cut."""
    named, _, number = typed.strip().partition(".")
    job = job_named(session, named)
    if job.state == "cancelled":
        raise Clash("job_cancelled", Remedy(Do.SEE_JOBS), job=job.id)
    standing = [frame for _, frame in standing_frames(session, [job])]
    cut = {frame for frame, _ in rails_cut(session, [frame.id for frame in standing])}
    begun = [frame for frame in standing if frame.id in cut]
    if number:
        known = {frame.id: f"J{job.id}.{frame.number}{layer_letter(frame.layer)}"
                 for frame in standing}  # fmt: skip
        meant = {f"J{job.id}.{number}".casefold(), f"J{job.id}.1{number}".casefold()}
        if not any(name.casefold() in meant for name in known.values()):
            raise Unknown("unknown_frame", typed.strip(), [*known.values()][:3])
        begun = [frame for frame in begun if known[frame.id].casefold() in meant]
    if not begun:
        raise Refused("no_rail_cut_of", typed=typed.strip())
    waiting = [frame for frame in begun if frame.done_in is None]
    if not waiting and len(begun) > 1:
        raise Refused("which_cut_frame", begun=len(begun), job=job.id, number=begun[0].number)
    return job, waiting or begun
