"""How every page looks and is reached: nothing for axe to find, no sideways scroll, large targets,
and all of it by keyboard."""

from collections.abc import Callable
from importlib.resources import files
from typing import Any

from stockroom.services.record.history import entry_rows
from stockroom.services.shop import Shop
from tests.page.browser import SIZES, Open, serving

PAGES = (
    "/", "/saw", "/counter", "/counter/new?profile=ASH-22&beside=FLOAT-BLK-16&width=16&height=20",
    "/counter/mouldings", "/counter/1", "/rack", "/rack/1",
    "/rack/found", "/rack/count?at=A1", "/rack/receive", "/rack/labels", "/morning", "/morning/1",
    "/week", "/week/numbers", "/devices", "/enter", "/none",
)  # fmt: skip
"""Pages to look at; a page that is added is put here."""
AXE = files("axe_playwright_python").joinpath("axe.min.js").read_text(encoding="utf-8")
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"],
         "resultTypes": ["violations"]}  # fmt: skip
RUN = """async (rules) => (await axe.run(document, rules)).violations
    .map((one) => `${one.id}: ${one.nodes[0].html}`)"""
SMALL = """() => [...document.querySelectorAll("a, button, input, select, textarea, summary")]
    .filter((one) => one.checkVisibility({ visibilityProperty: true }))
    .map((one) => ({ one: one.closest(".choice label") ?? one, text: one.outerHTML.slice(0, 90) }))
    .filter(({ one }) => !one.classList.contains("skip"))
    .map(({ one, text }) => ({ text, box: one.getBoundingClientRect() }))
    .filter(({ box }) => box.width < 59.5 || box.height < 59.5)
    .map(({ text, box }) => `${Math.round(box.width)} x ${Math.round(box.height)}: ${text}`)"""


def test_axe_finds_nothing_no_page_scrolls_sideways_and_targets_are_60_px(
    planned: Shop, tab: Callable[..., Any]
) -> None:
    faults = []
    with serving(planned) as opened:
        page = tab()
        for path in PAGES:
            page.goto(f"{opened.tablet if path == '/enter' else opened.here}{path}")
            page.evaluate(AXE)
            for wide, tall in SIZES:
                page.set_viewport_size({"width": wide, "height": tall})
                found = page.evaluate(RUN, RULES)
                found += page.evaluate(SMALL)
                over = page.evaluate("() => document.documentElement.scrollWidth - innerWidth")
                found += [f"{over} px too wide"] if over > 0 else []
                faults += [f"{path} at {wide} x {tall}: {said}" for said in found]
    assert faults == []


def test_a_day_by_keyboard_alone_with_the_focus_kept(
    page_of: Open, shop: Shop, tab: Callable[..., Any]
) -> None:
    page = tab()
    page.set_default_timeout(120_000)
    page.goto(f"{page_of.here}/counter")
    presses(page, 'main a[href="/counter/new"]', "Enter")
    page.get_by_role("heading", name="Take a job in").wait_for()
    for name, text in (("width", "16 1/8"), ("height", "20"), ("profile", "ASH-22"),
                       ("customer", "R. Aldous")):  # fmt: skip
        presses(page, f"#f-{name}")
        page.keyboard.type(text)
    presses(page, "#job .key.main", "Enter")
    page.get_by_role("heading", name="R. Aldous").wait_for()
    presses(page, 'nav a[href="/morning"]', "Enter")
    page.get_by_role("heading", name="Morning").wait_for()
    presses(page, "main .key.main", "Enter")
    page.get_by_role("button", name="Accept and hold").wait_for()
    presses(page, "main .key.main", "Enter")
    page.locator("main a:has-text('To the saw')").wait_for()
    presses(page, 'main a[href="/saw"]', "Enter")
    page.locator("#main-key:has-text('is cut')").wait_for()
    presses(page, "#main-key")
    with page.expect_response("**/saw/cut"):
        for _ in range(12):
            page.wait_for_function("() => !document.documentElement.classList.contains('resting')")
            if page.locator("#note").is_visible():
                break
            assert page.evaluate("() => document.activeElement.id") == "main-key"
            page.keyboard.press(" ")
    assert entry_rows(shop, last=1)[0].kind == "cut"


def presses(page: Any, part: str, key: str = "") -> None:
    """The part of the page that is reached by Tab, and a key on it."""
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("(part) => document.activeElement.matches(part)", part):
            break
    else:
        raise AssertionError(f"Tab never comes to {part}")
    if key:
        page.keyboard.press(key)
