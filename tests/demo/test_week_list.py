"""The demo's order list beside a count of its past that shares nothing with the program."""

import csv
from dataclasses import replace
from datetime import timedelta

import pytest

from demo.monday import HERE
from demo.workshop import MONDAY, make_workshop
from stockroom.buying.spare import Spare
from stockroom.record.database import reading
from stockroom.services.shop import Shop
from stockroom.services.weekly.profile_state import Shelf, shelves_of
from stockroom.services.weekly.review import reorder, what_spare_buys
from stockroom.services.weekly.spare_held import spare_of

GAP, TRIM = 5_400, 20_000


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    """The invented workshop on its Monday."""
    return make_workshop(tmp_path_factory.mktemp("week") / "shop.db")


def wanted(pieces: list[int], stick: int, rails: list[int]) -> int:
    """Sticks bought for these rails: longest first, each into the first piece that takes it."""
    room, bought = sorted(pieces), 0
    for rail in sorted(rails, reverse=True):
        at = next((at for at, left in enumerate(room) if left >= rail), None)
        if at is None:
            room.append(stick - TRIM)
            bought, at = bought + 1, len(room) - 1
        room[at] -= rail + GAP
        room.sort()
    return bought


def frames_on_disk(code: str, most: int) -> int:
    """How many frames the old book's own file has of a profile, in jobs of no more than so many."""
    with (HERE / "past.csv").open(newline="") as file:
        counts = [int(row.get("quantity") or 1) for row in csv.DictReader(file)
                  if row["profile"] == code]  # fmt: skip
    return sum(count for count in counts if count <= most)


def counted(shelf: Shelf, days: int) -> list[int]:
    """The sticks that each window of the past year wanted, beyond the rack, day by day."""
    frames = [(ask.day, [rail for pair in ask.pairs for rail in pair * 2])
              for ask in shelf.asked.asks]  # fmt: skip
    rack = [piece.length for piece in shelf.rack] + [
        shelf.profile.stick_length_um - TRIM for count in shelf.coming for _ in range(count)
    ]
    first = MONDAY - timedelta(7 * shelf.asked.forecast.recent)
    found = []
    for back in range(days, (MONDAY - first).days):
        start = MONDAY - timedelta(back)
        rails = [rail for day, its in frames if start <= day < start + timedelta(days)
                 for rail in its]  # fmt: skip
        found.append(wanted(rack, shelf.profile.stick_length_um, rails))
    return found


@pytest.fixture(scope="module")
def spares(shop: Shop) -> list[tuple[Spare, Shelf]]:
    """The spare sticks of profiles whose batches need not match, were no job waiting and each
    promised for the day it comes in."""
    with reading(shop.engine) as session:
        shelves = shelves_of(session, shop)
    free = [replace(shelf, notice=0, waiting=()) for shelf in shelves
            if shelf.expects and not shelf.profile.batch_matched]  # fmt: skip
    return [(spare_of(shop, shelf, 0), shelf) for shelf in free]


def test_the_odds_of_each_line_are_those_of_an_independent_count(
    spares: list[tuple[Spare, Shelf]],
) -> None:
    assert sum(spare.sticks > 0 for spare, _ in spares) >= 5
    for spare, shelf in spares:
        windows = counted(shelf, spare.days)
        for sticks in range(spare.sticks + 1):
            short = sum(want > sticks for want in windows) / len(windows)
            assert spare.falls_short(sticks) == pytest.approx(short, abs=0.12), shelf.profile.code
        assert spare.sticks <= max(windows) + 1, shelf.profile.code


def test_the_list_says_what_its_spare_sticks_cost_and_what_they_buy(shop: Shop) -> None:
    lines = reorder(shop)
    fact = what_spare_buys(lines)
    assert fact is not None
    told = {name: int(str(value)) for name, value in fact.about.items()}
    spare = [line for line in lines if line.for_expected]
    assert told["sticks"] == sum(line.for_expected for line in spare)
    assert told["price_minor"] == sum(line.for_expected * (line.stick_price or 0) for line in spare)
    assert told["keep_minor"] == pytest.approx(told["price_minor"] / 4, abs=1)
    # Jobs are promised in a fortnight, so that little must be kept: under $1,000, not $2,300.
    assert told["price_minor"] < 100_000
    assert told["with"] < 10 < 100 < told["without"]


def test_the_book_that_is_counted_is_the_one_on_disk(
    shop: Shop, spares: list[tuple[Spare, Shelf]]
) -> None:
    for _, shelf in spares:
        book = frames_on_disk(shelf.profile.code, shop.settings.large_job)
        asked = sum(len(ask.pairs) for ask in shelf.asked.asks)
        assert asked >= book > 0, shelf.profile.code
