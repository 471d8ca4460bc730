"""The whole day by keyboard alone: every key is reached by Tab, and the focus stays."""

from collections.abc import Callable
from typing import Any

import pytest

from stockroom.services.rack.pieces import find, move
from stockroom.services.record.history import entry_rows
from stockroom.services.shop import Shop
from stockroom.services.weekly.purchase_orders import order_rows
from stockroom.services.weekly.review import Review
from tests.page.browser import Open

MOST_TABS = 120


def test_a_whole_day_by_keyboard_alone_with_the_focus_kept(
    page_of: Open,
    shop: Shop,
    tab: Callable[..., Any],
    week_known: Review,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("stockroom.page.views.week_page.review_week", lambda _shop: week_known)
    page = tab()
    page.set_default_timeout(120_000)
    page.goto(f"{page_of.here}/counter")
    a_job_is_taken_in(page)
    an_offcut_is_logged(page, shop)
    a_shelf_is_counted(page, shop)
    the_morning(page)
    at_the_saw(page, shop)
    the_week(page)
    assert {order.state for order in order_rows(shop)} == {"draft", "placed"}


def a_job_is_taken_in(page: Any) -> None:
    """From the counter's list to the job's page."""
    presses(page, 'main a[href="/counter/new"]', "Enter")
    page.get_by_role("heading", name="Take a job in").wait_for()
    for name, text in (("width", "16 1/8"), ("height", "20"), ("profile", "ASH-22"),
                       ("customer", "R. Aldous")):  # fmt: skip
        presses(page, f"#f-{name}")
        page.keyboard.type(text)
    presses(page, "#job .key.main", "Enter")
    page.get_by_role("heading", name="R. Aldous").wait_for()


def an_offcut_is_logged(page: Any, shop: Shop) -> None:
    """Its length on the keypad, which gives the focus back to its key."""
    presses(page, 'nav a[href="/rack"]', "Enter")
    presses(page, 'main a[href="/rack/found"]', "Enter")
    page.get_by_role("heading", name="Log an offcut").wait_for()
    presses(page, "#f-profile")
    page.keyboard.type("ASH-22")
    presses(page, '[aria-label="Keypad: Length"]', " ")
    rested(page)
    page.keyboard.type("14")
    for words in ("15/16", "Take it"):
        to_key(page, words)
        page.keyboard.press(" ")
    assert page.evaluate("() => document.activeElement.ariaLabel") == "Keypad: Length"
    presses(page, "main .key.main", "Enter")
    page.get_by_role("heading", name="Piece").wait_for()
    assert 379_412 in [piece.length for piece in find(shop)]


def a_shelf_is_counted(page: Any, shop: Shop) -> None:
    """All of it is there; meanwhile something is moved, and the focus stays."""
    presses(page, 'nav a[href="/rack"]', "Enter")
    presses(page, ".shelf .head a")
    with page.expect_response("**/rack"):
        move(shop, 12, "Z9")
    page.get_by_role("heading", name="Z9").wait_for()
    assert page.evaluate("() => document.activeElement.matches('.shelf .head a')")
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Beside the record").wait_for()
    for _ in range(page.locator("input[name=seen]").count()):
        presses(page, "input[name=seen]", " ")
    presses(page, "main .key.main", "Enter")
    page.get_by_role("heading", name="as recorded").wait_for()
    presses(page, "main .key.main", "Enter")
    page.get_by_role("heading", name="Rack").wait_for()
    assert entry_rows(shop, last=1)[0].kind == "count"


def the_morning(page: Any) -> None:
    """Planned, a piece left alone, planned again, accepted."""
    presses(page, 'nav a[href="/morning"]', "Enter")
    page.get_by_role("heading", name="Morning").wait_for()
    presses(page, "main .key.main", "Enter")
    page.get_by_role("heading", name="Plan 1").wait_for()
    presses(page, "input[name=alone]", " ")
    presses(page, "main form .grid .key", "Enter")
    page.get_by_role("heading", name="Plan 2").wait_for()
    presses(page, "main .key.main", "Enter")
    page.locator("main a:has-text('To the saw')").wait_for()


def at_the_saw(page: Any, shop: Shop) -> None:
    """A piece as planned, one with a rail that is spoilt, one that stays; the focus stays too."""
    presses(page, 'main a[href="/saw"]', "Enter")
    page.locator("#main-key:has-text('is cut')").wait_for()
    presses(page, "#main-key")
    cuts(page)
    assert page.evaluate("() => document.activeElement.id") == "main-key"
    presses(page, "#miscut", " ")
    for words in ("Rail 1:", "Scrap"):
        to_key(page, words)
        page.keyboard.press(" ")
    rested(page)
    assert page.evaluate("() => document.activeElement.id") == "miscut"
    presses(page, "#main-key")
    cuts(page)
    presses(page, "#not-today", " ")
    to_key(page, "no time")
    with page.expect_response("**/saw/cut"):
        page.keyboard.press(" ")
    assert [row.kind for row in entry_rows(shop, last=3)] == ["left", "cut", "cut"]


def cuts(page: Any) -> None:
    """The space bar on the main key, until the piece is sent."""
    with page.expect_response("**/saw/cut"):
        for _ in range(20):
            rested(page)
            if page.locator("#note").is_visible() and page.get_by_text("on its way").is_visible():
                break
            last = "record it" in page.locator("#main-key").inner_text()
            page.keyboard.press(" ")
            if last:
                break


def the_week(page: Any) -> None:
    """The list, drafted; an order sent, and received."""
    presses(page, 'nav a[href="/week"]', "Enter")
    presses(page, "main .key.main", "Enter")
    page.get_by_role("button", name="Draft the orders").wait_for()
    presses(page, "main .key.main", "Enter")
    presses(page, "#orders li a", "Enter")
    page.get_by_role("heading", name="Order").wait_for()
    presses(page, "main .key.main", "Enter")
    presses(page, "#f-batch")
    page.keyboard.type("L9")
    presses(page, "#f-lengths")
    page.keyboard.type("118 1/8")
    presses(page, "main .key.main", "Enter")
    page.get_by_role("heading", name="On the rack now").wait_for()
    presses(page, "main a.key.main", "Enter")
    page.get_by_role("heading", name="Labels").wait_for()


def rested(page: Any) -> None:
    """Waits until keys act."""
    page.wait_for_function("() => !document.documentElement.classList.contains('resting')")


def to_key(page: Any, words: str) -> None:
    """Tabs to a key of the question that is open."""
    rested(page)
    for _ in range(MOST_TABS):
        if page.evaluate(
            "(words) => document.activeElement.matches('dialog button')"
            " && document.activeElement.textContent.includes(words)", words
        ):  # fmt: skip
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"Tab never comes to {words}")


def presses(page: Any, part: str, key: str = "") -> None:
    """The part of the page that is reached by Tab, and a key on it."""
    page.locator(part).first.wait_for(state="attached")
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        if page.evaluate("(part) => document.activeElement.matches(part)", part):
            break
    else:
        raise AssertionError(f"Tab never comes to {part}")
    if key:
        rested(page)
        page.keyboard.press(key)
