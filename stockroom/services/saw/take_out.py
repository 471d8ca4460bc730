"""A job taken out of an accepted plan: the pieces that it is on are let go, the rest stays."""

from dataclasses import dataclass

from sqlmodel import Session, col, select

from stockroom.record.database import changing, reading
from stockroom.record.jobs import job_named, labels
from stockroom.record.ledger import post
from stockroom.record.tables import Frame, PlanPiece, PlanRail
from stockroom.refusals import Refused
from stockroom.remedies import Do, Remedy
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import close_if_done, rails_planned, settle, touch_jobs
from stockroom.services.shop import Shop

__all__ = ["TakenOut", "plan_that_cuts", "take_out"]


@dataclass(frozen=True, slots=True)
class TakenOut:
    """What was let go: of which plan, which pieces, and other frames that had rails on them."""

    plan: int
    pieces: tuple[int, ...]
    others: tuple[str, ...]


def take_out(shop: Shop, typed: str, why: str = "") -> TakenOut:
    """Lets go of the pieces from which an accepted plan still has rails of this job to cut.

    Other frames with rails on those pieces wait for them again.

    Raises:
        Unreadable, Unknown: it is no job.
        Refused: no plan is about to cut it.
    """
    with changing(shop.engine, shop.waiting) as session:
        job = job_named(session, typed)
        held = pieces_of(session, job.id)
        if not held:
            raise Refused("no_plan_cuts_job", Remedy(Do.SEE_PLANS), job=job.id)
        plan = held[0].plan_id
        entry = post(session, shop.hand, "left", why=why or f"J{job.id} was taken out", touches=[
            ("plan", plan), ("job", job.id), *(("piece", row.piece_id) for row in held),
        ])  # fmt: skip
        others: dict[str, None] = {}
        for row in held:
            rails = rails_planned(session, SawReport(plan, row.piece_id))
            settle(session, entry, row, rails)
            frames = {frame.id for frame in touch_jobs(session, entry, rails)
                      if frame.job_id != job.id}  # fmt: skip
            others |= dict.fromkeys(labels(session, frames).values())
        close_if_done(session, entry, plan)
        return TakenOut(plan, tuple(row.piece_id for row in held), tuple(others))


def plan_that_cuts(shop: Shop, typed: str) -> int | None:
    """The accepted plan that still has rails of this job to cut, if one has.

    Raises:
        Unreadable, Unknown: it is no job.
    """
    with reading(shop.engine) as session:
        held = pieces_of(session, job_named(session, typed).id)
        return held[0].plan_id if held else None


def pieces_of(session: Session, job: int) -> list[PlanPiece]:
    """The pieces that a plan holds with a rail of this job still to be cut."""
    asked = (
        select(PlanPiece)
        .join(PlanRail, (col(PlanRail.plan_id) == PlanPiece.plan_id)
              & (col(PlanRail.piece_id) == PlanPiece.piece_id))
        .join(Frame, col(Frame.id) == PlanRail.frame_id)
        .where(Frame.job_id == job, col(PlanPiece.settled_in).is_(None),
               col(PlanRail.settled_in).is_(None))
        .order_by(col(PlanPiece.plan_id), col(PlanPiece.position))
    )  # fmt: skip
    rows = list(dict.fromkeys((row.plan_id, row.piece_id) for row in session.exec(asked)))
    return [session.get_one(PlanPiece, key) for key in rows if key[0] == rows[0][0]]
