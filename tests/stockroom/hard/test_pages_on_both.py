"""A day at the page on both databases: each thing recorded once, whatever is sent again."""

import json
import re

import pytest

from stockroom.services.morning.sheets import plan_rows, to_settle
from stockroom.services.rack.pieces import find
from stockroom.services.record.history import entry_rows
from stockroom.services.shop import Shop
from tests.page.browser import Open, serving
from tests.stockroom.hard.shopwork import sticks


@pytest.fixture
def day(shop: Shop) -> Shop:
    """A shop with sticks on its rack."""
    sticks(shop, 3)
    return shop


def kinds(shop: Shop) -> list[str]:
    """What was recorded, oldest first."""
    return [row.kind for row in reversed(entry_rows(shop, last=50))]


def test_a_day_at_the_page_is_the_same_on_both_databases(day: Shop) -> None:
    with serving(day) as page:
        take_in(page)
        planned(page, day)
        cut(page, day)
        counted(page, day)
    assert kinds(day)[2:] == ["take in", "accept", "cut", "undo", "count"]


def take_in(page: Open) -> None:
    """A job, sent twice."""
    told = {"width": "500", "height": "400", "profile": "ASH-22", "customer": "R. Aldous",
            "due": "2026-11-24", "key": "job-sent-twice"}  # fmt: skip
    assert page.ask("POST", "/counter/take", data=told).status_code == 303
    assert page.ask("POST", "/counter/take", data=told).status_code == 409
    assert "R. Aldous" in page.ask("GET", "/counter?find=aldous").text


def planned(page: Open, shop: Shop) -> None:
    """A plan, worked out in the server's own thread."""
    assert page.ask("POST", "/morning/plan", data={"days": "7"}).status_code == 303
    run = page.served.runs.of(shop.hand.who)
    assert run is not None
    while not run.over:
        assert page.ask("GET", "/rack").status_code == 200
    assert run.refusal is None, run.refusal
    number = plan_rows(shop)[0].number
    assert page.ask("POST", f"/morning/{number}/accept").status_code == 303


def cut(page: Open, shop: Shop) -> None:
    """A piece, sent twice, undone at the counter, and sent a third time."""
    piece = to_settle(shop, 1)[0]
    told = json.dumps({"key": "0" * 32, "plan": 1, "piece": piece, "outcome": "cut"})
    first = page.ask("POST", "/saw/cut", content=told).json()
    again = page.ask("POST", "/saw/cut", content=told).json()
    assert (first["words"], first["offcuts"]) == (again["words"], again["offcuts"])
    entry = first["settled"]["entry"]
    assert page.ask("POST", f"/saw/undo/{entry}").status_code == 200
    third = page.ask("POST", "/saw/cut", content=told).json()
    assert third["undone"]


def counted(page: Open, shop: Shop) -> None:
    """The shelf of the sticks, one of which is missing."""
    sheet = page.ask("GET", "/rack/count?at=A1").text
    as_of = re.search(r'name="as_of" value="(\d+)"', sheet)
    assert as_of is not None
    free = [piece.id for piece in find(shop) if piece.held_by is None]
    told = {"at": "A1", "as_of": as_of[1], "seen": [str(n) for n in free[1:]], "why": "counted"}
    assert "Not seen" in page.ask("POST", "/rack/count", data=told).text
    assert page.ask("POST", "/rack/count/settle", data=told).status_code == 303
    assert free[0] not in [piece.id for piece in find(shop)]
