"""The counter in a real browser: a job taken in with its sizes drawn while it is typed."""

from collections.abc import Callable
from datetime import date
from typing import Any

from stockroom.services.catalogue.profiles import change_profile, profile_cells
from stockroom.services.counter.job_list import job_row, job_rows
from stockroom.services.saw.bench_work import bench_work
from stockroom.services.saw.supplied import chops_awaited
from stockroom.services.shop import Shop
from stockroom.services.weekly.quotes import quotes
from stockroom.views.collating import job_of
from tests.page.browser import Open
from tests.page.test_saw import cut_piece, to_piece
from tests.paper.reading import pages_of


def newest_job(shop: Shop) -> int:
    """The number of the job that was taken in last."""
    return max(row.number for row in job_rows(shop, done=True))


def test_a_layered_job_goes_from_the_counter_to_the_saw_and_its_ticket(
    page_of: Open, shop: Shop, tab: Callable[..., Any]
) -> None:
    page = tab()
    page.goto(f"{page_of.here}/counter")
    page.get_by_role("link", name="Take a job in").tap()
    folded = page.get_by_label("Round it")
    assert not folded.is_visible()
    for label, text in (("Artwork, across", "16 / 16 1/16"), ("Artwork, upright", "20"),
                        ("Moulding", "ASH-14"), ("Customer", "R. Aldous"),
                        ("Ready by", shop.hand.day.isoformat())):  # fmt: skip
        page.get_by_label(label, exact=True).fill(text)
    page.goto(f"{page_of.here}/counter/mouldings")
    page.goto(f"{page_of.here}/counter/new")
    page.get_by_text("As it was typed before").wait_for()
    page.locator("#sizes svg.section").wait_for()
    page.get_by_label("Beside it").fill("FLOAT-BLK-16")
    page.get_by_role("heading", name="FLOAT-BLK-16").wait_for()
    page.get_by_text("mouldings round it").tap()
    folded.fill("ASH-38 banana")
    page.get_by_text("Round it: cannot read 'banana'").first.wait_for()
    page.get_by_role("button", name="Take it in").tap()
    page.get_by_role("heading", name="Not understood").wait_for()
    assert folded.input_value() == "ASH-38 banana"
    folded.fill("ASH-38 3 mm")
    page.get_by_text("a proud canvas").tap()
    page.get_by_label("May stand proud").check()
    page.get_by_role("button", name="Take it in").tap()
    page.get_by_role("heading", name="R. Aldous").wait_for()
    number = newest_job(shop)
    _, layers = job_row(shop, f"J{number}")
    assert layers[0].sizes.artwork_um == (407_988, 508_000)
    assert page.get_by_text("ASH-14 + ASH-38").count() == 2
    ticket = pages_of(page_of.ask("GET", f"/counter/{number}/ticket").content)[0].extract_text()
    for layer in layers:
        (sizes,) = {shop.settings.length(rail) for rail in layer.sizes.rails_um[:1]}
        assert sizes in page.locator("#main").inner_text()
        assert sizes in ticket
    planned_and_cut(page, shop, number)
    assert job_row(shop, f"J{number}")[0].state == "cut"


def planned_and_cut(page: Any, shop: Shop, job: int) -> None:
    """A job of today at the morning's plan and at the saw, by touch."""
    page.get_by_role("link", name="Morning").tap()
    page.get_by_role("button", name="Plan the cuts").tap()
    page.get_by_role("button", name="Accept and hold").wait_for()
    assert page.get_by_text(f"J{job}.b").count() > 0
    page.get_by_role("button", name="Accept and hold").tap()
    page.locator("main a:has-text('To the saw')").tap()
    page.locator("#main-key:has-text('is cut')").wait_for()
    for one in bench_work(shop, 1).pieces:
        if any(job_of(rail.frame) == f"J{job}" for rail in one.piece.rails):
            to_piece(page, one)
            with page.expect_response("**/saw/cut"):
                cut_piece(page, one)


def test_a_job_that_can_not_be_taken_is_shown_again_as_it_was_typed(
    page_of: Open, shop: Shop
) -> None:
    before = newest_job(shop)
    told = {"width": "16", "height": "banana", "profile": "ASH-22", "customer": "R. Aldous",
            "due": "2026-12-01"}  # fmt: skip
    answer = page_of.ask("POST", "/counter/take", data=told)
    assert answer.status_code == 422
    assert "banana" in answer.text
    assert 'value="R. Aldous"' in answer.text
    assert "stockroom " not in answer.text
    assert newest_job(shop) == before


def test_a_job_is_held_let_in_changed_and_cancelled(page_of: Open, shop: Shop) -> None:
    number = next(row.number for row in job_rows(shop) if row.state == "open")
    at = f"/counter/{number}"
    for step, told, state in (
        ("hold", {"why": "unsure of the finish"}, "held"),
        ("release", {}, "open"),
        ("change", {"note": "call before noon", "bench_days": "2"}, "open"),
        ("cancel", {"why": "sold elsewhere"}, "cancelled"),
    ):
        answer = page_of.ask("POST", f"{at}/{step}", data=told)
        assert answer.status_code == 303, (step, answer.text)
        assert job_row(shop, f"J{number}")[0].state == state
    row, _ = job_row(shop, f"J{number}")
    assert row.note == "call before noon"
    assert row.cut_by == shop.settings.bench.cut_by(row.due, 2) < row.due
    assert f"cut by {row.cut_by:%a}" in page_of.ask("GET", at).text
    assert page_of.ask("POST", f"{at}/cancel", data={"why": "again"}).status_code == 409


