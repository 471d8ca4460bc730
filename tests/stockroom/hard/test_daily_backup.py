"""Backups by themselves: before the first change of a day, proven, kept for a month and a year."""

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import text

from stockroom.facts import Fact
from stockroom.record.database import changing, reading
from stockroom.record.seal import seal_anew
from stockroom.services.record.backup import newest, opened_copy
from stockroom.services.record.daily import (
    LastBackup,
    backup_of,
    last_backup,
    outdated,
    with_daily_backup,
)
from stockroom.services.record.restore import restore
from stockroom.services.shop import Shop, change_setting, open_shop
from stockroom.words.language import word
from tests.stockroom.hard.shopwork import MONDAY, sticks


def aged(shop: Shop) -> None:
    """A record whose entries were all written the day before yesterday."""
    before = (datetime.now(UTC) - timedelta(2)).replace(tzinfo=None)
    with changing(shop.engine) as session:
        session.connection().execute(text("UPDATE entry SET at = :at"), {"at": str(before)})
        seal_anew(session)


def backups(folder: Path) -> list[Path]:
    """The daily backups in a folder."""
    return sorted(folder.glob("*-daily-*"))


def test_the_first_change_of_a_day_is_backed_up_and_no_other(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    folder = tmp_path / "other disk"
    folder.mkdir()
    change_setting(shop, "backups", str(folder))
    daily = with_daily_backup(open_shop(where, "ada", MONDAY))
    sticks(daily)
    assert backups(folder) == []
    aged(shop)
    sticks(daily)
    sticks(daily)
    (kept,) = backups(folder)
    with opened_copy(kept) as copy:
        assert newest(copy)[0] == 3
    last = last_backup(shop.engine, str(folder))
    assert last is not None
    assert (last.path, word(last.age(datetime.now(UTC)))) == (kept, "less than an hour old")


def test_a_shop_that_wants_none_has_none(shop: Shop, where: str, tmp_path: Path) -> None:
    change_setting(shop, "backups", "none")
    aged(shop)
    sticks(with_daily_backup(open_shop(where, "ada", MONDAY)))
    assert not list(tmp_path.rglob("*-daily-*"))


def test_a_backup_that_cannot_be_made_is_told_and_keeps_nobody_from_work(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    from stockroom.record.database import Waiting

    folder = tmp_path / "gone"
    folder.mkdir()
    change_setting(shop, "backups", str(folder))
    folder.rmdir()
    folder.write_text("no folder any more")
    aged(shop)
    told: list[Fact] = []
    sticks(with_daily_backup(open_shop(where, "ada", MONDAY, Waiting(5, told.append))))
    assert len(told) == 1
    assert word(told[0]).startswith("today's backup was not made, and the work goes on: ")


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_the_last_backup_is_named_though_the_record_cannot_be_read(shop: Shop, where: str) -> None:
    assert backup_of(where) is None
    aged(shop)
    sticks(with_daily_backup(shop))
    last = backup_of(where)
    Path(where).write_bytes(b"SQLite format 3\x00" + b"\x5a" * 9000)
    assert backup_of(where) == last
    assert last is not None
    restore(where, last.path)
    with reading(open_shop(where, "ada", MONDAY).engine) as session:
        assert session.connection().execute(text("SELECT MAX(id) FROM entry")).scalar() == 1


def test_thirty_days_and_twelve_months_are_kept() -> None:
    today = date(2026, 11, 27)
    days = [today - timedelta(number) for number in range(800)]
    paths = [Path(f"shop-daily-{day:%Y%m%d}-080000.db") for day in days]
    mine = [Path("shop-backup-20200101-080000.db"), Path("shop-daily-notes.txt")]
    kept = sorted({*paths, *mine} - set(outdated([*paths, *mine], today)))
    assert set(mine) <= set(kept)
    told = [path.name[11:19] for path in kept if path not in mine]
    assert told[-30:] == sorted(f"{day:%Y%m%d}" for day in days[:30])
    assert told[:-30] == ["20251101", "20251201", *(f"2026{month:02d}01" for month in range(1, 11))]


@pytest.mark.parametrize(
    ("hours", "said"),
    [(0.5, "less than an hour old"), (1, "1 hour old"), (47, "47 hours old"), (48, "2 days old")],
)
def test_the_age_of_a_backup_is_said_in_words(hours: float, said: str) -> None:
    now = datetime(2026, 11, 27, 12, tzinfo=UTC)
    assert word(LastBackup(Path("x"), now - timedelta(hours=hours)).age(now)) == said
