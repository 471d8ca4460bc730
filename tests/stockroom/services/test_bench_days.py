"""What is promised is ready by its day and cut by an earlier one: plan by this, promise by that."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from stockroom.paper.ticket_page import ticket_page
from stockroom.record.database import reading
from stockroom.refusals import Refused
from stockroom.services.counter.amend import change
from stockroom.services.counter.artwork import Artwork
from stockroom.services.counter.job_list import job_row
from stockroom.services.counter.make_ticket import bench_told, ticket_of
from stockroom.services.counter.take import NewJob, take, try_jobs
from stockroom.services.morning.day_plan import plan_day
from stockroom.services.morning.problem import Choices
from stockroom.services.past.past_demand import usual_notice
from stockroom.services.rack.pieces import Arrival, receive
from stockroom.services.shop import Shop, change_setting, open_shop
from stockroom.units.bench_days import BenchDays
from tests.paper.reading import pages_of
from tests.stockroom.conftest import MONDAY, stocked

FRIDAY = date(2026, 11, 27)


def at_the_bench(folder: Path, days: str) -> Shop:
    """A stocked shop whose frames are so many days at the bench."""
    change_setting(stocked(str(folder / "shop.db")), "bench_days", days)
    return open_shop(str(folder / "shop.db"), "ada", MONDAY)


def job(due: date, bench_days: int | None = None) -> NewJob:
    """A job for ash."""
    return NewJob("R. Aldous", "ASH-22", Artwork((300_000,), (200_000,)), due,
                  bench_days=bench_days)  # fmt: skip


def test_days_at_the_bench_are_working_days() -> None:
    weekend = BenchDays(2, frozenset({5, 6}))
    # Due on Tuesday the 1st: Monday the 30th and Friday the 27th are worked on.
    assert weekend.cut_by(date(2026, 12, 1)) == FRIDAY
    assert weekend.cut_by(FRIDAY) == date(2026, 11, 25)
    assert weekend.cut_by(FRIDAY, 0) == FRIDAY
    assert BenchDays(2).cut_by(date(2026, 12, 1)) == date(2026, 11, 29)
    with pytest.raises(ValueError, match="some day is worked on"):
        BenchDays(1, frozenset(range(7)))


def test_a_plan_cuts_what_must_be_cut_by_its_day_though_it_is_promised_later(
    tmp_path: Path,
) -> None:
    shop = at_the_bench(tmp_path, "3")
    receive(shop, "ASH-22", "B1", [Arrival(3_000_000)] * 2)
    # Three working days before Thursday the 26th is today; before Friday it is tomorrow.
    take(shop, job(date(2026, 11, 26)))
    take(shop, job(FRIDAY))
    take(shop, job(FRIDAY, bench_days=0))
    sheet = plan_day(shop, Choices(MONDAY))
    assert set(sheet.frames) == {"J1"}
    assert (sheet.frames["J1"].due, sheet.frames["J1"].cut_by) == (date(2026, 11, 26), MONDAY)
    assert sheet.cut_ahead == []
    assert set(plan_day(shop, Choices(MONDAY + timedelta(1))).frames) == {"J1", "J2"}
    assert [job_row(shop, typed)[0].cut_by.day for typed in ("J1", "J2", "J3")] == [23, 24, 27]


def test_a_promise_that_leaves_no_time_is_said_and_not_refused(tmp_path: Path) -> None:
    shop = at_the_bench(tmp_path, "3")
    late, fine = try_jobs(shop, [job(MONDAY + timedelta(1)), job(date(2026, 11, 26))])
    assert [(one.code, one.which) for one in late.sizes.notices] == [("no time", "2026-11-19")]
    assert fine.sizes.notices == ()


def test_a_job_may_have_days_of_its_own_and_they_can_be_changed(tmp_path: Path) -> None:
    shop = at_the_bench(tmp_path, "1")
    taken = take(shop, job(FRIDAY, bench_days=4))
    assert job_row(shop, f"J{taken.number}")[0].cut_by == MONDAY
    change(shop, f"J{taken.number}", {"bench_days": 2})
    assert job_row(shop, f"J{taken.number}")[0].cut_by == date(2026, 11, 25)
    with pytest.raises(Refused, match="91 days at the bench"):
        job(FRIDAY, bench_days=91)


def test_a_ticket_says_by_when_its_rails_are_cut_where_that_is_sooner(tmp_path: Path) -> None:
    shop = at_the_bench(tmp_path, "2")
    soon = take(shop, job(FRIDAY))
    same = take(shop, job(FRIDAY, bench_days=0))
    for number, said in ((soon.number, True), (same.number, False)):
        made = ticket_of(shop, f"J{number}", bench_told({}, shop))
        (page,) = pages_of(ticket_page(made, shop.settings))
        assert ("cut by Wed 2026-11-25" in page.extract_text()) is said


def test_the_weekly_notice_counts_to_the_day_of_cutting(tmp_path: Path) -> None:
    shop = at_the_bench(tmp_path, "2")
    for _ in range(20):
        take(shop, job(MONDAY))
    with reading(shop.engine) as session:
        # What waits when a record begins was promised before, and tells nothing of the usual.
        assert usual_notice(session, BenchDays().cut_by, MONDAY, 14) == 14
    later = open_shop(str(tmp_path / "shop.db"), "ada", MONDAY + timedelta(1))
    for _ in range(20):
        take(later, job(FRIDAY))
    with reading(shop.engine) as session:
        assert usual_notice(session, BenchDays().cut_by, later.hand.day, 14) == 3
        assert usual_notice(session, shop.settings.bench.cut_by, later.hand.day, 14) == 1
