"""Pages in a real browser: news by anybody, what is under a finger, and what a scanner types."""

from collections.abc import Callable
from typing import Any

from stockroom.services.rack.pieces import Arrival, log_found, move
from stockroom.services.shop import Shop
from tests.page.browser import Open


def test_a_change_by_command_shows_on_an_open_page_within_two_seconds(
    page_of: Open, shop: Shop, tab: Callable[..., Any]
) -> None:
    page = tab()
    with page.expect_response("**/news"):
        page.goto(f"{page_of.here}/rack")
    found = log_found(shop, "ASH-22", "A118", Arrival(812_000), "Z9")
    page.get_by_role("link", name=f"{found.id} ASH-22").wait_for(timeout=2_500)


def test_nothing_moves_while_a_finger_is_down_and_the_focus_stays(
    page_of: Open, shop: Shop, tab: Callable[..., Any]
) -> None:
    page = tab()
    with page.expect_response("**/news"):
        page.goto(f"{page_of.here}/rack")
    link = page.locator(".pieces a").nth(3)
    link.focus()
    page.mouse.move(5, 700)
    page.mouse.down()
    with page.expect_event("console", lambda said: said.text == "heard"):
        page.evaluate("() => document.addEventListener('news', () => console.log('heard'))")
        found = log_found(shop, "ASH-22", "A118", Arrival(812_000), "A0")
    assert page.locator(f'a[href="/rack/{found.id}"]').count() == 0
    link.focus()
    page.mouse.up()
    page.locator(f'a[href="/rack/{found.id}"]').wait_for(timeout=2_500)


def test_a_scanner_that_types_opens_the_piece_wherever_one_is_in_the_page(
    page_of: Open, tab: Callable[..., Any]
) -> None:
    page = tab()
    page.goto(f"{page_of.here}/rack")
    page.locator("header nav a").first.focus()
    page.keyboard.type("12")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Piece 12").wait_for()


def test_the_code_behind_the_hash_is_taken_over_and_leaves_the_address(
    page_of: Open, tab: Callable[..., Any]
) -> None:
    code = page_of.served.codes.new("cutter")
    page = tab((390, 844))
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(f"{page_of.tablet}/enter#{code}")
    page.get_by_label("Who is at this device").fill("ben")
    assert page.url.endswith("/enter")
    page.get_by_role("button", name="Let me in").click()
    page.get_by_text("At this screen: ben").wait_for()
    assert not [url for url in asked if code in url.split("#")[0]]


def test_a_page_is_closed_at_once_although_streams_are_open(
    shop: Shop, tab: Callable[..., Any]
) -> None:
    from tests.page.browser import serving

    with serving(shop) as opened:
        page = tab()
        with page.expect_response("**/news"):
            page.goto(f"{opened.here}/rack")
        move(shop, 12, "B1")
    page.get_by_text("The server is away").wait_for()
