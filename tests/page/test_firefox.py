"""The saw in a second engine, Firefox, over a record at a PostgreSQL server.

Each flow takes the pieces that wait; where too few do, it plans again.
"""

import os
from collections.abc import Iterator
from dataclasses import replace
from itertools import count
from pathlib import Path
from threading import Event
from typing import Any
from unittest.mock import patch

import pytest

from demo.workshop import make_workshop
from stockroom.page.safety.authority import authority_in
from stockroom.record.audit import audit
from stockroom.record.database import reading
from stockroom.record.ledger import Hand
from stockroom.record.tables import Entry
from stockroom.refusals import Busy
from stockroom.services.morning.day_plan import accept, drop, plan_day
from stockroom.services.morning.problem import Choices
from stockroom.services.morning.sheets import plan_rows
from stockroom.services.record.history import entry_rows, newest
from stockroom.services.record.undo import undo
from stockroom.services.saw.bench_work import BenchPiece, bench_work
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop
from tests.page.browser import TABLET, Open, not_tried, serving
from tests.page.firefox import Firefox, firefox_file

ENTER = "\ue007"
"""The key, as WebDriver names it (17.4.2)."""


KEPT = """return caches.open("saw").then(async (kept) => {
    const path = (address) => new URL(address).pathname;
    const names = new Set((await kept.keys()).map((one) => path(one.url)));
    const parts = performance.getEntriesByType("resource").map((one) => path(one.name));
    return names.has("/saw") && parts.length > 12
        && parts.filter((one) => /^.(static|type)/.test(one)).every((one) => names.has(one));
})"""
"""True once all that the saw's page is made of is kept for a reload."""


@pytest.fixture(scope="module")
def shop(server: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """The workshop at a server, its plan at the saw; the record must be true at the end."""
    name = f"firefox_{os.getpid()}"
    server.psql(f'CREATE DATABASE "{name}";')
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("own")))
        made = make_workshop(server.get_uri(name))
        yield made
        with reading(made.engine) as session:
            assert audit(session) == []
        made.engine.dispose()
    server.psql(f'DROP DATABASE "{name}" WITH (FORCE);')


