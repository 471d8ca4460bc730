"""Where a shop plans: processes of its computer or a Dask cluster, as it is set; one deadline."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from stockroom.refusals import Unreadable
from stockroom.services.counter.take import take
from stockroom.services.counter.typed_jobs import job_told
from stockroom.services.morning.day_plan import plan_day
from stockroom.services.morning.problem import Choices
from stockroom.services.morning.sheets import problem_text
from stockroom.services.rack.pieces import Arrival, receive
from stockroom.services.shop import Shop
from stockroom.services.weekly import review
from stockroom.settings.typed_settings import with_setting
from tests.stockroom.cli.bench import run

pytestmark = pytest.mark.parametrize("where", ["sqlite"], indirect=True)
UNTIL = Choices(date(2026, 11, 30), seconds=5)


@pytest.fixture
def jobs(shop: Shop) -> Shop:
    """The shop with a job in each of two profiles, and a stick for each."""
    for profile in ("ASH-22", "LEAF-40"):
        take(shop, job_told({"customer": "R. Aldous", "profile": profile, "width": "500",
                             "height": "400", "due": "2026-11-27"}, shop))  # fmt: skip
        receive(shop, profile, "B1", [Arrival(3_000_000)])
    return shop


def with_workers(shop: Shop, typed: str) -> Shop:
    """The shop with its setting as typed."""
    return replace(shop, settings=with_setting(shop.settings, "workers", typed))


def test_as_many_processes_as_are_set_reach_the_planner(jobs: Shop) -> None:
    sheet = plan_day(with_workers(jobs, "3"), UNTIL)
    assert '"workers": 3' in problem_text(jobs, sheet.plan or 0)


def test_a_cluster_that_is_set_makes_the_same_plan(jobs: Shop) -> None:
    from distributed import LocalCluster

    cluster: Any = LocalCluster
    here = plan_day(jobs, UNTIL)
    with cluster(n_workers=1, processes=False, dashboard_address=None,
                 protocol="tcp") as started:  # fmt: skip
        there = plan_day(with_workers(jobs, started.scheduler_address), UNTIL)
    assert there.pieces == here.pieces
    assert len(there.pieces) == 2


@pytest.mark.usefixtures("jobs")
def test_a_cluster_that_does_not_answer_is_told_and_how_to_plan_here(where: str) -> None:
    run(where, "settings", "workers", "tcp://127.0.0.1:9")
    done = run(where, "plan", "--until", "2026-11-30")
    assert done.exit_code == 12
    assert "no Dask scheduler answers at tcp://127.0.0.1:9" in done.output
    assert "stockroom settings workers auto" in done.output


@pytest.mark.parametrize("typed", ["0", "100", "two", "http://back-room:8786", "tcp://a b"])
def test_workers_are_a_number_or_an_address(shop: Shop, typed: str) -> None:
    with pytest.raises(Unreadable, match="auto, a number from 1 to 99"):
        with_workers(shop, typed)


def test_a_week_s_order_ends_with_its_deadline_and_says_what_was_hasty(
    jobs: Shop, where: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    take(jobs, job_told({"customer": "R. Aldous", "profile": "ASH-22", "width": "900",
                         "height": "800", "due": "2026-11-27"}, jobs))  # fmt: skip
    told: list[tuple[str, int, int]] = []
    careful = review.reorder(jobs, on_progress=lambda *one: told.append(one))
    assert [row[1:] for row in told] == [(done, len(told)) for done in range(1, len(told) + 1)]
    assert {line.hasty for line in careful} == {False}
    monkeypatch.setattr(review, "TIMES", 0)
    hasty = review.reorder(jobs)
    assert [line.profile for line in hasty if line.sticks] == ["ASH-22"]
    assert {line.hasty for line in hasty} == {True}
    assert "Time ran out, so ASH-22" in run(where, "order").output
