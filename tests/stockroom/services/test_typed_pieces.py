"""Lengths typed one after the other, as a delivery or a sale is."""

import pytest

from stockroom.refusals import Unreadable
from stockroom.services.rack.typed_pieces import several_typed, sticks_typed
from stockroom.settings.shop_settings import Settings

MM = Settings(unit="mm")


def test_a_comma_and_a_blank_part_lengths_and_a_comma_alone_is_a_decimals() -> None:
    typed = several_typed("2x 2998,5, 3001\n\n2000")
    assert typed == ["2x 2998,5", "3001", "2000"]
    assert [um for part in typed for um in sticks_typed(part, MM)] == [
        2_998_500, 2_998_500, 3_001_000, 2_000_000]  # fmt: skip


@pytest.mark.parametrize("typed", ["5x", "0x 3002", "x 3002", "1000x 3002"])
def test_a_count_without_its_length_is_refused_as_it_was_typed(typed: str) -> None:
    with pytest.raises(Unreadable, match=typed):
        sticks_typed(typed, MM)
