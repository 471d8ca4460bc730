"""The morning in a real browser: planned before one's eyes, accepted, printed, let go."""

from collections.abc import Callable
from dataclasses import replace
from threading import Event
from typing import Any
from unittest.mock import patch

from planner.values import Reason
from stockroom.page.working import Runs
from stockroom.services.counter.job_list import job_row
from stockroom.services.morning.day_plan import accept, plan_day
from stockroom.services.morning.problem import Choices
from stockroom.services.morning.sheets import plan_rows, sheet_of
from stockroom.services.planning import planned
from stockroom.services.shop import Shop
from tests.page.browser import Open


def states(shop: Shop) -> list[str]:
    """The states of all plans, newest first."""
    return [row.state for row in plan_rows(shop)]


def test_the_first_page_says_what_waits_at_each_place(page_of: Open, shop: Shop) -> None:
    first = page_of.ask("GET", "/").text
    assert "To plan: J1, J2, J3, J4, J5, J6, J7, J8" in first
    plan = plan_day(shop, Choices(shop.hand.day, seconds=5)).plan or 0
    assert f"Proposed: plan {plan}" in page_of.ask("GET", "/").text
    accept(shop, plan)
    assert f"of plan {plan}" in page_of.ask("GET", "/").text.partition("To cut: ")[2]


def test_a_piece_left_alone_is_in_no_plan_made_again(
    page_of: Open, shop: Shop, tab: Callable[..., Any]
) -> None:
    sheet = plan_day(shop, Choices(shop.hand.day, seconds=5))
    piece = sheet.pieces[0].number
    page = tab()
    page.goto(f"{page_of.here}/morning/{sheet.plan}")
    page.locator(f'input[name="alone"][value="{piece}"]').check()
    page.get_by_label("Jobs that wait").fill("J4 j6")
    page.get_by_role("button", name="Plan again").tap()
    page.wait_for_url(lambda url: "/morning/" in url and url[-1].isdigit()
                      and not url.endswith(f"/{sheet.plan}"))  # fmt: skip
    newest = plan_rows(shop)[0].number
    sheet = sheet_of(shop, newest)
    assert piece not in [one.number for one in sheet.pieces]
    assert sheet.frames
    assert not {"J4", "J6"} & set(sheet.frames)
    unsure = (Reason("not_proven"), Reason("pin_costs_stick", {"piece": 1, "cost_um": 25_400}))
    with patch("stockroom.page.views.morning_page.sheet_of",
               return_value=replace(sheet, proof=unsure)):  # fmt: skip
        assert "1 in more of stick opened" in page_of.ask("GET", f"/morning/{newest}").text
    assert states(shop) == ["drafted", "dropped"]
    accept(shop, newest)
    job = sheet.pieces[0].rails[0].frame.partition(".")[0]
    assert page_of.ask("POST", f"/counter/{job[1:]}/out").status_code == 303
    assert job_row(shop, job)[0].state == "open"


def test_enough_keeps_a_draft_and_throw_away_leaves_none(page_of: Open, shop: Shop) -> None:
    began, let = Event(), Event()

    def slow(*told: Any) -> Any:
        began.set()
        assert let.wait(20)
        return planned(*told)

    for how, drafts in (("enough", 1), ("throw away", 1)):
        began.clear()
        let.clear()
        with patch("stockroom.services.morning.day_plan.planned", slow):
            assert page_of.ask("POST", "/morning/plan", data={"days": "1"}).status_code == 303
            assert began.wait(20)
            assert page_of.ask("GET", "/rack").status_code == 200
            assert page_of.ask("POST", "/morning/halt", data={"how": how}).status_code == 303
            let.set()
            run = page_of.served.runs.of(shop.hand.who)
            while run is not None and not run.over:
                began.wait(0.05)
        assert states(shop).count("drafted") == drafts


def test_a_newer_plan_of_a_device_takes_the_place_of_its_older(shop: Shop) -> None:
    runs = Runs()
    with patch("stockroom.page.working.plan_day", return_value=sheet_stub()):
        older = runs.start("ada", shop, Choices(shop.hand.day))
        newer = runs.start("ada", shop, Choices(shop.hand.day))
    assert older.halt.thrown
    assert not newer.halt.thrown
    assert runs.of("ada") is newer


def sheet_stub() -> Any:
    """What a plan gives that is kept as number 1."""

    class Made:
        plan = 1

    return Made()


def test_the_morning_refuses_what_is_no_day(page_of: Open, shop: Shop) -> None:
    for told in ("banana", "-1", "99999", "2026-02-30"):
        assert page_of.ask("POST", "/morning/plan", data={"days": told}).status_code == 422
    assert states(shop) == []
