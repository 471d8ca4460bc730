"""The rack: what comes, what is found, corrected, flawed, thrown away; each on both databases."""

import pytest
from sqlalchemy import func
from sqlmodel import select

from stockroom.record.database import reading
from stockroom.record.tables import Line
from stockroom.refusals import Clash, Refused, Unknown, Unreadable
from stockroom.services.insight.shop_numbers import waste_numbers
from stockroom.services.rack import pieces as rack
from stockroom.services.rack.pieces import Arrival
from stockroom.services.record.undo import undo
from stockroom.services.saw.part_with import part_with
from stockroom.services.saw.unlabelled import unlabelled
from stockroom.services.shop import Shop

STICKS = (Arrival(3_002_000), Arrival(2_998_500))


def test_received_sticks_lie_on_the_rack_at_their_measured_lengths(shop: Shop) -> None:
    pieces = rack.receive(shop, "ash-22", "b7", STICKS, "A3")
    assert [(p.id, p.length, p.batch, p.spot, p.kind) for p in pieces] == [
        (1, 3_002_000, "B7", "A3", "stick"),
        (2, 2_998_500, "B7", "A3", "stick"),
    ]
    assert [p.id for p in rack.find(shop)] == [2, 1]


def test_an_offcut_that_no_list_knew_gets_a_number_and_its_flaws(shop: Shop) -> None:
    flaws = ((100_000, 120_000),)
    piece = rack.log_found(shop, "LEAF-40", "g1", Arrival(800_000, flaws=flaws), "C2")
    assert (piece.kind, piece.length, piece.flaws) == ("offcut", 800_000, flaws)


def test_anything_over_a_length_means_clear_of_flaws_over_it(shop: Shop) -> None:
    rack.log_found(shop, "ASH-22", "b1", Arrival(900_000, flaws=((450_000, 460_000),)))
    clear = rack.log_found(shop, "ASH-22", "b1", Arrival(600_000))
    assert [p.id for p in rack.find(shop, "ASH-22", at_least=500_000)] == [clear.id]


def test_pieces_are_found_by_batch_kind_and_place(shop: Shop) -> None:
    rack.receive(shop, "ASH-22", "b1", STICKS, "A3")
    offcut = rack.log_found(shop, "ASH-22", "b2", Arrival(700_000), "C2")
    assert rack.find(shop, batch="b2") == [offcut]
    assert rack.find(shop, kind="offcut") == [offcut]
    assert rack.find(shop, spot="c") == [offcut]


def test_an_unknown_profile_is_refused_with_the_near_ones(shop: Shop) -> None:
    with pytest.raises(Unknown) as refused:
        rack.find(shop, "ASH-23")
    assert refused.value.near == ("ASH-22",)


def test_a_remeasured_piece_keeps_the_difference_in_the_ledger(shop: Shop) -> None:
    piece = rack.receive(shop, "ASH-22", "b1", STICKS)[0]
    before, after = rack.remeasure(shop, piece.id, 2_950_000, "end was split")
    assert (before.length, after.length) == (3_002_000, 2_950_000)
    rack.remeasure(shop, piece.id, 2_951_000, "tape slipped")
    assert rack.find(shop)[0].length == 2_951_000


def test_a_flaw_beyond_the_end_is_refused_and_leaves_no_trace(shop: Shop) -> None:
    piece = rack.log_found(shop, "ASH-22", "b1", Arrival(700_000))
    with pytest.raises(Refused, match="is not inside"):
        rack.mark_flaw(shop, piece.id, 690_000, 710_000)
    assert rack.find(shop)[0].flaws == ()


def test_a_piece_with_a_flaw_near_its_end_cannot_be_remeasured_shorter(shop: Shop) -> None:
    piece = rack.log_found(shop, "ASH-22", "b1", Arrival(700_000, flaws=((600_000, 650_000),)))
    with pytest.raises(Refused, match="beyond the new length"):
        rack.remeasure(shop, piece.id, 640_000, "tape")


