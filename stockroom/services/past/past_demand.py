"""What was asked for, from the record: frames by the week their jobs were taken in, their sizes."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import func
from sqlmodel import Session, col, select

from stockroom.buying.forecast import Forecast, by_week, forecast
from stockroom.record.jobs import FOR_STOCK
from stockroom.record.tables import Entry, Frame, Job
from stockroom.services.past.old_book import PastFrames, past_kept

__all__ = ["Asked", "asked_for"]

MOST_WEEKS = 104
NEWEST, ENOUGH = 200, 20


@dataclass(frozen=True, slots=True)
class Asked:
    """One profile's past: its forecast, the weeks that had demand with their frames' pairs of rails
    (um), and how much length all of them took (um)."""

    forecast: Forecast
    weeks: tuple[tuple[tuple[int, int], ...], ...]

    @property
    def length(self) -> int:
        """The length of all rails asked for, um."""
        return sum(2 * (across + upright) for week in self.weeks for across, upright in week)

    @property
    def weekly_length(self) -> float:
        """The length of rails to expect in a week, um."""
        frames = sum(map(len, self.weeks))
        return self.forecast.rate * self.length / frames if frames else 0.0


def asked_for(session: Session, today: date) -> dict[str, Asked]:
    """The past of each profile that was ever asked for.

    Frames count in the week their job was taken in, so that an open job is known demand and not
    part of what is still expected. Cancelled jobs, dropped frames and frames for stock do not
    count. The past begins with the old book's first job, else with the record's first day, and
    two years ago at most.
    """
    since, book = begun(session, today)
    asked: dict[str, list[tuple[date, tuple[int, int]]]] = {}
    for one in (*book, *taken_in(session, since, today)):
        dated = (one.day, (one.across, one.upright))
        asked.setdefault(one.profile, []).extend([dated] * one.count)
    return {profile: past_of(by_week(dated, since, today)) for profile, dated in asked.items()}


def past_of(weeks: list[tuple[tuple[int, int], ...]]) -> Asked:
    """The past of a profile, from all its weeks."""
    return Asked(forecast([len(week) for week in weeks]), tuple(week for week in weeks if week))


def begun(session: Session, today: date) -> tuple[date, list[PastFrames]]:
    """The day on which the past begins, and the old book's jobs from then to today."""
    book = past_kept(session)
    entered = session.exec(select(func.min(Entry.day))).one() or today
    earliest = date.fromordinal(today.toordinal() - 7 * MOST_WEEKS + 1)
    since = max(earliest, min([entered, *(one.day for one in book[:1])]))
    return since, [one for one in book if since <= one.day <= today]


def taken_in(session: Session, since: date, today: date) -> list[PastFrames]:
    """The record's own frames by the day their job was taken in."""
    rows = session.exec(
        select(col(Job.profile_code), col(Entry.day), col(Frame.across_um), col(Frame.upright_um))
        .join(Job, col(Job.id) == Frame.job_id)
        .join(Entry, col(Entry.id) == Job.taken_in)
        .where(Entry.day >= since, Entry.day <= today)
        .where(Job.state != "cancelled", col(Frame.dropped_in).is_(None))
        .where(Entry.kind != FOR_STOCK)
        .order_by(col(Frame.id))
    ).all()
    return [PastFrames(day, profile, 1, across, upright) for profile, day, across, upright in rows]


def never(session: Session, today: date) -> Asked:
    """The past of a profile that was never asked for."""
    since, _ = begun(session, today)
    return past_of(by_week((), since, today))


def usual_notice(session: Session, cut_by: Callable[[date, int | None], date]) -> int:
    """The days from taking a job in to its cutting that nine jobs in ten have, of the newest 200.

    ``cut_by`` gives the day to cut what is due, with its own days at the bench or none. None are
    counted on while fewer than 20 are known.
    """
    rows = session.exec(
        select(col(Job.due), col(Job.bench_days), col(Entry.day))
        .join(Entry, col(Entry.id) == Job.taken_in)
        .where(Job.state != "cancelled")
        .order_by(col(Job.id).desc())
        .limit(NEWEST)
    ).all()
    days = sorted(max(0, (cut_by(due, own) - day).days) for due, own, day in rows)
    return days[len(days) // 10] if len(days) >= ENOUGH else 0
