"""The piece that was really cut: taken instead of the planned one where that mixes nothing."""

from collections.abc import Collection, Sequence

from sqlmodel import Session, col, select

from stockroom.record.job_sets import set_mates
from stockroom.record.jobs import frame_profile, standing_frames, wants_one_batch
from stockroom.record.ledger import RackPiece, rails_cut
from stockroom.record.stocktake import UNKNOWN_BATCH
from stockroom.record.tables import Frame, Job, PlanRail
from stockroom.refusals import Refused
from stockroom.services.kept_for import OWN, kept_for, taken_by
from stockroom.services.rack.pieces import the_piece
from stockroom.services.saw.cut_arithmetic import SawReport

__all__ = ["taken_piece"]


def taken_piece(session: Session, report: SawReport, rails: Sequence[PlanRail]) -> RackPiece:
    """The piece that was really cut; what of it was miscut goes into no frame, and mixes nothing.

    Raises:
        Refused: the piece taken instead is another profile's, is kept from such jobs or such long
            rails, or would mix batches in a frame, a job or a set.
    """
    planned = the_piece(session, report.piece, free=False)
    if report.instead is None or report.instead == report.piece:
        return planned
    piece = the_piece(session, report.instead)
    if piece.profile != planned.profile:
        raise Refused(
            "piece_of_other_profile", piece=piece.id, profile=piece.profile, planned=planned.profile
        )
    rails = [rail for position, rail in enumerate(rails, 1) if position not in report.wanting]
    longest = max((rail.length_um for rail in rails), default=0)
    if piece.longest is not None and longest > piece.longest:
        raise Refused("piece_bowed_for_rail", piece=piece.id, longest_um=piece.longest,
                      rail_um=longest)  # fmt: skip
    for frame in sorted({rail.frame_id for rail in rails}):
        row = session.get_one(Frame, frame)
        job = session.get_one(Job, row.job_id)
        check_kept(job, row, piece)
        check_one_piece(session, job, row)
        check_batch(session, job, row, planned, piece)
    return piece


def check_kept(job: Job, frame: Frame, piece: RackPiece) -> None:
    """Seconds, and a customer's own, are cut for jobs that take them alone."""
    takes = job.takes if frame.layer == 0 or job.takes != OWN else ""
    if kept_for(piece.grade, piece.owner) not in taken_by(takes, job.customer):
        raise Refused("piece_kept_from_job", piece=piece.id, job=job.id)


def check_one_piece(session: Session, job: Job, frame: Frame) -> None:
    """A frame of one piece stays so."""
    planned = session.exec(
        select(PlanRail.piece_id).where(PlanRail.frame_id == frame.id,
                                        col(PlanRail.settled_in).is_(None))
    ).all()  # fmt: skip
    if job.one_piece and len(set(planned)) > 1:
        raise Refused("job_wants_one_piece", job=job.id)


def check_batch(
    session: Session, job: Job, frame: Frame, planned: RackPiece, piece: RackPiece
) -> None:
    """A frame of one batch stays so; so does all of its job and its set that is cut, unless it was
    planned apart from that."""
    mates = set_mates(session, job) if frame.layer == 0 else []
    if not (wants_one_batch(job, frame) or mates):
        return
    own = set(rails_cut(session, [frame.id]).values())
    others = batches_cut(session, [job.id, *mates], frame_profile(job, frame))
    cut = own or (others if others == {planned.batch} else set())
    if cut - {piece.batch} or (piece.batch == UNKNOWN_BATCH and cut):
        raise Refused("job_wants_one_batch", job=job.id, batches=tuple(sorted(cut)), piece=piece.id,
                      batch=piece.batch)  # fmt: skip


def batches_cut(session: Session, jobs: Collection[int], profile: str) -> set[str]:
    """The batches that rails of these jobs in this moulding were cut from."""
    rows = [session.get_one(Job, number) for number in jobs]
    frames = [frame.id for job, frame in standing_frames(session, rows)
              if frame_profile(job, frame) == profile]  # fmt: skip
    return set(rails_cut(session, frames).values())
