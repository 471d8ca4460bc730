"""The saw in a real browser: each piece is recorded once, whatever the network and the hand do."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest

from stockroom.record.audit import audit
from stockroom.record.database import reading
from stockroom.record.tables import Entry, Plan
from stockroom.services.morning.day_plan import drop
from stockroom.services.rack.pieces import find, move
from stockroom.services.record.history import entry_rows
from stockroom.services.saw.bench_work import BenchPiece, bench_work
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import parse_length
from stockroom.words.language import word
from tests.page.browser import Open, serving

Tab = Callable[..., Any]
PLAN = 1


@pytest.fixture
def saw(planned: Shop) -> Iterator[Open]:
    """The workshop with a plan at the saw, served; its record must be true at the end."""
    with serving(planned) as opened:
        yield opened
    with reading(planned.engine) as session:
        assert audit(session) == []


def at_saw(saw: Open, tab: Tab, size: tuple[int, int] = (1024, 768)) -> Any:
    """The page of the saw, ready for the first touch."""
    page = tab(size)
    with page.expect_response("**/news"):
        page.goto(f"{saw.here}/saw")
    page.locator("#main-key:has-text('is cut')").wait_for()
    return page


def touch(page: Any, key: str) -> None:
    """One touch, when keys act again after the last change."""
    page.wait_for_function("() => !document.documentElement.classList.contains('resting')")
    page.locator(key).tap()


def pieces(shop: Shop) -> list[BenchPiece]:
    """The pieces that wait at the saw."""
    return [one for one in bench_work(shop, PLAN).pieces if one.settled is None]


def cut_piece(page: Any, piece: BenchPiece) -> None:
    """Cuts a piece as planned: one touch a rail, one for what is left."""
    page.locator(f"#number:text-is('{piece.piece.number}')").wait_for()
    for _ in (*piece.piece.rails, "what is left"):
        touch(page, "#main-key")


def to_piece(page: Any, piece: BenchPiece) -> None:
    """Turns to a piece by scanning its label."""
    if page.locator("#number").inner_text() != str(piece.piece.number):
        page.wait_for_function("() => !document.documentElement.classList.contains('resting')")
        page.keyboard.type(str(piece.piece.number))
        page.keyboard.press("Enter")
    page.locator(f"#number:text-is('{piece.piece.number}')").wait_for()


def cuts(shop: Shop) -> list[int]:
    """The entries of kind "cut", oldest first."""
    return sorted(row.number for row in entry_rows(shop, last=100) if row.kind == "cut")


def detail(shop: Shop, entry: int) -> dict[str, Any]:
    """What an entry keeps beside its lines."""
    with reading(shop.engine) as session:
        return session.get_one(Entry, entry).detail


def several_rails(shop: Shop) -> BenchPiece:
    """A piece with more than one rail and a leftover."""
    return next(one for one in pieces(shop) if len(one.piece.rails) > 1 and max(one.leftovers) > 0)


def an_answer_asked_before_a_cut_does_not_bring_its_piece_back(page: Any, shop: Shop) -> None:
    """What waits is asked for, a piece is cut, and only then the old answer comes."""
    late: list[Any] = []

    def held(route: Any) -> None:
        if late:
            route.continue_()
        else:
            late.append((route, route.fetch()))

    page.route("**/saw/work*", held)
    with page.expect_request("**/saw/work*"):
        move(shop, next(one.id for one in find(shop) if one.held_by is None), "Z9")
    piece = pieces(shop)[0]
    to_piece(page, piece)
    with page.expect_response("**/saw/cut"):
        cut_piece(page, piece)
    page.locator(f"#number:not(:text-is('{piece.piece.number}'))").wait_for()
    with page.expect_request("**/saw/work*"):  # It is asked for once more.
        late[0][0].fulfill(response=late[0][1])
    page.unroute_all(behavior="wait")
    assert page.locator("#number").inner_text() != str(piece.piece.number)


def test_a_piece_cut_rail_by_rail_is_one_entry_and_touches_in_a_row_are_one(
    saw: Open, planned: Shop, tab: Tab
) -> None:
    piece = several_rails(planned)
    page = at_saw(saw, tab)
    to_piece(page, piece)
    page.wait_for_function("() => !document.documentElement.classList.contains('resting')")
    page.evaluate(
        "() => { for (let n = 0; n < 6; n++) document.getElementById('main-key').click(); }"
    )
    page.get_by_text(f"rail 2 of {len(piece.piece.rails)}").wait_for()
    assert page.locator("#drawing .end").count() == 1
    with page.expect_response("**/saw/cut"):
        for _ in piece.piece.rails:
            touch(page, "#main-key")
    assert len(cuts(planned)) == 1
    an_answer_asked_before_a_cut_does_not_bring_its_piece_back(page, planned)
    kept = detail(planned, cuts(planned)[0])
    assert kept["rails"] == len(piece.piece.rails)
    assert kept["cut_at"]
    assert kept["was_measured"] == 0


def test_with_the_server_away_three_pieces_are_cut_and_written_in_order_when_it_is_back(
    planned: Shop, tab: Tab
) -> None:
    three = pieces(planned)[:3]
    with serving(planned) as saw:
        page = at_saw(saw, tab)
    for piece in three:
        cut_piece(page, piece)
    page.get_by_text("3 kept on this device").wait_for()
    assert cuts(planned) == []
    with serving(planned, saw.port):
        page.wait_for_function(
            "() => !document.getElementById('state').textContent", timeout=30_000
        )
        page.locator(f"#number:text-is('{pieces(planned)[0].piece.number}')").wait_for()
    made = list(reversed(entry_rows(planned, last=3)))
    assert [row.kind for row in made] == ["cut"] * 3
    for row, piece in zip(made, three, strict=True):
        assert ("piece", str(piece.piece.number)) in row.about


def test_an_answer_that_is_lost_twice_is_one_entry(saw: Open, planned: Shop, tab: Tab) -> None:
    page = at_saw(saw, tab)
    lost = []

    def lose(route: Any) -> None:
        route.fetch()
        lost.append(route)
        route.abort()

    page.route("**/saw/cut", lose, times=2)
    cut_piece(page, pieces(planned)[0])
    page.locator("#note-words:has-text('Write on'), #note-words:has-text('recorded;')").wait_for(
        timeout=15_000
    )
    assert len(lost) == 2
    assert len(cuts(planned)) == 1


def test_the_page_is_kept_through_a_reload_while_the_server_is_away(
    planned: Shop, tab: Tab
) -> None:
    first, second = pieces(planned)[:2]
    with serving(planned) as saw:
        page = at_saw(saw, tab)
        with page.expect_response("**/saw/cut"):
            cut_piece(page, first)
        page.locator(f"#number:text-is('{second.piece.number}')").wait_for()
        page.wait_for_function(
            """async (tapes) => {
                const path = (address) => new URL(address).pathname;
                const kept = await (await caches.open("saw")).keys();
                const names = new Set(kept.map((one) => path(one.url)));
                const parts = performance.getEntriesByType("resource").map((one) => path(one.name));
                return names.has("/saw") && parts.length > 12
                    && parts.filter((one) => /^.(static|type)/.test(one))
                        .every((one) => names.has(one));
            }"""
        )
    page.reload()
    page.locator(f"#number:text-is('{second.piece.number}')").wait_for()
    cut_piece(page, second)
    page.get_by_text("1 kept on this device").wait_for()
    with serving(planned, saw.port):
        page.wait_for_function(
            "() => !document.getElementById('state').textContent", timeout=30_000
        )
    assert len(cuts(planned)) == 2


def test_a_rail_that_lies_there_is_recorded_though_its_plan_was_dropped(
    saw: Open, planned: Shop, tab: Tab
) -> None:
    page = at_saw(saw, tab)
    page.context.set_offline(True)
    piece = several_rails(planned)
    to_piece(page, piece)
    cut_piece(page, piece)
    page.get_by_text("1 kept on this device").wait_for()
    drop(planned, PLAN)
    page.context.set_offline(False)
    with page.expect_response(lambda answer: answer.url.endswith("/saw/cut") and answer.ok):
        touch(page, "text=It is true: record it")
    kept = detail(planned, cuts(planned)[0])
    assert kept["rails"] == len(piece.piece.rails)
    lines = next(row for row in entry_rows(planned) if row.number == cuts(planned)[0]).moved
    assert sum("rail " in word(place) for place, _ in lines) == len(piece.piece.rails)
    with reading(planned.engine) as session:
        assert session.get_one(Plan, PLAN).state == "dropped"


def test_a_cut_by_command_shows_at_the_saw_within_two_seconds(
    saw: Open, planned: Shop, tab: Tab
) -> None:
    page = at_saw(saw, tab)
    first, second = pieces(planned)[:2]
    record_cut(planned, SawReport(PLAN, first.piece.number))
    page.locator(f"#number:text-is('{second.piece.number}')").wait_for(timeout=2_500)


def test_fourteen_and_fifteen_sixteenths_is_stored_as_379412_micrometres(
    saw: Open, planned: Shop, tab: Tab
) -> None:
    piece = next(one for one in pieces(planned) if 600_000 < min(one.leftovers) < 2_000_000)
    page = at_saw(saw, tab)
    to_piece(page, piece)
    for _ in piece.piece.rails:
        touch(page, "#main-key")
    touch(page, "#keypad")
    for words in ("1", "4", "15/16", "Take it"):
        touch(page, f"dialog button:text-is('{words}')")
    page.get_by_text("less than planned").wait_for()
    touch(page, "text=Yes, 14 15/16 in")
    with page.expect_response("**/saw/cut"):
        touch(page, "#main-key")
    assert detail(planned, cuts(planned)[0])["measured_um"] == [379_412]


def test_every_step_of_the_keypad_is_read_by_the_record_as_the_tape_says_it(
    saw: Open, tab: Tab
) -> None:
    page = tab()
    page.goto(f"{saw.here}/saw")
    said = page.evaluate(
        """async (tapes) => {
            const { Measure } = await import('/static/saw/lengths.js');
            const read = (measure) => Array.from({ length: 200 },
                (_, n) => [measure.withUnit(n), measure.um(n)]);
            return tapes.flatMap((tape) => read(new Measure(tape)));
        }""",
        [
            Settings(unit=unit, step=step).tape
            for unit, step in (("in", "1/16 in"), ("in", "1/64 in"), ("mm", ""), ("cm", ""))
        ],
    )
    assert len(said) == 800
    for text, um in said:
        assert parse_length(text, "in", rounding="down") == um, text


def test_a_scanners_enter_with_the_focus_on_the_main_key_records_nothing(
    saw: Open, planned: Shop, tab: Tab
) -> None:
    piece = several_rails(planned)
    page = at_saw(saw, tab)
    page.locator("#main-key").focus()
    to_piece(page, piece)
    page.wait_for_function("() => !document.documentElement.classList.contains('resting')")
    page.locator("#main-key").focus()
    page.keyboard.type(str(piece.piece.number), delay=30)
    page.keyboard.press("Enter")
    page.get_by_text("rail 1 of").wait_for()
    assert page.locator("#undo").is_disabled()
    assert cuts(planned) == []


def test_miscut_flaw_not_today_and_another_piece_are_recorded_as_they_are_told(
    saw: Open, planned: Shop, tab: Tab
) -> None:
    miscut = several_rails(planned)
    page = at_saw(saw, tab)
    to_piece(page, miscut)
    touch(page, "#miscut")
    touch(page, "text=Rail 1:")
    touch(page, "text=Scrap")
    with page.expect_response("**/saw/cut"):
        for _ in miscut.piece.rails:
            touch(page, "#main-key")
    page.get_by_text("goes into the next plan").wait_for()
    left, flawed = pieces(planned)[:2]
    to_piece(page, left)
    touch(page, "#not-today")
    with page.expect_response("**/saw/cut"):
        touch(page, "text=not found")
    to_piece(page, flawed)
    touch(page, "#flaw")
    for words in ("2", "Take it", "3", "1/2"):
        touch(page, f"dialog button:text-is('{words}')")
    with page.expect_response("**/saw/cut"):
        touch(page, "dialog button:text-is('Take it')")
    kinds = [row.kind for row in entry_rows(planned, last=3)]
    assert kinds == ["left", "left", "cut"]
    moved = next(row for row in entry_rows(planned) if row.kind == "cut").moved
    told = [(word(place), length) for place, length in moved]
    assert ("scrap (miscut)", miscut.piece.rails[0].length) in told


def test_undo_takes_back_the_last_rail_and_an_owner_undoes_what_is_recorded(
    saw: Open, planned: Shop, tab: Tab
) -> None:
    first = pieces(planned)[0]
    page = at_saw(saw, tab)
    touch(page, "#main-key")
    touch(page, "#undo")
    page.get_by_text("rail 1 of").wait_for()
    with page.expect_response("**/saw/cut"):
        cut_piece(page, first)
    touch(page, "#pieces")
    touch(page, f"dialog button:has-text('{first.piece.number}: cut by')")
    touch(page, "text=Undo it in the record")
    page.get_by_text("The piece waits again").wait_for()
    assert pieces(planned)[0].piece.number == first.piece.number
