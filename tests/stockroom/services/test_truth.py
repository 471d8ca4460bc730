"""Margins, tight fits and unknown batches as the shop meets them."""

import pytest

from stockroom.refusals import Unreadable
from stockroom.services.morning.day_plan import plan_day
from stockroom.services.morning.problem import Choices
from stockroom.services.rack import pieces as rack
from stockroom.services.rack.pieces import Arrival
from stockroom.services.rack.typed_sightings import ends_told
from stockroom.services.record.history import piece_life
from stockroom.services.shop import Shop, change_setting, open_shop
from stockroom.views.sheet import Sheet
from tests.stockroom.hard.shopwork import MONDAY, UNTIL, sticks, take


def planned(shop: Shop, where: str, *, tight: bool = False) -> Sheet:
    return plan_day(open_shop(where, "ada", MONDAY), Choices(UNTIL, seconds=5, tight=tight))


def test_what_is_kept_back_on_offcuts_is_taken_only_where_the_framer_allows_it(
    shop: Shop, where: str
) -> None:
    # Two rails of 535 and two of 435 mm with three cuts of 5.026 between them: 1955.078 mm.
    rack.log_found(shop, "ASH-22", "B1", Arrival(1_956_000), "A1")
    take(shop)
    change_setting(shop, "margin", "3 mm")
    assert planned(shop, where).tally.frames == 0
    (piece,) = planned(shop, where, tight=True).pieces
    assert piece.tight
    change_setting(shop, "margin", "0")
    (piece,) = planned(shop, where).pieces
    assert not piece.tight


def test_four_offcuts_without_a_batch_do_not_make_a_matched_frame(shop: Shop, where: str) -> None:
    for _ in range(4):
        rack.log_found(shop, "LEAF-40", "UNKNOWN", Arrival(700_000), "A1")
    take(shop, profile="LEAF-40", one_batch="yes")
    assert planned(shop, where).tally.frames == 0
    (stick,) = sticks(shop, profile="LEAF-40")
    assert [piece.number for piece in planned(shop, where).pieces] == [stick]


def test_a_piece_s_life_leaves_out_what_came_with_it(shop: Shop) -> None:
    first, *_ = sticks(shop, 5)
    (entry,) = piece_life(shop, first).entries
    assert entry.about == (f"piece {first}",)
    assert entry.moved == ((f"rack {first}", 3_000_000),)


def test_a_found_piece_may_be_told_what_its_ends_are(shop: Shop) -> None:
    found = Arrival(900_000, ends=ends_told("cut factory"))
    assert rack.log_found(shop, "ASH-22", "B1", found, "A1").ends == ("cut", "factory")
    with pytest.raises(Unreadable, match="two of factory, cut, square"):
        ends_told("bitten")
