"""The demo's order list beside a count of its past that shares nothing with the program."""

import csv
from datetime import timedelta

import pytest

from demo.monday import HERE
from demo.workshop import MONDAY, make_workshop
from stockroom.record.database import reading
from stockroom.services.shop import Shop
from stockroom.services.weekly.profile_state import Shelf, shelves_of
from stockroom.services.weekly.review import OrderLine, reorder

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
def free_lines(shop: Shop) -> list[tuple[OrderLine, Shelf]]:
    """The lines of spare sticks alone, of profiles whose batches need not match."""
    with reading(shop.engine) as session:
        shelves = {shelf.profile.code: shelf for shelf in shelves_of(session, shop)}
    return [(line, shelves[line.profile]) for line in reorder(shop)
            if not (line.for_short or line.for_jobs or shelves[line.profile].profile.batch_matched)
            and line.spare]  # fmt: skip


def test_the_odds_of_each_line_are_those_of_an_independent_count(
    free_lines: list[tuple[OrderLine, Shelf]],
) -> None:
    assert len(free_lines) >= 5
    for line, shelf in free_lines:
        assert line.spare is not None
        windows = counted(shelf, line.spare.days)
        for sticks in range(line.for_expected + 1):
            short = sum(want > sticks for want in windows) / len(windows)
            assert line.spare.falls_short(sticks) == pytest.approx(short, abs=0.12), line.profile
        most = max(windows)
        assert line.for_expected <= most + 1, line.profile


def test_the_book_that_is_counted_is_the_one_on_disk(
    shop: Shop, free_lines: list[tuple[OrderLine, Shelf]]
) -> None:
    for line, shelf in free_lines:
        book = frames_on_disk(line.profile, shop.settings.large_job)
        asked = sum(len(ask.pairs) for ask in shelf.asked.asks)
        assert asked >= book > 0, line.profile
