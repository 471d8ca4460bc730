"""How every page looks and is reached: nothing for axe to find, no sideways scroll, large targets,
and all of it by keyboard."""

from collections.abc import Callable
from importlib.resources import files
from typing import Any

from stockroom.services.shop import Shop
from tests.page.browser import SIZES, serving

PAGES = (
    "/", "/saw", "/counter", "/counter/new?profile=ASH-22&beside=FLOAT-BLK-16&width=16&height=20",
    "/counter/mouldings", "/counter/1", "/rack", "/rack/1",
    "/rack/found", "/rack/count?at=A1", "/rack/receive", "/rack/labels", "/morning", "/morning/1",
    "/week", "/devices", "/enter", "/none",
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


def test_a_piece_is_cut_by_keyboard_alone_with_the_focus_kept(
    planned: Shop, tab: Callable[..., Any]
) -> None:
    with serving(planned) as opened:
        page = tab()
        page.goto(f"{opened.here}/saw")
        page.locator("#main-key:has-text('is cut')").wait_for()
        for _ in range(20):
            if page.evaluate("() => document.activeElement.id") == "main-key":
                break
            page.keyboard.press("Tab")
        with page.expect_response("**/saw/cut"):
            for _ in range(12):
                page.wait_for_function(
                    "() => !document.documentElement.classList.contains('resting')"
                )
                if page.locator("#note").is_visible():
                    break
                assert page.evaluate("() => document.activeElement.id") == "main-key"
                page.keyboard.press(" ")
