"""An old book's jobs: they say what is asked for, move nothing, and are read row by row."""

import re
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from stockroom.record.database import reading
from stockroom.refusals import BadFile
from stockroom.services.catalogue.profiles import change_profile
from stockroom.services.past.old_book import load_past, past_kept
from stockroom.services.past.past_demand import asked_for
from stockroom.services.record.undo import undo
from stockroom.services.shop import Shop
from stockroom.services.weekly.review import OrderLine, reorder
from stockroom.settings.typed_settings import with_setting
from tests.stockroom.conftest import told
from tests.stockroom.hard.shopwork import MONDAY, take

HEAD = "day,profile,width,height,quantity\n"


def book(
    tmp_path: Path, weeks: int = 30, name: str = "past.csv", quantity: str = "",
    profile: str = "ash-22",
) -> Path:  # fmt: skip
    """An old book of a job a week, up to the week before."""
    days = [MONDAY - timedelta(7 * back - 6) for back in range(weeks, 0, -1)]
    path = tmp_path / name
    path.write_text(HEAD + "".join(f"{day},{profile},500,400,{quantity}\n" for day in days))
    return path


def test_a_new_shop_knows_its_demand_from_an_old_book(shop: Shop, tmp_path: Path) -> None:
    assert load_past(shop, book(tmp_path)) == (30, 30)
    with reading(shop.engine) as session:
        found = asked_for(session, MONDAY)["ASH-22"]
    assert found.forecast.asked == 30
    assert found.asks[0].pairs == ((535_000, 435_000),)
    assert reorder(shop) == []
    (line,) = reorder(promising(shop, 0))
    assert (line.profile, line.for_minimum) == ("ASH-22", 0)
    assert line.for_expected > 0
    assert "busy, in 30 of 30 weeks" in told(*line.why)


def test_a_later_book_takes_the_place_of_the_one_before_until_it_is_undone(
    shop: Shop, tmp_path: Path
) -> None:
    load_past(shop, book(tmp_path))
    assert load_past(shop, book(tmp_path, 4, "new.csv", "3")) == (4, 12)

    def kept() -> int:
        with reading(shop.engine) as session:
            return sum(one.count for one in past_kept(session))

    assert kept() == 12
    undo(shop)
    assert kept() == 30
    undo(shop)
    assert kept() == 0


def test_a_dry_run_loads_nothing(shop: Shop, tmp_path: Path) -> None:
    assert load_past(shop, book(tmp_path), dry_run=True) == (30, 30)
    with reading(shop.engine) as session:
        assert past_kept(session) == []


@pytest.mark.parametrize(
    ("row", "fault"),
    [
        ("2026-11-24,ASH-22,500,400,", "is not past"),
        ("soon,ASH-22,500,400,", "a day such as"),
        ("2026-11-20,NONE,500,400,", "profile"),
        ("2026-11-20,ASH-22,wide,400,", "width"),
        ("2026-11-20,ASH-22,500,400,0", "a quantity of 0"),
        ("2026-11-20,ASH-22,9000,400,", "longer than any stick"),
        ("2026-11-20,ASH-22,500,,", "the height is missing"),
    ],
)
def test_a_row_that_cannot_be_is_named_and_nothing_is_loaded(
    shop: Shop, tmp_path: Path, row: str, fault: str
) -> None:
    path = tmp_path / "bad.csv"
    path.write_text(f"{HEAD}2026-11-20,ASH-22,500,400,\n{row}\n")
    with pytest.raises(BadFile, match=fault) as refused:
        load_past(shop, path)
    assert [at for at, _ in refused.value.faults] == [3]
    with reading(shop.engine) as session:
        assert past_kept(session) == []


def test_an_old_book_ends_where_the_record_begins_and_holds_something(
    shop: Shop, tmp_path: Path
) -> None:
    take(shop)
    path = tmp_path / "late.csv"
    path.write_text(f"{HEAD}{date(2026, 11, 23)},ASH-22,500,400,\n")
    with pytest.raises(BadFile, match="would count twice"):
        load_past(shop, path)
    path.write_text(HEAD)
    with pytest.raises(BadFile, match="holds no job"):
        load_past(shop, path)


