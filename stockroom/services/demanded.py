"""What was asked for, from the record: frames by the week their jobs were taken in, their sizes."""

from collections import Counter
from dataclasses import dataclass
from datetime import date

from sqlalchemy import func
from sqlmodel import Session, col, select

from stockroom.demand import Forecast, forecast, weekly
from stockroom.tables import Entry, Frame, Job

__all__ = ["Asked", "asked_for"]

MOST_WEEKS = 104
SHAPES = 200
"""So many of the newest frames give the sizes that expected ones are drawn from."""


@dataclass(frozen=True, slots=True)
class Asked:
    """One profile's past: its forecast, its newest pairs of rails, and the year's length (um)."""

    forecast: Forecast
    shapes: tuple[tuple[int, int], ...]
    length: int


def asked_for(session: Session, today: date) -> dict[str, Asked]:
    """The past of each profile that was ever asked for.

    Frames count in the week their job was taken in, so that an open job is known demand and not
    part of what is still expected. Cancelled jobs and dropped frames do not count; the record's
    first day, or two years ago, begins the past.
    """
    first = session.exec(select(func.min(Entry.day))).one() or today
    since = max(first, date.fromordinal(today.toordinal() - 7 * MOST_WEEKS + 1))
    rows = session.exec(
        select(col(Job.profile_code), col(Entry.day), col(Frame.across_um), col(Frame.upright_um))
        .join(Job, col(Job.id) == Frame.job_id)
        .join(Entry, col(Entry.id) == Job.taken_in)
        .where(Entry.day >= since, Entry.day <= today)
        .where(Job.state != "cancelled", col(Frame.dropped_in).is_(None))
        .order_by(col(Frame.id))
    ).all()
    days: dict[str, Counter[date]] = {}
    shapes: dict[str, list[tuple[int, int]]] = {}
    for profile, day, across, upright in rows:
        days.setdefault(profile, Counter())[day] += 1
        shapes.setdefault(profile, []).append((across, upright))
    return {
        profile: Asked(
            forecast(weekly(days[profile], since, today)),
            tuple(shapes[profile][-SHAPES:]),
            sum(2 * (across + upright) for across, upright in shapes[profile]),
        )
        for profile in days
    }


def never(session: Session, today: date) -> Asked:
    """The past of a profile that was never asked for."""
    first = session.exec(select(func.min(Entry.day))).one() or today
    weeks = min(MOST_WEEKS, (today - first).days // 7 + 1)
    return Asked(forecast((0,) * weeks), (), 0)
