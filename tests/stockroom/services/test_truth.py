"""Margins, tight fits and unknown batches as the shop meets them."""

import pytest

from stockroom.refusals import Unreadable
from stockroom.services.morning.day_plan import plan_day
from stockroom.services.morning.problem import Choices
from stockroom.services.rack import pieces as rack
from stockroom.services.rack.pieces import Arrival
from stockroom.services.rack.typed_sightings import ends_told
from stockroom.services.record.history import piece_life
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop, change_setting, open_shop
from stockroom.views.sheet import Sheet
from stockroom.views.sheet_rows import sayings
from stockroom.words.language import word
from tests.stockroom.hard.shopwork import MONDAY, UNTIL, accepted, sticks, take


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


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_a_piece_whose_label_is_on_a_factory_end_is_cut_from_the_other_and_drawn_so(
    shop: Shop, where: str
) -> None:
    found = Arrival(2_200_000, ends=("factory", "cut"))
    rack.log_found(shop, "ASH-22", "B1", found, "A1")
    take(shop)
    (piece,) = planned(shop, where).pieces
    starts = [rail.start for rail in piece.rails]
    assert starts == sorted(starts, reverse=True)
    assert piece.rails[0].start + piece.rails[0].length == 2_200_000
    assert "from the far end towards the label: rail 1, 2, 3, 4" in map(word, sayings(piece))


def test_four_rails_of_3_metres_leave_1030_as_the_tape_says_and_20_are_cutting_loss(
    shop: Shop, where: str
) -> None:
    # A blade of 3.2 mm takes 4.526 along the back edge; with 0.474 cleaned up a cut takes 5 mm.
    change_setting(shop, "clean_up", "0.474 mm")
    (stick,) = sticks(shop)
    take(shop)
    shop = open_shop(where, "ada", MONDAY)
    (piece,) = planned(shop, where).pieces
    assert [part.length for part in piece.parts if part.kind == "leftover"] == [1_030_000]
    done = record_cut(shop, SawReport(accepted(shop), stick, leftovers=(1_030_000,)))
    assert (done.difference, [one.length for one in done.offcuts]) == (0, [1_030_000])
    (life,) = [row for row in piece_life(shop, stick).entries if row.kind == "cut"]
    # Four rails of 1,940 mm, one trim of 10, and the far end's trim is still on what is left.
    moved = {word(place): length for place, length in life.moved}
    assert (moved["cutting loss"], moved["scrap (end trim)"]) == (20_000, 10_000)


def test_a_piece_s_life_leaves_out_what_came_with_it(shop: Shop) -> None:
    first, *_ = sticks(shop, 123)
    (entry,) = piece_life(shop, first).entries
    assert entry.about == (("piece", str(first)),)
    assert [(word(place), um) for place, um in entry.moved] == [(f"rack {first}", 3_000_000)]


def test_a_found_piece_may_be_told_what_its_ends_are(shop: Shop) -> None:
    found = Arrival(900_000, ends=ends_told("cut factory"))
    assert rack.log_found(shop, "ASH-22", "B1", found, "A1").ends == ("cut", "factory")
    with pytest.raises(Unreadable, match="two of factory, cut, square"):
        ends_told("bitten")
