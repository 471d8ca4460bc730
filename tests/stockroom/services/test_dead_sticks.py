"""Whole sticks that a year's jobs do not reach, in money."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from stockroom.record.catalogue import profile_named
from stockroom.record.database import reading
from stockroom.services.catalogue.profiles import change_profile
from stockroom.services.catalogue.suppliers import change_supplier
from stockroom.services.insight.dead_sticks import DeadSticks, dead_said, dead_sticks
from stockroom.services.insight.ready_made import rails_of
from stockroom.services.past.old_book import load_past
from stockroom.services.shop import Shop
from tests.stockroom.conftest import assert_true, stocked, told
from tests.stockroom.hard.shopwork import sticks
from tests.stockroom.services.test_old_book import HEAD, book

BEST = {"give_back": "give them back", "ready_made": "frames, if those sell",
        "keep": "keep them, and buy none"}  # fmt: skip


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
    assert_money_by_hand(shop, found)
    (said,) = map(told, dead_said(shop))
    assert said.startswith(
        "ASH-22: 4 of 7 sticks ($74.00 as bought) are more than a year takes and lie 1.8 years in "
        "the mean, which costs $33.92. Given back $14.80 of it is lost"
    )
    best = BEST[min(found.losses, key=found.losses.__getitem__)]
    assert said.endswith(
        "marked down by less than 45 % they lose less than on the rack. Best by money: " + best
    )
    # A carriage that takes all that giving back saves.
    change_supplier(shop, "LARK", {"carriage": "60"})
    (dear,) = dead_sticks(shop)
    assert dear.giving_back == 7_400
    assert "Best by money: give them back" not in told(*dead_said(shop))


def assert_money_by_hand(shop: Shop, found: DeadSticks) -> None:
    """What each way loses of four sticks at 18.50, three of which a year takes."""
    # They are used 1 1/3, 1 2/3, 2 and 2 1/3 years from now, at a quarter of the price a year.
    assert found.years == pytest.approx(11 / 6)
    assert found.keeping == round(1_850 / 4 * 22 / 3) == 3_392
    assert found.giving_back == 4 * 1_850 / 5 == 1_480
    # No more frames than the length of four sticks has, and no room for the smallest beside them.
    with reading(shop.engine) as session:
        profile = profile_named(session, "ASH-22")
    perimeters = [2 * sum(rails_of(shop, profile, size)) for size in shop.settings.ready_made]
    usable = 4 * (profile.stick_length_um - 20_000)
    assert found.frames * min(perimeters) <= usable
    used = (found.moulding or 0) / 1_850 * profile.stick_length_um
    assert usable - min(perimeters) * 2 <= used <= usable
    assert found.losses == {"give_back": 1_480, "keep": 3_392, "ready_made": 7_400 - (
        found.moulding or 0)}  # fmt: skip


def test_sticks_that_nobody_asks_for_lose_all_of_their_price_on_the_rack(
    shop: Shop, tmp_path: Path
) -> None:
    load_past(shop, book(tmp_path, 52, profile="leaf-40"))
    sticks(shop, 2)
    (found,) = dead_sticks(shop)
    assert (found.beyond, found.years, found.keeping, found.giving_back) == (2, None, 3_700, 740)
    assert "and no job asks for them" in told(found.said)
    change_profile(shop, "ASH-22", {"price_per_stick": ""})
    assert told(*dead_said(shop)) == (
        "ASH-22: 2 of 2 sticks are more than a year takes: sell them as ready-made frames "
        f"({found.frames} of them), give them back, or mark them down"
    )


def test_a_busy_profile_has_none_and_a_young_shop_cannot_tell(shop: Shop, tmp_path: Path) -> None:
    sticks(shop, 5)
    assert dead_sticks(shop) == []
    (found,) = dead_sticks(shop, anyway=True)
    assert found.beyond == 5
    load_past(shop, book(tmp_path, 52))
    assert dead_sticks(shop) == []