def test_a_job_prints_its_ticket(page_of: Open, shop: Shop) -> None:
    number = next(row.number for row in job_rows(shop))
    answer = page_of.ask("GET", f"/counter/{number}/ticket")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")


def test_a_quote_is_kept_and_one_key_makes_it_a_job(page_of: Open, shop: Shop) -> None:
    told = {"width": "16", "height": "20", "profile": "ASH-22", "customer": "R. Aldous",
            "due": "2026-12-01"}  # fmt: skip
    assert page_of.ask("POST", "/counter/quotes/keep", data=told).status_code == 303
    (one,) = quotes(shop)
    assert "Take it in" in page_of.ask("GET", "/counter/quotes").text
    at = f"/counter/quotes/{one.number}"
    letter = " ".join(pages_of(page_of.ask("GET", f"{at}/paper").content)[0].extract_text().split())
    assert f"price of the moulding {shop.settings.money(one.price)}" in letter
    assert page_of.ask("POST", f"{at}/take", data={"due": "2026-12-04"}).status_code == 303
    row, _ = job_row(shop, f"J{newest_job(shop)}")
    assert (row.customer, row.due) == ("R. Aldous", date(2026, 12, 4))
    again = page_of.ask("POST", f"{at}/again")
    assert (again.status_code, f"became job J{row.number}" in again.text) == (409, True)
    ticket = page_of.ask("GET", f"/counter/{row.number}/ticket").content
    assert f"as quoted, Q{one.number}" in pages_of(ticket)[0].extract_text()
    # Its rails come as chops of no batch, one of them dented; the one that lacks is asked for.
    told = {f"came-{row.across}": "2", f"came-{row.upright}": "1", "amiss": "one is dented"}
    assert page_of.ask("POST", f"/counter/{row.number}/chops", data=told).status_code == 303
    assert chops_awaited(shop, f"J{row.number}") == {row.upright: 1}
    page = page_of.ask("GET", f"/counter/{row.number}").text
    assert f'name="came-{row.upright}" type="text" value="1"' in page
    assert f"came-{row.across}" not in page
    assert "cut to size (chop) by" in page
    ticket = page_of.ask("GET", f"/counter/{row.number}/ticket").content
    assert "3, batch D" in pages_of(ticket)[0].extract_text()
    at = f"/counter/{row.number}"
    assert page_of.ask("POST", f"{at}/stage", data={"stage": "ready"}).status_code == 422
    told = {f"came-{row.upright}": "1", "batch": "D1"}
    assert page_of.ask("POST", f"{at}/chops", data=told).status_code == 303
    assert page_of.ask("POST", f"{at}/stage", data={"stage": "ready"}).status_code == 303
    assert 'value="collected"' in page_of.ask("GET", at).text
    assert page_of.ask("POST", f"{at}/afresh", data={"frame": "J1"}).status_code == 422
    told = {"frame": f"j{row.number}", "why": "a mitre opened"}
    assert page_of.ask("POST", f"{at}/afresh", data=told).status_code == 303
    assert job_row(shop, f"J{row.number}")[0].rails_waiting == 4


def test_other_shapes_are_taken_in_shown_and_listed(page_of: Open, shop: Shop) -> None:
    told = {"width": "8", "shape": "6 sides", "profile": "ASH-22", "customer": "R. Aldous",
            "due": "2026-12-01"}  # fmt: skip
    assert "Each rail, long point" in page_of.ask("POST", "/counter/sizes", data=told).text
    answer = page_of.ask("POST", "/counter/take", data=told)
    assert answer.status_code == 303, answer.text
    number = newest_job(shop)
    assert job_row(shop, f"J{number}")[0].rails_waiting == 6
    shown = page_of.ask("GET", f"/counter/{number}").text
    assert "6 sides" in shown
    assert "Each rail, long point" in shown
    assert shown.count('<polygon class="moulding"') == 6
    assert "6 × 8 13/16, ends 30°" in shown
    assert "<span>6 sides</span>" in page_of.ask("GET", "/counter?find=Aldous").text
    page_of.ask("POST", f"/counter/{number}/cancel", data={"why": "a trial"})
    assert job_row(shop, f"J{number}")[0].state == "cancelled"
    refused = page_of.ask("POST", "/counter/take", data={**told, "shape": "banana"})
    assert "banana" in refused.text


def test_a_mouldings_values_are_changed_and_a_batten_is_put_into_the_catalogue(
    page_of: Open, shop: Shop
) -> None:
    page = page_of.ask("GET", "/counter/moulding?code=ash-22").text
    assert 'name="was-wait_cost" value=""' in page
    told = {**profile_cells(shop, "ASH-22"), "new": "no", "wait_cost": "15 %"}
    told |= {f"was-{name}": text for name, text in profile_cells(shop, "ASH-22").items()}
    change_profile(shop, "ASH-22", {"price_per_stick": "22"})
    at = "/counter/moulding/change"
    refused = page_of.ask("POST", at, data={**told, "face": "banana"})
    assert (refused.status_code, "Face: cannot read" in refused.text) == (422, True)
    assert 'name="face" type="text" value="banana"' in refused.text
    assert page_of.ask("POST", at, data=told).status_code == 303
    now = profile_cells(shop, "ASH-22")
    assert (now["wait_cost"], now["price_per_stick"]) == ("15 %", "22.00")
    bar = {"new": "yes", "code": "bat-30", "name": "batten", "kind": "plain", "supplier": "LARK",
           "face": "30 mm", "stick_length": "3 m", "shortest_kept": "300 mm",
           "end_trim": "5 mm"}  # fmt: skip
    assert page_of.ask("POST", at, data=bar).status_code == 303
    assert "plain, 1 3/16 in wide" in page_of.ask("GET", "/counter/mouldings?find=BAT-30").text
