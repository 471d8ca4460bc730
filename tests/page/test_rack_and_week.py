"""The pages of rack and week: logged, moved, measured, received, ordered; bad input refused."""

from collections.abc import Callable
from datetime import timedelta
from io import BytesIO
from typing import Any

import pdfplumber
import pytest

from stockroom.page.views.numbers_page import CHOSEN, DAYS
from stockroom.record.database import reading
from stockroom.services.insight.shop_numbers import rack_numbers, waste_numbers
from stockroom.services.morning.sheets import to_settle
from stockroom.services.rack.pieces import find
from stockroom.services.record.history import audit_shop, entry_rows
from stockroom.services.record.undo import undo
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop
from stockroom.services.weekly.left_lines import left_lines
from stockroom.services.weekly.purchase_orders import order_row, order_rows
from stockroom.services.weekly.review import Review
from stockroom.words.language import word
from tests.page.browser import Open, serving


def test_an_offcut_is_logged_with_its_flaw_and_place(
    page_of: Open, shop: Shop, tab: Callable[..., Any]
) -> None:
    before = {piece.id for piece in find(shop)}
    page = tab((390, 844))
    page.goto(f"{page_of.here}/rack")
    assert page.locator("svg.bar").count() == page.locator("svg.bar > .end").count() > 0
    page.get_by_role("link", name="Log an offcut").tap()
    page.get_by_label("Moulding", exact=True).fill("ASH-22")
    page.get_by_label("Length", exact=True).fill("14 15/16")
    page.get_by_label("Place", exact=True).fill("C2")
    page.get_by_label("A flaw, both from the label's end").fill("2..2 1/2")
    page.get_by_role("button", name="Log it").tap()
    page.get_by_role("link", name="Label").wait_for()
    (found,) = [piece for piece in find(shop) if piece.id not in before]
    assert (found.profile, found.length, found.spot) == ("ASH-22", 379_412, "C2")
    assert found.flaws == ((50_800, 63_500),)


def test_what_is_done_to_a_piece_is_on_the_record(page_of: Open, shop: Shop) -> None:
    piece = next(p for p in find(shop) if p.held_by is None and not p.flaws)
    at = f"/rack/{piece.id}/change"
    for told in ({"what": "move", "place": "Z9"}, {"what": "measure", "length": "10"},
                 {"what": "flaw", "flaw": "1..2"}, {"what": "batch", "batch": "k7"}):  # fmt: skip
        assert page_of.ask("POST", at, data=told).status_code == 303
    now = next(p for p in find(shop) if p.id == piece.id)
    assert (now.spot, now.length, now.flaws) == ("Z9", 254_000, ((25_400, 50_800),))
    assert now.batch == "K7"
    told = {"what": "mark", "longest": "8", "grade": "second", "owner": "C. Voss", "motif": "1/2"}
    assert page_of.ask("POST", at, data=told).status_code == 303
    said = "bowed: rails up to 8 in; a second; C. Voss&#39;s own; first motif at 1/2 in"
    shown = page_of.ask("GET", f"/rack/{piece.id}").text
    assert said in shown
    assert f'<b>Z9</b> · <span class="unbroken">{piece.profile}</span>' in shown
    assert said in page_of.ask("GET", f"/rack?find={piece.id}").text
    assert page_of.ask("POST", at, data={"what": "give back"}).status_code == 303
    assert piece.id not in {p.id for p in find(shop)}
    undo(shop)
    for told in ({}, {"what": "scrap"}, {"what": "measure", "length": "x"},
                 {"what": "flaw", "flaw": "9"}):  # fmt: skip
        refused = page_of.ask("POST", at, data=told)
        assert (refused.status_code, f"<h1>Piece {piece.id}</h1>" in refused.text) == (422, True)
    assert page_of.ask("POST", at, data={"what": "scrap", "why": "split"}).status_code == 303
    other = next(p for p in find(shop) if p.held_by is None and p.kind == "stick")
    told = {"what": "part", "off": "2x 4; 12", "as": "sample", "whom": "the wall"}
    gone = page_of.ask("POST", f"/rack/{other.id}/change", data=told)
    assert gone.headers["location"].startswith("/rack/labels?pieces=")
    moved = entry_rows(shop)[0].moved
    assert sum(length for place, length in moved if place.code == "sample") == 20 * 25_400
    assert not {piece.id, other.id} & {p.id for p in find(shop)}
    assert audit_shop(shop) == []


