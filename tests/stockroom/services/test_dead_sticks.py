"""Whole sticks that a year's jobs do not reach, in money."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from stockroom.services.insight.dead_sticks import dead_sticks
from stockroom.services.past.old_book import load_past
from stockroom.services.shop import Shop
from tests.stockroom.conftest import assert_true, stocked
from tests.stockroom.hard.shopwork import sticks
from tests.stockroom.services.test_old_book import HEAD, book


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """A stocked shop whose record must be true when the test ends."""
    made = stocked(str(tmp_path / "shop.db"))
    yield made
    assert_true(made)


def test_sticks_beyond_a_years_jobs_are_named_with_their_money(shop: Shop, tmp_path: Path) -> None:
    # Four frames of 2 x (535 + 435) mm in the year: a stick of 3 m yields one and a half.
    path = tmp_path / "past.csv"
    days = ("2025-11-30", "2026-02-02", "2026-05-04", "2026-08-03")
    path.write_text(HEAD + "".join(f"{day},ASH-22,500,400,\n" for day in days))
    load_past(shop, path)
    sticks(shop, 3)
    assert dead_sticks(shop) == []
    sticks(shop, 4)
    (found,) = dead_sticks(shop)
    assert (found.profile, found.sticks, found.beyond, found.money) == ("ASH-22", 7, 4, 4 * 1_850)


def test_a_busy_profile_has_none_and_a_young_shop_cannot_tell(shop: Shop, tmp_path: Path) -> None:
    sticks(shop, 5)
    assert dead_sticks(shop) == []
    (found,) = dead_sticks(shop, anyway=True)
    assert found.beyond == 5
    load_past(shop, book(tmp_path, 52))
    assert dead_sticks(shop) == []