class Tablet:
    """A Firefox that loses its power and comes back with what it kept."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.page = self.begun()

    def begun(self) -> Firefox:
        """Switched on."""
        file = firefox_file()
        if file is None:
            not_tried("Firefox was not found, so the saw was not tried in it")
        self.page = Firefox(file, self.folder)
        return self.page


@pytest.fixture(scope="module")
def tablet(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Tablet]:
    """One tablet for all flows."""
    made = Tablet(tmp_path_factory.mktemp("firefox"))
    yield made
    made.page.dies()


@pytest.fixture
def waiting(shop: Shop) -> list[BenchPiece]:
    """Pieces that wait at the saw, several of them; the first have several rails."""
    if len(found := left(shop)) < 4:
        for row in plan_rows(shop, states=("accepted",)):
            drop(shop, row.number)
        plan = plan_day(shop, Choices(shop.hand.day, seconds=20)).plan
        assert plan is not None
        accept(shop, plan)
        found = left(shop)
    return found


def left(shop: Shop) -> list[BenchPiece]:
    """The pieces of the plan at the saw that are not settled."""
    plans = [row.number for row in plan_rows(shop, states=("accepted",))]
    return [one for one in bench_work(shop, plans[0]).pieces
            if one.settled is None] if plans else []  # fmt: skip


def plan_of(shop: Shop) -> int:
    """The plan at the saw."""
    return plan_rows(shop, states=("accepted",))[0].number


def at_saw(page: Firefox, saw: Open, piece: BenchPiece) -> None:
    """The page of the saw at this piece, hearing the news."""
    page.goto(f"{saw.here}/saw")
    page.shows("is cut", "#main-key")
    scans(page, piece)


def scans(page: Firefox, piece: BenchPiece) -> None:
    """The label of a piece is scanned: the page turns to it."""
    page.rests()
    page.types(f"{piece.piece.number}{ENTER}")
    page.shows(str(piece.piece.number), "#number")


def cuts_it(page: Firefox, piece: BenchPiece) -> None:
    """One touch a rail, one for what is left."""
    page.shows(str(piece.piece.number), "#number")
    for _ in (*piece.piece.rails, "what is left"):
        page.touch("", "#main-key")


def cuts(shop: Shop) -> list[int]:
    """The entries of kind "cut", newest first."""
    return [row.number for row in entry_rows(shop, last=500) if row.kind == "cut"]


def detail(shop: Shop, entry: int) -> dict[str, Any]:
    """What an entry keeps beside its lines."""
    with reading(shop.engine) as session:
        return session.get_one(Entry, entry).detail


def test_over_https_a_tablet_that_trusts_the_shop_keeps_the_page_through_a_reload(
    shop: Shop, waiting: list[BenchPiece], tablet: Tablet, tmp_path: Path
) -> None:
    before, page = cuts(shop), tablet.page
    authority = authority_in(tmp_path, [TABLET, "127.0.0.1", "localhost"])
    with serving(shop, authority=authority) as saw:
        with pytest.raises(AssertionError, match="insecure certificate"):
            page.goto(f"{saw.tablet}/trust")
        page.trusts(authority.as_file)
        page.goto(f"{saw.tablet}/enter#{saw.served.codes.new('cutter')}")
        page.asked("document.getElementById('f-who').value = 'ben'")
        page.touch("Let me in")
        page.shows("At this screen: ben")
        page.goto(f"{saw.tablet}/saw")
        page.shows("is cut", "#main-key")
        assert page.asked("return isSecureContext")
        page.until(KEPT)
    page.reloads()
    cuts_it(page, waiting[0])
    page.shows("1 kept on this device", "#state")
    with serving(shop, saw.port, authority):
        page.shows(".", "#note-words")
        page.until("return !document.getElementById('state').textContent")
    assert len(cuts(shop)) == len(before) + 1


def test_power_and_server_fail_and_each_piece_is_one_entry_in_order_of_cutting(
    shop: Shop, waiting: list[BenchPiece], tablet: Tablet
) -> None:
    before, many = cuts(shop), next(one for one in waiting[3:] if len(one.piece.rails) > 1)
    with serving(shop) as saw:
        page = tablet.page
        at_saw(page, saw, waiting[0])
    for piece in waiting[:3]:
        cuts_it(page, piece)
    page.shows("3 kept on this device", "#state")
    scans(page, many)
    page.rests()
    page.asked("for (let n = 0; n < 6; n++) document.getElementById('main-key').click()")
    page.shows(f"rail 2 of {len(many.piece.rails)}", "#words")
    page.dies()
    assert cuts(shop) == before
    page = tablet.begun()
    with serving(shop, saw.port):
        page.goto(f"{saw.here}/saw")
        page.shows(f"rail 2 of {len(many.piece.rails)}", "#words")
        page.until("return !document.getElementById('state').textContent")
        page.shows(".", "#note-words")
    made = cuts(shop)[:3]
    assert len(cuts(shop)) == len(before) + 3
    rows = {row.number: row.about for row in entry_rows(shop, last=50)}
    for entry, piece in zip(reversed(made), waiting[:3], strict=True):
        assert ("piece", str(piece.piece.number)) in rows[entry]


def test_an_answer_lost_twice_and_a_cut_undone_meanwhile_are_each_one_entry(
    shop: Shop, waiting: list[BenchPiece], tablet: Tablet
) -> None:
    before, page = cuts(shop), tablet.page
    answers, twice = count(), Event()

    def lost(*_told: object) -> None:
        if next(answers):
            twice.set()
        raise Busy("it is recorded, and the answer is lost")

    with serving(shop) as saw:
        at_saw(page, saw, waiting[0])
        with patch("stockroom.page.views.saw_page.how_settled", lost):
            cuts_it(page, waiting[0])
            assert twice.wait(60)
            undo(replace(shop, hand=Hand("ada", shop.hand.day)), newest(shop)[0])
        page.shows("undone since by ada", "#note-words")
    assert len(cuts(shop)) == len(before) + 1
    assert left(shop)[0].piece.number == waiting[0].piece.number


def test_who_was_first_is_told_and_a_rail_that_lies_there_is_recorded_though_its_plan_is_gone(
    shop: Shop, waiting: list[BenchPiece], tablet: Tablet
) -> None:
    before, page = cuts(shop), tablet.page
    first, second = waiting[:2]
    with serving(shop) as saw:
        at_saw(page, saw, first)
    cuts_it(page, first)
    cuts_it(page, second)
    ada = replace(shop, hand=Hand("ada", shop.hand.day))
    record_cut(ada, SawReport(plan_of(shop), first.piece.number))
    drop(shop, plan_of(shop))
    with serving(shop, saw.port):
        page.shows("was settled already: cut, by ada at", "#refused p")
        page.touch("Throw mine away")
        page.touch("Yes, throw it away", "dialog button")
        page.shows(f"Piece {second.piece.number}", "#refused h2")
        page.touch("It is true: record it")
        page.until("return !document.querySelector('#refused section')")
    assert len(cuts(shop)) == len(before) + 2
    assert detail(shop, cuts(shop)[0])["rails"] == len(second.piece.rails)


def test_what_the_tape_says_what_is_spoilt_and_undone_and_what_a_command_did_meanwhile(
    shop: Shop, waiting: list[BenchPiece], tablet: Tablet
) -> None:
    piece = next(one for one in waiting if 600_000 < min(one.leftovers) < 2_000_000)
    page = tablet.page
    with serving(shop) as saw:
        at_saw(page, saw, piece)
        page.touch("Miscut")
        page.touch("Rail 1:", "dialog button")
        page.touch("Scrap", "dialog button")
        for _ in piece.piece.rails[1:]:
            page.touch("", "#main-key")
        page.touch("type it", "#keypad")
        page.types("14")
        page.touch("15/16", "dialog .parts button")
        page.touch("Take it", "dialog button")
        page.touch("Yes, 14 15/16 in", "dialog button")
        page.asked("document.getElementById('main-key').focus()")
        page.rests()
        page.types(f"{piece.piece.number}{ENTER}")
        page.shows("14 15/16 in is left", "#main-key")
        page.touch("", "#main-key")
        page.shows("goes into the next plan", "#note-words")
        entry = cuts(shop)[0]
        kept = detail(shop, entry)
        other = left(shop)[0]
        record_cut(shop, SawReport(plan_of(shop), other.piece.number))
        page.shows(str(left(shop)[0].piece.number), "#number")
        page.touch("Pieces")
        page.touch(f"{piece.piece.number}: cut by", "dialog button")
        page.touch("Undo it in the record", "dialog button")
        page.shows("The piece waits again", "#note-words")
    assert kept["measured_um"] == [379_412]
    assert piece.piece.number in [one.piece.number for one in left(shop)]