def test_a_piece_written_off_is_gone_and_says_so(shop: Shop) -> None:
    piece = rack.log_found(shop, "ASH-22", "b1", Arrival(700_000))
    rack.write_off(shop, piece.id, "twisted")
    assert rack.find(shop) == []
    with pytest.raises(Clash, match="has left the rack"):
        rack.write_off(shop, piece.id, "again")


def test_a_number_that_no_piece_ever_had_is_unknown(shop: Shop) -> None:
    with pytest.raises(Unknown, match="no piece '99'"):
        rack.move(shop, 99, "A1")


@pytest.mark.parametrize("numbers", [(5, 5), (0, 6), (-1, 6)])
def test_numbers_given_for_new_pieces_must_be_free(shop: Shop, numbers: tuple[int, int]) -> None:
    sticks = [Arrival(3_000_000, number=number) for number in numbers]
    with pytest.raises(Refused):
        rack.receive(shop, "ASH-22", "b1", sticks)
    assert rack.find(shop) == []


def test_a_moved_piece_is_where_it_was_put_last(shop: Shop) -> None:
    piece = rack.log_found(shop, "ASH-22", "b1", Arrival(700_000), "A1")
    rack.move(shop, piece.id, "B4")
    assert rack.move(shop, piece.id, "B5").spot == "B5"


def parted(shop: Shop, place: str) -> int:
    """How much of all moulding has left the shop as this, um."""
    with reading(shop.engine) as session:
        asked = select(func.coalesce(func.sum(Line.length_um), 0)).where(Line.place == place)
        return int(session.exec(asked).one())


def test_a_length_sold_leaves_under_its_name_and_the_rest_goes_back(shop: Shop) -> None:
    piece = rack.receive(shop, "ASH-22", "b1", [Arrival(3_000_000)], "A3")[0]
    sold = part_with(shop, piece.id, [1_200_000], "sold", "R. Aldous")
    # By hand: 3000 mm less a trim of 10, the length, and one cut: a kerf of 3.2 mm at 45 degrees is
    # 4.526 along the stick, and 0.5 cleans it up.
    (offcut,) = sold.offcuts
    assert (parted(shop, "sold"), offcut.length) == (1_200_000, 1_784_974)
    assert (offcut.batch, offcut.spot, offcut.kind, offcut.ends) == (
        "B1", "A3", "offcut", ("square", "factory"))  # fmt: skip
    assert [p.id for p in rack.find(shop)] == [offcut.id]
    assert [p.id for p in unlabelled(shop)] == [offcut.id]
    (use,) = waste_numbers(shop, "profile")
    assert (use.rails, use.scrap) == (0, 10_000)
    undo(shop)
    assert (parted(shop, "sold"), rack.find(shop)) == (0, [piece])


def test_a_sample_corner_is_mitred_and_cut_where_the_shortest_stretch_yields_it(
    shop: Shop,
) -> None:
    flaws = ((400_000, 420_000),)
    piece = rack.log_found(shop, "ASH-22", "b1", Arrival(1_500_000, flaws=flaws))
    corner = part_with(shop, piece.id, [100_000, 100_000], "sample", "", 190_000)
    # The stretch of 400 mm before the flaw gives both; 190 mm of it are too short to keep.
    (offcut,) = corner.offcuts
    assert (offcut.length, offcut.ends) == (1_080_000, ("cut", "cut"))
    assert (parted(shop, "sample"), corner.gone) == (200_000, 200_000)


def test_a_whole_piece_is_given_away_uncut_and_what_cannot_be_is_refused(shop: Shop) -> None:
    first, second = rack.receive(shop, "ASH-22", "b1", STICKS)
    gone = part_with(shop, first.id, [], "gift", "the school")
    assert (gone.offcuts, parted(shop, "gift")) == ((), 3_002_000)
    with pytest.raises(Refused, match="no stretch of 3000 mm"):
        part_with(shop, second.id, [1_500_000, 1_500_000], "sold", "")
    with pytest.raises(Unreadable, match="sold, sample or gift"):
        part_with(shop, second.id, [500_000], "lent", "")
    with pytest.raises(Clash, match="has left the rack: gift by ada"):
        part_with(shop, first.id, [500_000], "sold", "")
    assert [p.id for p in rack.find(shop)] == [second.id]
