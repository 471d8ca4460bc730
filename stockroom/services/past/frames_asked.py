"""The frames that were ever asked for in a profile, from the jobs and the old book."""

from datetime import date

from sqlalchemy import or_
from sqlmodel import Session, col, select

from stockroom.record.jobs import FOR_STOCK, frame_profile, rails_of, standing_frames
from stockroom.record.tables import Entry, Frame, Job, Profile
from stockroom.services.past.old_book import past_kept

__all__ = ["frames_asked"]

Rails = tuple[int, ...]


def frames_asked(session: Session, profile: Profile, until: date) -> list[tuple[date, Rails]]:
    """The day and rails of every frame asked for in a profile, oldest first; none for stock.

    The day is when it was due, or the old book's day where it stands there.
    """
    layered = select(Frame.job_id).where(Frame.profile_code == profile.code)
    asked = (
        select(Job)
        .join(Entry, col(Entry.id) == Job.taken_in)
        .where(or_(col(Job.profile_code) == profile.code, col(Job.id).in_(layered)))
        .where(col(Job.state) != "cancelled")
        .where(col(Job.due) <= until, Entry.kind != FOR_STOCK)
    )
    found = standing_frames(session, session.exec(asked).all())
    dated = [(job.due, frame.id, rails_of(frame)) for job, frame in found
             if frame_profile(job, frame) == profile.code]  # fmt: skip
    dated += [(one.day, 0, (one.across, one.upright) * 2) for one in past_kept(session)
              for _ in range(one.count) if one.profile == profile.code]  # fmt: skip
    return [(day, rails) for day, _, rails in sorted(dated)]
