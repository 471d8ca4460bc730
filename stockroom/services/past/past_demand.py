"""What was asked for, from the record: jobs by the day they were taken in, their frames' sizes."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from sqlalchemy import func, or_
from sqlmodel import Session, col, select

from stockroom.buying.forecast import Forecast, by_week, forecast
from stockroom.buying.season import Season, season_of
from stockroom.buying.windows import Asking
from stockroom.record.jobs import FOR_STOCK
from stockroom.record.tables import Entry, Frame, Job
from stockroom.services.past.old_book import PastFrames, past_kept
from stockroom.units.lengths import Micrometres

__all__ = ["Asked", "asked_for", "never", "season_told", "usual_notice"]

MOST_WEEKS = 104
NEWEST, ENOUGH = 200, 20


@dataclass(frozen=True, slots=True)
class Asked:
    """One profile's past since a day: its forecast, and the jobs that came in, oldest first."""

    forecast: Forecast
    since: date
    asks: tuple[Asking, ...] = field(repr=False)

    @property
    def frames(self) -> int:
        """How many frames were asked for."""
        return sum(len(ask.frames) for ask in self.asks)

    @property
    def length(self) -> int:
        """The length of all rails asked for, um."""
        return sum(sum(rails) for ask in self.asks for rails in ask.frames)

    @property
    def usual_length(self) -> float:
        """The length of the rails of a usual frame, um; nothing where none was asked for."""
        return self.length / self.frames if self.frames else 0.0

    def in_season(self, season: Season | None, today: date, days: int) -> "Asked":
        """The same at the pace of so many days to come, where the shop has a season."""
        if season is None or not self.asks:
            return self
        asks, since = season.paced(self.asks, self.since, today, days)
        return past_of(asks, since, today)

    @property
    def weekly_length(self) -> float:
        """The length of rails to expect in a week, um."""
        return self.forecast.rate * self.usual_length


def asked_for(
    session: Session, today: date,
    is_large: Callable[[Sequence[Sequence[int]]], bool] = lambda _: False,
) -> dict[str, Asked]:  # fmt: skip
    """The past of each profile that was ever asked for.

    Jobs count on the day they were taken in, so that an open job is known demand and not part of
    what is still expected. Cancelled jobs, dropped frames and frames for stock do not count, nor do
    large jobs, told by their frames' rails (um). The past begins with the old book's first job,
    else with the record's first day, and two years ago at most.
    """
    since, book = begun(session, today)
    asks: dict[str, list[Asking]] = {}
    for one in jobs_of((*book, *taken_in(session, since, today))):
        if not is_large(one[1].frames):
            asks.setdefault(one[0], []).append(one[1])
    return {profile: past_of(found, since, today) for profile, found in asks.items()}


def jobs_of(frames: Iterable[PastFrames]) -> list[tuple[str, Asking]]:
    """Frames by the job they came in with, each with its profile, oldest first; a row of the old
    book is a job."""
    found: dict[tuple[str, object], list[PastFrames]] = {}
    for number, one in enumerate(frames):
        key = one.profile, (f"row {number}" if one.job is None else one.job)
        found.setdefault(key, []).append(one)
    told = [
        (profile, Asking(rows[0].day, tuple((one.across, one.upright) for one in rows
                                         for _ in range(one.count) if not one.rails),
                         tuple(one.rails for one in rows if one.rails)))
        for (profile, _), rows in found.items()
    ]  # fmt: skip
    return sorted(told, key=lambda one: one[1].day)


def season_told(past: Iterable[Asked], today: date) -> Season | None:
    """The shop's season, from all profiles' jobs by whole week; None where they tell none."""
    asked = list(past)
    since = min((one.since for one in asked), default=today)
    days = [(ask.day, ask) for one in asked for ask in one.asks]
    whole = ((today - since).days + 1) // 7
    return season_of([len(week) for week in by_week(days, since, today)][-whole:] if whole else [])


def past_of(asks: Sequence[Asking], since: date, today: date) -> Asked:
    """The past of a profile, from all its jobs."""
    weeks = by_week(((ask.day, ask.count) for ask in asks), since, today)
    return Asked(forecast([sum(week) for week in weeks]), since, tuple(asks))


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
        select(  # type: ignore[call-overload]
            col(Entry.day),
            func.coalesce(Frame.profile_code, Job.profile_code),
            col(Frame.across_um),
            col(Frame.upright_um),
            col(Job.id),
            col(Frame.rails_um),
        )
        .join(Job, col(Job.id) == Frame.job_id)
        .join(Entry, col(Entry.id) == Job.taken_in)
        .where(Entry.day >= since, Entry.day <= today)
        .where(Job.state != "cancelled", col(Frame.dropped_in).is_(None))
        .where(Entry.kind != FOR_STOCK, or_(col(Job.takes) != "own", col(Frame.layer) > 0))
        .order_by(col(Frame.id))
    ).all()
    return [PastFrames(day, profile, 1, across, upright, job=job,
                       rails=tuple(map(Micrometres, rails or ())))
            for day, profile, across, upright, job, rails in rows]  # fmt: skip


def never(session: Session, today: date) -> Asked:
    """The past of a profile that was never asked for."""
    since, _ = begun(session, today)
    return past_of((), since, today)


def usual_notice(
    session: Session, cut_by: Callable[[date, int | None], date], today: date, promise: int
) -> int:
    """The days from taking a job in to its cutting that nine jobs in ten have, of the newest 200.

    ``cut_by`` gives the day to cut what is due, with its own days at the bench or none. Jobs of
    the record's first day were promised before it began, and tell nothing. While fewer than 20
    are known, the old book's with them, jobs are due in ``promise`` days.
    """
    first = session.exec(select(func.min(Entry.day))).one()
    rows = session.exec(
        select(col(Job.due), col(Job.bench_days), col(Entry.day))
        .join(Entry, col(Entry.id) == Job.taken_in)
        .where(Job.state != "cancelled", Entry.day > first)
        .order_by(col(Job.id).desc())
        .limit(NEWEST)
    ).all()
    told: list[tuple[date, int | None, date]] = list(rows)
    book = [(one.due, None, one.day) for one in past_kept(session) if one.due is not None]
    told += book[-(NEWEST - len(told)) :] if len(told) < NEWEST else []
    if len(told) < ENOUGH:
        told = [(today + timedelta(promise), None, today)]
    days = sorted(max(0, (cut_by(due, own) - day).days) for due, own, day in told)
    return days[len(days) // 10]
