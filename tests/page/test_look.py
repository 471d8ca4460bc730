"""How every page looks: nothing for axe to find, no sideways scroll, large targets."""

from collections.abc import Callable, Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from stockroom.page.safety.authority import authority_in
from stockroom.services.shop import Shop
from stockroom.services.weekly.purchase_orders import Wanted, draft, place
from stockroom.services.weekly.review import Review
from tests.page.browser import SIZES, TABLET, serving

PAGES: tuple[tuple[str, ...], ...] = (
    ("/",),
    ("/saw",), ("/saw", "Miscut"), ("/saw", "Other piece"), ("/saw", "Pieces"),
    ("/counter",),
    ("/counter/new?profile=ASH-22&beside=FLOAT-BLK-16&width=16&height=20&ready=yes",),
    ("/counter/new", "Keypad: Artwork, across"),
    ("/counter/mouldings",), ("/counter/moulding?code=ASH-22",),
    ("/counter/quotes",), ("/counter/1?price=yes",),
    ("/rack",), ("/rack/1",), ("/rack/found",), ("/rack/receive",), ("/rack/labels",),
    ("/rack/count?at=A1",), ("/rack/count?at=A1", "Beside the record"),
    ("/morning",), ("/morning/1",),
    ("/week",), ("/week/list",), ("/week/1",), ("/week/2",),
    ("/week/numbers",), ("/week/dead?anyway=yes",),
    ("/record",), ("/record", "Prove the record"), ("/record/1",),
    ("/devices",), ("/devices", "Show a code"), ("/enter",), ("/trust",), ("/none",),
)  # fmt: skip
"""Pages to look at, and keys to touch there first; a page that is added is put here."""
AFTER = {
    "/record": "The record is true",
    "/rack/count?at=A1": "Count again",
    "/devices": "Treat it like a key",
}
"""What stands there once they are touched, where it is no dialog."""
AXE = files("axe_playwright_python").joinpath("axe.min.js").read_text(encoding="utf-8")
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"],
         "resultTypes": ["violations"]}  # fmt: skip
ALIKE = """() => document.querySelectorAll(
    "main .shelf:nth-of-type(n+4), main li:nth-child(n+4), main tr:nth-child(n+4)")
    .forEach((one) => one.remove())"""
"""Of what is alike the first three are left: axe takes a hundred times as long for a whole rack."""
RUN = """async (rules) => (await axe.run(document, rules)).violations
    .map((one) => `${one.id}: ${one.nodes[0].html}`)"""
SMALL = """() => [...document.querySelectorAll("a, button, input, select, textarea, summary")]
    .filter((one) => one.checkVisibility({ visibilityProperty: true }))
    .map((one) => ({ one: one.closest("label") ?? one, text: one.outerHTML.slice(0, 90) }))
    .filter(({ one }) => !one.classList.contains("skip"))
    .map(({ one, text }) => ({ text, box: one.getBoundingClientRect() }))
    .filter(({ box }) => box.width < 59.5 || box.height < 59.5)
    .map(({ text, box }) => `${Math.round(box.width)} x ${Math.round(box.height)}: ${text}`)"""


def test_axe_finds_nothing_no_page_scrolls_sideways_and_targets_are_60_px(
    planned: Shop,
    tab: Callable[..., Any],
    week_known: Review,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    monkeypatch.setattr("stockroom.page.views.week_page.review_week", lambda _shop: week_known)
    faults = []
    for _ in range(2):
        draft(planned, "LARK", [Wanted("ASH-22", 2, "two to keep")])
    place(planned, "2", "R-17")
    authority = authority_in(tmp_path / "page", [TABLET, "127.0.0.1", "localhost"])
    with serving(planned, authority=authority) as opened:
        page = tab(ignore_https_errors=True)
        page.set_default_timeout(120_000)
        for path, *keys in PAGES:
            page.goto(f"{opened.tablet if path == '/enter' else opened.here}{path}")
            for words in keys:
                page.get_by_role("button", name=words).click()
                page.get_by_text(AFTER.get(path, "Back")).wait_for()
            page.evaluate(AXE)
            found = [f"{wide} px: {said}" for wide, said in measured(page)]
            page.evaluate(ALIKE)
            # Between the widest and the narrowest only columns come and go.
            for wide, tall in (SIZES[0], SIZES[-1]):
                page.set_viewport_size({"width": wide, "height": tall})
                found += [f"{wide} px: {said}" for said in page.evaluate(RUN, RULES)]
            faults += [f"{path} {keys}, {said}" for said in found]
    assert faults == []


def measured(page: Any) -> Iterator[tuple[int, str]]:
    """What is too small to touch or too wide, at each size."""
    for wide, tall in SIZES:
        page.set_viewport_size({"width": wide, "height": tall})
        for said in page.evaluate(SMALL):
            yield wide, said
        if (over := page.evaluate("() => document.documentElement.scrollWidth - innerWidth")) > 0:
            yield wide, f"{over} px too wide"
