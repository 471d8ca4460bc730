"""Backups by themselves: one before the first change of a day, kept for a month and a year."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from sqlalchemy import Engine
from sqlalchemy.exc import SQLAlchemyError
from sqlmodel import col, select

from stockroom.facts import Fact
from stockroom.record.copies import folder_beside, free_name, keep_copy
from stockroom.record.database import engine_for, reading
from stockroom.record.tables import Entry
from stockroom.refusals import StockroomError
from stockroom.services.record.backup import proven
from stockroom.services.shop import Shop, zone_of
from stockroom.settings.shop_settings import BESIDE, NO_BACKUPS, load

__all__ = ["LastBackup", "backup_of", "last_backup", "outdated", "with_daily_backup"]

NAMED = re.compile(r"-(?:daily|backup)-([0-9]{8})-([0-9]{6})(?:-[0-9]+)?\.(?:db|jsonl)$")
DAILY = re.compile(r"-daily-([0-9]{8})-[0-9]{6}(?:-[0-9]+)?\.(?:db|jsonl)$")
KEPT_DAYS, KEPT_MONTHS = 30, 12


@dataclass(frozen=True, slots=True)
class LastBackup:
    """The newest backup, which was proven when it was made: where it is, and from when (UTC)."""

    path: Path
    at: datetime

    def age(self, now: datetime) -> Fact:
        """How old it is."""
        hours = int((now - self.at).total_seconds() // 3600)
        if hours >= 48:
            return Fact("days_old", {"days": hours // 24})
        return Fact("hours_old", {"hours": hours}) if hours else Fact("less_than_an_hour_old")


def folder_of(engine: Engine, chosen: str) -> Path:
    """Where this shop's backups lie."""
    return folder_beside(engine, "backups") if chosen in (BESIDE, NO_BACKUPS) else Path(chosen)


def last_backup(engine: Engine, chosen: str = BESIDE) -> LastBackup | None:
    """The newest backup where the shop keeps them; None where there is none."""
    found = []
    for path in files_in(folder_of(engine, chosen)):
        if told := NAMED.search(path.name):
            at = datetime.strptime("".join(told.groups()), "%Y%m%d%H%M%S").replace(tzinfo=UTC)
            found.append(LastBackup(path, at))
    return max(found, key=lambda backup: (backup.at, backup.path.name), default=None)


def backup_of(where: str) -> LastBackup | None:
    """The newest backup of the record at a place, though the record itself cannot be read.

    Raises:
        NoShop: no record can be at such a place.
    """
    engine = engine_for(where)
    try:
        with reading(engine) as session:
            chosen = load(session).backups
    except (StockroomError, SQLAlchemyError, ValueError):
        chosen = BESIDE
    return last_backup(engine, chosen)


def files_in(folder: Path) -> list[Path]:
    """The files of a folder; none where it cannot be read."""
    try:
        return sorted(folder.iterdir())
    except OSError:
        return []


def with_daily_backup(shop: Shop) -> Shop:
    """The shop, backed up before the first change of each day."""
    return replace(shop, waiting=replace(shop.waiting, before=lambda: back_up_daily(shop)))


def back_up_daily(shop: Shop) -> None:
    """Backs the record up where today has no backup yet, and lets go of old ones.

    A backup that fails is told, and keeps nobody from work.
    """
    chosen = shop.settings.backups
    now = datetime.now(UTC)
    if chosen == NO_BACKUPS or not is_due(shop, now):
        return
    try:
        to = free_name(shop.engine, "daily", now, None if chosen == BESIDE else Path(chosen))
        proven(keep_copy, shop.engine, to)
        for path in outdated(files_in(to.parent), now.date()):
            path.unlink(missing_ok=True)
    except (StockroomError, OSError) as error:
        if shop.waiting.tell is not None:
            why = (
                error
                if isinstance(error, StockroomError)
                else Fact("as_said", {"said": str(error)})
            )
            shop.waiting.tell(Fact("no_backup_today", {"why": why}))


def is_due(shop: Shop, now: datetime) -> bool:
    """True where the record has entries of before today, and today has no backup yet."""
    zone = zone_of(shop.settings.timezone)
    today = now.astimezone(zone).date()
    last = last_backup(shop.engine, shop.settings.backups)
    if last is not None and last.at.astimezone(zone).date() >= today:
        return False
    with reading(shop.engine) as session:
        first = session.exec(select(Entry.at).order_by(col(Entry.id)).limit(1)).first()
    return first is not None and first.astimezone(zone).date() < today


def outdated(paths: Iterable[Path], today: date) -> list[Path]:
    """The daily backups to let go: older than a month, but for the first of each month of a year.

    What was backed up by command, or is named otherwise, is never let go.
    """
    old: list[Path] = []
    months: set[str] = set()
    for path in sorted(paths):
        if not (told := DAILY.search(path.name)):
            continue
        day = datetime.strptime(told[1], "%Y%m%d").replace(tzinfo=UTC).date()
        if today - day < timedelta(KEPT_DAYS):
            continue
        month = told[1][:6]
        recent = (today.year - day.year) * 12 + today.month - day.month <= KEPT_MONTHS
        if month in months or not recent:
            old.append(path)
        months.add(month)
    return old