@pytest.mark.parametrize(
    ("told", "status"),
    [
        ({"profile": "ASH-22", "batch": "B9", "lengths": "118\n2x 117 15/16", "place": "A3"}, 303),
        ({"profile": "ASH-22", "batch": "B9", "lengths": "11 8/9 x"}, 422),
        ({"profile": "ASH-22", "batch": "B9", "lengths": ""}, 422),
        ({"profile": "NONE", "batch": "B9", "lengths": "118"}, 404),
        ({"profile": "ASH-22", "batch": "B9", "lengths": "11"}, 422),
    ],
)
def test_sticks_come_in_whole_or_not_at_all(
    page_of: Open, shop: Shop, told: dict[str, str], status: int
) -> None:
    before = len(find(shop))
    answer = page_of.ask("POST", "/rack/receive", data=told)
    assert answer.status_code == status
    assert len(find(shop)) - before == (3 if status == 303 else 0)
    if status == 303:
        printed = page_of.ask("POST", "/rack/labels", data={"pieces": str(find(shop)[0].id)})
        assert printed.content.startswith(b"%PDF")


def test_the_week_from_the_list_to_the_rack(page_of: Open, shop: Shop) -> None:
    assert page_of.ask("GET", "/week").status_code == 200
    told = {"profile": ["ASH-22", "ASH-14"], "supplier": ["LARK", "LARK"], "sticks": ["2", "0"],
            "why": ["two spare", ""], "advised": ["3 0.08 14", "1 0.1 14"],
            "because": ["dear now", "the rep comes on Friday"]}  # fmt: skip
    assert page_of.ask("POST", "/week/draft", data=told).status_code == 303
    (listed,) = order_rows(shop)
    order = order_row(shop, str(listed.number))
    assert [(line.profile, line.sticks, line.advised, line.why) for line in order.lines] == [
        ("ASH-22", 2, 3, "dear now; two spare")
    ]
    with reading(shop.engine) as session:
        (left,) = left_lines(session, shop.hand.day).values()
    assert (left.profile, left.sticks, left.why) == ("ASH-14", 1, "the rep comes on Friday")
    at = f"/week/{order.number}"
    assert page_of.ask("GET", f"{at}/paper").content.startswith(b"%PDF")
    assert page_of.ask("POST", f"{at}/change",
                       data={"profile": "ASH-22", "sticks": "3"}).status_code == 303  # fmt: skip
    assert page_of.ask("POST", f"{at}/place", data={"reference": "R-17"}).status_code == 303
    came = {"profile": "ASH-22", "batch": "L9", "lengths": "2x 118,5", "place": "A3"}
    answer = page_of.ask("POST", f"{at}/receive", data=came)
    assert answer.status_code == 200
    assert "1 stick" in answer.text or "2 stick" in answer.text
    assert order_rows(shop)[0].to_come == 1
    assert page_of.ask("POST", f"{at}/cancel", data={"why": "sold out"}).status_code == 303
    assert order_rows(shop) == []
    assert page_of.ask("GET", "/week/999").status_code == 404


def test_orders_to_all_suppliers_are_drafted_or_none_and_what_was_typed_stays(
    page_of: Open, shop: Shop, week_known: Review, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("stockroom.page.views.week_page.review_week", lambda _shop: week_known)
    lines = week_known.lines
    told = {"profile": [line.profile for line in lines],
            "supplier": [line.supplier for line in lines], "sticks": ["7"] * len(lines),
            "why": [""] * len(lines), "advised": [""] * len(lines),
            "because": [""] * len(lines), "key": "ab" * 16}  # fmt: skip
    assert len(set(told["supplier"])) > 1
    with pdfplumber.open(BytesIO(page_of.ask("GET", "/week/list/paper").content)) as paper:
        printed = "".join(page.extract_text() for page in paper.pages)
    assert all(line.profile in printed for line in lines)
    for name, strange in (("profile", "NONE"), ("supplier", "NONE"), ("sticks", "-1")):
        broken = {**told, name: [*told[name][:-1], strange]}
        answer = page_of.ask("POST", "/week/draft", data=broken)
        assert answer.status_code in (404, 422)
        assert order_rows(shop) == []
        assert answer.text.count('value="7"') == len(lines) - (name != "supplier")
    assert page_of.ask("POST", "/week/draft", data=told).status_code == 303
    assert page_of.ask("POST", "/week/draft", data=told).status_code == 409
    assert {order.supplier for order in order_rows(shop)} == set(told["supplier"])
    assert len(order_rows(shop)) == len(set(told["supplier"]))


def test_the_shops_numbers_are_those_of_the_record(planned: Shop) -> None:
    for number in to_settle(planned, 1)[:4]:
        record_cut(planned, SawReport(1, number))
    ages = rack_numbers(planned, "age")
    with serving(planned) as page:
        for by in ("", "profile", "cause", "banana"):
            said = page.ask("GET", f"/week/numbers?by={by}").text
            since = planned.hand.day - timedelta(days=DAYS)
            rows = waste_numbers(planned, CHOSEN.get(by, "week"), since)
            assert rows
            for name in [row.name for row in rows] + [word(age.name) for age in ages]:
                assert f"<b>{name}</b>" in said
