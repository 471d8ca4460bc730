"""A shelf counted on the page: seen, missing, measured, found; settled in one entry, once."""

from collections.abc import Callable
from typing import Any

from stockroom.record.ledger import RackPiece
from stockroom.services.rack.pieces import Arrival, find, log_found
from stockroom.services.record.history import audit_shop, entry_rows
from stockroom.services.shop import Shop
from tests.page.browser import Open


def lying(shop: Shop, spot: str) -> list[RackPiece]:
    """The pieces at a place."""
    return [piece for piece in find(shop) if piece.spot == spot]


def shelf_of(shop: Shop) -> tuple[str, list[RackPiece]]:
    """A place with several pieces, and one that begins like it with another piece."""
    for n in range(4):
        log_found(shop, "ASH-22", "A118", Arrival(600_000 + n), "Q1")
    log_found(shop, "ASH-22", "A118", Arrival(700_000), "Q11")
    return "Q1", lying(shop, "Q1")


def test_a_shelf_is_counted_and_the_record_set_right_in_one_entry(
    page_of: Open, shop: Shop
) -> None:
    spot, (agreed, measured, missing, away) = shelf_of(shop)
    elsewhere = lying(shop, "Q11")[0]
    sheet = page_of.ask("GET", f"/rack/count?at={spot}").text
    assert f"{agreed.id} is here" in sheet
    assert f"{elsewhere.id} is here" not in sheet
    as_of = sheet.split('name="as_of" value="')[1].split('"')[0]
    told = {"at": spot, "as_of": as_of, "seen": [str(agreed.id), str(away.id)],
            f"length-{measured.id}": "23 1/2", "others": str(elsewhere.id),
            "unlabelled": "ASH-22=20"}  # fmt: skip
    before = entry_rows(shop, last=1)[0].number
    checked = page_of.ask("POST", "/rack/count", data=told)
    assert checked.status_code == 200
    for said in (f"Not seen:</em> {missing.id}", f"Measured:</em> {measured.id}", "Found:</em>",
                 f"Moved:</em> {elsewhere.id} lies at Q1"):  # fmt: skip
        assert said in checked.text
    assert entry_rows(shop, last=1)[0].number == before
    settled = {**told, "why": "counted", "key": "count-once-1"}
    assert page_of.ask("POST", "/rack/count/settle", data=settled).status_code == 303
    twice = page_of.ask("POST", "/rack/count/settle", data=settled)
    assert twice.status_code == 409
    assert entry_rows(shop, last=1)[0].number == before + 1
    there = {piece.id: piece.length for piece in lying(shop, spot)}
    assert missing.id not in there
    assert (there[measured.id], len(there)) == (596_900, 5)
    assert audit_shop(shop) == []


def test_what_is_typed_in_a_count_is_refused_whole_and_shown_again(
    page_of: Open, shop: Shop
) -> None:
    spot, pieces = shelf_of(shop)
    told = {"at": spot, "as_of": "1", f"length-{pieces[0].id}": "banana", "seen": "12"}
    refused = page_of.ask("POST", "/rack/count", data=told)
    assert refused.status_code == 422
    assert 'value="banana"' in refused.text
    for wrong in ({"as_of": "x"}, {"as_of": "99999"}, {"others": "99999999"}, {"seen": "x"},
                  {"unlabelled": "20"}):  # fmt: skip
        answer = page_of.ask("POST", "/rack/count", data={"at": spot, "as_of": "1", **wrong})
        assert answer.status_code in (404, 422), wrong
    assert len(lying(shop, spot)) == 4


def test_a_scanned_label_is_seen_on_the_shelf_and_a_strange_one_is_kept_as_another(
    page_of: Open, shop: Shop, tab: Callable[..., Any]
) -> None:
    spot, pieces = shelf_of(shop)
    page = tab((390, 844))
    page.goto(f"{page_of.here}/rack/count?at={spot}")
    for number in (pieces[2].id, 12):
        page.locator("h1").click()
        page.keyboard.type(str(number))
        page.keyboard.press("Enter")
    assert page.get_by_label(f"{pieces[2].id} is here", exact=True).is_checked()
    assert page.get_by_label("Other labels").input_value() == "12"
    page.get_by_label(f"{pieces[0].id} is here", exact=True).tap()
    page.get_by_role("button", name="Beside the record").tap()
    page.get_by_role("heading", name="Q1: 2 pieces as recorded").wait_for()
