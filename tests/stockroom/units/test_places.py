"""Places on the rack come in one order everywhere: as one walks along them."""

from stockroom.units.places import place_order
from stockroom.views.rack_row import RackRow, placed

WALK = ["2", "10", "A2", "a3", "A10", "B1", "shelf 9", "shelf 10", ""]


def test_a_walk_goes_by_numbers_in_capitals_or_not_and_ends_where_no_place_is_known() -> None:
    assert sorted(sorted(WALK), key=place_order) == WALK


def test_the_picture_of_the_rack_goes_the_way_of_the_walk() -> None:
    rows = [RackRow(n, "ASH-22", "B7", "offcut", spot, 500_000, (), None)
            for n, spot in enumerate(sorted(WALK))]  # fmt: skip
    assert [row.spot for row in placed(rows)] == WALK
