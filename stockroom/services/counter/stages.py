"""How far a job is after its rails are cut: joined, fitted, ready, collected."""

from collections.abc import Sequence

from stockroom.record.database import changing
from stockroom.record.jobs import job_named, job_number, standing_frames
from stockroom.record.tables import STAGES
from stockroom.refusals import Clash, Refused
from stockroom.services.counter.amend import note_job
from stockroom.services.shop import Shop

__all__ = ["reach", "stages_after"]


def stages_after(state: str) -> tuple[str, ...]:
    """How far a job that is cut, or farther, can come; nothing of one that is not cut."""
    if state not in ("cut", *STAGES[1:]):
        return ()
    return tuple(STAGES[STAGES.index("" if state == "cut" else state) + 1 :])


def reach(shop: Shop, typed: Sequence[str], stage: str, why: str = "") -> list[int]:
    """Jobs have come as far as this stage, all of them or none; gives their numbers.

    Raises:
        Unreadable, Unknown: one is no job.
        Refused: no job is named, or one is not cut yet.
        Clash: one is as far already, or cancelled.
    """
    if not typed:
        raise Refused("no_job_given", stage=stage)
    with changing(shop.engine, shop.waiting) as session:
        numbers = []
        for number in dict.fromkeys(map(job_number, typed)):
            job = job_named(session, str(number))
            if job.state == "cancelled":
                raise Clash("job_cancelled_unchanged", job=job.id)
            if any(frame.done_in is None for _, frame in standing_frames(session, [job])):
                raise Refused("job_not_cut_yet", job=job.id)
            if STAGES.index(job.stage) >= STAGES.index(stage):
                raise Clash("job_at_stage_already", job=job.id, stage=job.stage)
            note_job(session, shop.hand, job, stage, why, {"stage": stage})
            numbers.append(job.id)
        return numbers