def test_a_profile_that_an_old_book_does_not_name_was_never_asked_for(
    shop: Shop, tmp_path: Path
) -> None:
    change_profile(shop, "FLOAT-12", {"minimum_sticks": "3"})
    assert {line.profile for line in reorder(shop)} == {"ASH-22", "FLOAT-12"}
    load_past(shop, book(tmp_path))
    assert {line.profile for line in reorder(promising(shop, 0))} == {"ASH-22"}


def promising(shop: Shop, days: int) -> Shop:
    """The same shop where a job is promised in so many days."""
    return replace(shop, settings=replace(shop.settings, promise=days))


def test_the_days_that_an_old_book_promised_are_the_shops_notice(
    shop: Shop, tmp_path: Path
) -> None:
    # Due two days after they came in, where the setting would promise a fortnight.
    path = book(tmp_path)
    head, *rows = path.read_text().splitlines()
    dated = [f"{row},{date.fromisoformat(row[:10]) + timedelta(2)}" for row in rows]
    path.write_text("\n".join([f"{head},due", *dated]))
    load_past(shop, path)
    (line,) = reorder(shop)
    assert line.for_expected > 0
    assert "jobs come 2 ahead" in told(*line.why)
    path.write_text(f"{head},due\n2026-11-20,ASH-22,500,400,,2026-11-19\n")
    with pytest.raises(BadFile, match="the due day 2026-11-19 of a job that came in on"):
        load_past(shop, path)


def test_jobs_of_many_frames_or_metres_are_ordered_for_and_not_stocked_for(
    shop: Shop, tmp_path: Path
) -> None:
    hurried = promising(shop, 0)
    load_past(shop, book(tmp_path))
    few = reorder(hurried)
    for large, name, more in (
        ("500,400,40", "large_job", "40"),
        ("500,400,40", "large_length", "78 m"),  # 40 x 2 x (535 + 435) mm are 77.6 m.
        ("1600,1200,12", "large_length", "68.5 m"),  # 12 x 2 x (1635 + 1235) mm are 68.88 m.
    ):
        path = book(tmp_path)
        path.write_text(path.read_text() + f"2026-11-05,ASH-22,{large}\n")
        load_past(shop, path)
        assert reorder(hurried) == few
        assert reorder(replace(shop, settings=with_setting(hurried.settings, name, more))) == few
    both = with_setting(with_setting(hurried.settings, "large_job", "40"), "large_length", "none")
    assert reorder(replace(shop, settings=both))[0].for_expected > few[0].for_expected


def test_a_season_that_two_years_tell_is_stocked_for_before_it_comes(
    shop: Shop, tmp_path: Path
) -> None:
    def line_of(busy: int, quiet: int) -> OrderLine:
        """What to buy early in a busy half year, as those of the years before, after a quiet one:
        so many jobs a week in each."""
        weeks = [(back, busy if (back + 20) % 52 < 26 else quiet) for back in range(1, 105)]
        path = tmp_path / "past.csv"
        path.write_text(HEAD + "".join(
            f"{MONDAY - timedelta(7 * back - 1 - job % 7)},ASH-22,500,400,\n"
            for back, jobs in weeks for job in range(jobs)
        ))  # fmt: skip
        load_past(shop, path)
        (line,) = reorder(promising(shop, 0))
        return line

    even, rising = line_of(4, 4), line_of(6, 2)
    assert "usual at this time" not in told(*even.why)
    # The busy weeks are 1.5 times the mean.
    assert "changed" not in told(*rising.why)
    assert re.search(r"4\d % busier than usual at this time of the year", told(*rising.why))
    assert rising.for_expected > even.for_expected
    falling = line_of(2, 6)
    assert re.search(r"4\d % quieter than usual at this time of the year", told(*falling.why))
    assert falling.for_expected < even.for_expected
