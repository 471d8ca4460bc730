"""The planner's reasons in the shop's unit."""

from stockroom.services.morning.sheets import in_shop_unit
from stockroom.settings.shop_settings import Settings


def test_every_length_of_a_reason_is_said_in_the_shops_unit() -> None:
    said = "for J12: at least 3000 mm of sticks must be opened, 6000.5 mm are"
    assert in_shop_unit(said, Settings()) == (
        "for J12: at least 118 1/8 in of sticks must be opened, 236 1/4 in are"
    )
    assert in_shop_unit(said, Settings(unit="mm")) == said


def test_the_least_to_buy_is_never_said_shorter_than_it_is() -> None:
    # 1000 mm are 39.37 in: 39 3/8 is longer, 39 5/16 would be too short; 990 mm are 38.976 in.
    said = "1 more stick, {} mm or longer would do"
    for mm, inches in (("1000", "39 3/8"), ("990", "39"), ("991", "39 1/16"), ("25.4", "1")):
        shown = in_shop_unit(said.format(mm), Settings())
        assert shown == f"1 more stick, {inches} in or longer would do"
    assert "1000.5 mm or longer" in in_shop_unit(said.format("1000.001"), Settings(unit="mm"))
