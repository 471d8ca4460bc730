"""The workshop's Monday at the page, by touch alone: its touches counted, each step photographed.

``UPDATE_PICTURES=1`` takes the pictures of ``demo/pictures`` anew.
"""

import io
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from PIL import Image
from playwright.sync_api import TimeoutError

import demo
from stockroom.services.counter.job_list import job_rows
from stockroom.services.rack.pieces import find
from stockroom.services.record.history import audit_shop, entry_rows
from stockroom.services.saw.bench_work import BenchPiece, bench_work
from stockroom.services.shop import Shop
from stockroom.services.weekly.purchase_orders import order_rows
from tests.page.browser import Open

PICTURES = Path(demo.__file__).parent / "pictures"
COLORS, ACROSS = 16, 640


class Finger:
    """One finger at a tablet: it touches, types on the tablet's keys, and is counted.

    ``touches`` leaves out digits on the keypad and letters on the tablet's own keys.
    """

    def __init__(self, page: Any) -> None:
        self.page = page
        self.touches = 0
        self.took: dict[str, int] = {}

    def touch(self, words: str, **more: Any) -> None:
        """One touch on a key, a link or a tick with these words, once keys act again."""
        self.rested()
        part = self.page.locator(
            f"button:has-text('{words}'), a:has-text('{words}'), summary:has-text('{words}')"
        )
        self.at(part.first, **more)

    def at(self, part: Any) -> None:
        """One touch on this part of the page."""
        part.tap()
        self.touches += 1

    def rested(self) -> None:
        """Waits until keys act: for a moment after each change they do not."""
        self.page.wait_for_function("() => !document.documentElement.classList.contains('resting')")

    def types(self, label: str, text: str) -> None:
        """One touch on a field, then its letters."""
        field = self.page.get_by_label(label, exact=True)
        self.at(field)
        field.fill(text)

    def measures(self, label: str, whole: str, part: str) -> None:
        """A length on the keypad beside its field: two touches, and its digits."""
        self.at(self.page.get_by_role("button", name=f"Keypad: {label}"))
        for words in (*whole, *([part] if part else [])):
            self.rested()
            self.page.locator(f"dialog button:text-is('{words}')").first.tap()
        self.rested()
        self.at(self.page.locator("dialog button:text-is('Take it')"))

    def shows(self, name: str) -> None:
        """A picture of this step: taken anew where that is asked, else there already."""
        file = PICTURES / f"monday-{name}.png"
        if os.environ.get("UPDATE_PICTURES"):
            taken = Image.open(io.BytesIO(self.page.screenshot()))
            small = taken.resize((ACROSS, taken.height * ACROSS // taken.width))
            small.quantize(COLORS).save(file, optimize=True)
        assert file.exists(), f"UPDATE_PICTURES=1 takes {file.name}"

    @contextmanager
    def within(self, most: int, what: str = "") -> Iterator[None]:
        """What takes no more touches than this; README says how many."""
        before = self.touches
        yield
        self.took[what] = self.touches - before
        assert self.touches - before <= most, f"{self.touches - before} touches"


def test_the_whole_monday_by_touch(page_of: Open, shop: Shop, tab: Callable[..., Any]) -> None:
    page = tab()
    page.set_default_timeout(60_000)
    finger = Finger(page)
    page.goto(page_of.here)
    finger.touch("Counter")
    finger.shows("1-counter")
    at_the_counter(finger, shop)
    at_the_rack(finger, shop)
    a_delivery(finger, shop)
    the_morning(finger)
    at_the_saw(finger, shop)
    a_shelf_counted(finger, shop)
    the_week(finger, shop)
    assert audit_shop(shop) == []
    readme = " ".join((PICTURES.parents[1] / "README.md").read_text(encoding="utf-8").split())
    for what in (
        "a job taken in",
        "an offcut logged",
        "a miscut",
        "from the morning to the first cut",
    ):
        assert f"{what} {finger.took[what]}" in readme


def at_the_counter(finger: Finger, shop: Shop) -> None:
    """A job is taken in while its sizes are drawn."""
    before = len(job_rows(shop))
    with finger.within(12, "a job taken in"):
        finger.touch("Take a job in")
        finger.measures("Artwork, across", "16", "1/8")
        finger.measures("Artwork, upright", "20", "")
        finger.types("Moulding", "ASH-22")
        finger.types("Beside it, to compare", "FLOAT-BLK-16")
        finger.types("Customer", "R. Aldous")
        finger.page.get_by_role("heading", name="FLOAT-BLK-16").wait_for()
        finger.shows("2-job")
        finger.touch("Take it in")
    finger.page.get_by_role("heading", name="R. Aldous").wait_for()
    assert len(job_rows(shop)) == before + 1


def at_the_rack(finger: Finger, shop: Shop) -> None:
    """An offcut that lies there, and that no list knew."""
    before = {piece.id for piece in find(shop)}
    finger.touch("Rack")
    with finger.within(8, "an offcut logged"):
        finger.touch("Log an offcut")
        finger.types("Moulding", "ASH-22")
        finger.measures("Length", "14", "15/16")
        finger.types("Place", "C2")
        finger.shows("3-found")
        finger.touch("Log it")
    finger.page.get_by_role("link", name="Label").wait_for()
    (found,) = [piece for piece in find(shop) if piece.id not in before]
    assert (found.length, found.spot) == (379_412, "C2")


def a_delivery(finger: Finger, shop: Shop) -> None:
    """Sticks that came, measured and put on the rack, and their labels to print."""
    page, before = finger.page, {piece.id for piece in find(shop)}
    finger.touch("Rack")
    finger.touch("Receive sticks")
    finger.types("Moulding", "ASH-22")
    finger.types("Batch on the bundle", "A119")
    finger.types("Place", "A1")
    finger.types("Measured lengths, one a line", "118 1/8\n2x 117 15/16")
    finger.shows("4-delivery")
    finger.touch("Put them on the rack")
    page.get_by_role("heading", name="Labels").wait_for()
    with (
        page.expect_popup() as paper,
        page.context.expect_event("response", lambda one: one.request.method == "POST") as printed,
    ):
        finger.touch("Labels to print")
    assert printed.value.headers["content-type"] == "application/pdf"
    paper.value.close()
    assert len([piece for piece in find(shop) if piece.id not in before]) == 3


def the_morning(finger: Finger) -> None:
    """From what is due to the first cut."""
    page = finger.page
    finger.touch("Morning")
    with finger.within(3, "from the morning to the first cut"):
        finger.shows("5-plan")
        finger.touch("Plan the cuts")
        page.get_by_role("button", name="Accept and hold").wait_for()
        finger.shows("6-walk")
        finger.touch("Accept and hold")
        page.locator("main a:has-text('To the saw')").wait_for()
        finger.at(page.locator("main a:has-text('To the saw')"))
        page.locator("#main-key:has-text('is cut')").wait_for()


def at_the_saw(finger: Finger, shop: Shop) -> None:
    """Every piece as planned, but one with a rail that is spoilt."""
    page = finger.page
    waiting = [one for one in bench_work(shop, 1).pieces if one.settled is None]
    finger.shows("7-saw")
    with finger.within(len(waiting[0].piece.rails) + 1):
        cut(finger, waiting[0], picture="8-left")
    page.locator(f"#number:text-is('{waiting[1].piece.number}')").wait_for()
    with finger.within(3, "a miscut"):
        finger.touch("Miscut")
        finger.touch("Rail 1:")
        finger.shows("9-miscut")
        finger.touch("Scrap")
    cut(finger, waiting[1])
    for piece in waiting[2:]:
        with finger.within(len(piece.piece.rails) + 1):
            cut(finger, piece)
    done = page.get_by_text("All pieces of plan 1 are cut")
    try:
        done.wait_for(timeout=20_000)
    except TimeoutError:
        # News came in just then, after which no key acts for a moment: a person touches again.
        page.locator("#main-key").tap()
        done.wait_for()
    kinds = [row.kind for row in entry_rows(shop, last=len(waiting))]
    assert kinds == ["cut"] * len(waiting) == ["cut"] * 16


def cut(finger: Finger, piece: BenchPiece, picture: str = "") -> None:
    """One touch a rail that is not cut yet, one for what is left."""
    page = finger.page
    page.locator(f"#number:text-is('{piece.piece.number}')").wait_for()
    key = page.locator("#main-key")
    finger.rested()
    while "is cut" in key.inner_text():
        finger.at(key)
        finger.rested()
    if picture:
        finger.shows(picture)
    with page.expect_response("**/saw/cut"):
        finger.at(key)


def a_shelf_counted(finger: Finger, shop: Shop) -> None:
    """Every piece of the first shelf is there."""
    page = finger.page
    finger.touch("Rack")
    finger.at(page.locator(".shelf .head a").first)
    page.get_by_role("button", name="Beside the record").wait_for()
    spot = page.locator("h1").inner_text().removeprefix("Count ")
    lying = [piece for piece in find(shop) if piece.spot == spot]
    with finger.within(len(lying) + 2):
        for piece in lying:
            finger.at(page.get_by_label(f"{piece.id} is here", exact=True))
        finger.shows("10-count")
        finger.touch("Beside the record")
        page.get_by_role("heading", name="as recorded").wait_for()
        finger.touch("Set the record right")
    page.get_by_role("heading", name="Rack").wait_for()
    assert entry_rows(shop, last=1)[0].kind == "count"


def the_week(finger: Finger, shop: Shop) -> None:
    """What to order, drafted as it is proposed, and sent."""
    page = finger.page
    finger.touch("Week")
    finger.touch("Reckon this week")
    page.get_by_role("button", name="Draft the orders").wait_for()
    finger.shows("11-week")
    finger.touch("Draft the orders")
    page.locator("#orders li a").first.wait_for()
    finger.at(page.locator("#orders li a").first)
    page.get_by_role("heading", name="Order").wait_for()
    finger.shows("12-order")
    finger.touch("It was sent")
    page.get_by_role("button", name="Put it on the rack").wait_for()
    assert "placed" in {order.state for order in order_rows(shop)}
