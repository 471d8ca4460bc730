"""Price breaks: what many sticks cost, read as they are typed."""

import pytest

from stockroom.refusals import Unreadable
from stockroom.units.price_breaks import PriceBreaks, read_breaks


def test_breaks_are_read_and_kept_in_one_way() -> None:
    breaks = read_breaks(" 10 : 19,8 ;50: 18.4; ")
    assert breaks.steps == ((10, 1_980), (50, 1_840))
    assert breaks.typed == "10: 19.80; 50: 18.40"
    assert read_breaks(breaks.typed) == breaks


@pytest.mark.parametrize(
    "typed",
    ["", ";", "10", "10 19.80", "x: 3", "1: 19", "0: 5", "-2: 5", "10: 19; 10: 18",
     "50: 18; 10: 19", "10: 18; 50: 18", "10: 18; 50: 19", "10: nan", "10: -1", "999999: 1",
     "; ".join(f"{n}: {50 - n}" for n in range(2, 12))],
)  # fmt: skip
def test_what_does_not_rise_and_fall_is_refused(typed: str) -> None:
    with pytest.raises(Unreadable):
        read_breaks(typed)


def test_each_stick_costs_what_the_last_break_reached_says() -> None:
    breaks = read_breaks("10: 19.80; 50: 18.40")
    assert [breaks.each(2_150, n) for n in (1, 9, 10, 49, 50, 500)] == [
        2_150, 2_150, 1_980, 1_980, 1_840, 1_840
    ]  # fmt: skip
    assert PriceBreaks().each(2_150, 500) == 2_150


@pytest.mark.parametrize(
    ("sticks", "more"),
    [(8, None), (9, None), (10, None), (46, None), (47, 50), (49, 50), (50, None)],
)
def test_more_sticks_are_told_only_where_they_cost_less_in_all(
    sticks: int, more: int | None
) -> None:
    # 9 cost 193.50 and 10 cost 198.00; 46 cost 910.80, 47 cost 930.60, 50 cost 920.00.
    assert read_breaks("10: 19.80; 50: 18.40").cheaper(2_150, sticks) == more
