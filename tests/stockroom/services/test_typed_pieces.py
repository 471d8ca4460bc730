"""Lengths typed one after the other, as a delivery or a sale is."""

import pytest

from stockroom.refusals import Unreadable
from stockroom.services.rack.typed_pieces import (
    parted_typed,
    several_typed,
    sticks_typed,
    typed_whole,
)
from stockroom.settings.shop_settings import Settings

MM, INCHES = Settings(unit="mm"), Settings(unit="in")
INCH = 25_400


def lengths_of(texts: list[str], settings: Settings) -> list[int]:
    """All lengths of some texts that a shell parted."""
    return [um for text in typed_whole(texts) for um in sticks_typed(text, settings)]


def test_a_comma_and_a_blank_part_lengths_and_a_comma_alone_is_a_decimals() -> None:
    typed = several_typed("2x 2998,5, 3001\n\n2000")
    assert typed == ["2x 2998,5", "3001", "2000"]
    assert [um for part in typed for um in sticks_typed(part, MM)] == [
        2_998_500, 2_998_500, 3_001_000, 2_000_000]  # fmt: skip


@pytest.mark.parametrize("typed", ["5x", "0x 3002", "x 3002", "1000x 3002"])
def test_a_count_without_its_length_is_refused_as_it_was_typed(typed: str) -> None:
    with pytest.raises(Unreadable, match=typed):
        sticks_typed(typed, MM)


@pytest.mark.parametrize(
    ("texts", "lengths"),
    [
        (["12x", "3002", "mm"], [3_002_000] * 12),
        (["2998", "mm", "2x", "3 m"], [2_998_000, 3_000_000, 3_000_000]),
        (["3002", "2998"], [3_002_000, 2_998_000]),
        (["3 m", "2998,5"], [3_000_000, 2_998_500]),
    ],
)
def test_what_a_shell_parted_at_its_blanks_is_one_length(
    texts: list[str], lengths: list[int]
) -> None:
    assert lengths_of(texts, MM) == lengths


@pytest.mark.parametrize(
    ("texts", "sixteenths"),
    [
        (["96", "1/2"], [1_544]),
        (["3x", "96", "1/2"], [1_544] * 3),
        (["96", "1/2", "97", "7/8 in", "98"], [1_544, 1_566, 1_568]),
        (["96 1/2", "97"], [1_544, 1_552]),
    ],
)
def test_a_fraction_belongs_to_the_number_before_it(
    texts: list[str], sixteenths: list[int]
) -> None:
    assert lengths_of(texts, INCHES) == [n * INCH // 16 for n in sixteenths]


@pytest.mark.parametrize("texts", [["3002", "2x"], ["2x", "2x", "3002"], ["mm", "3002"]])
def test_texts_that_are_no_lengths_together_are_refused(texts: list[str]) -> None:
    with pytest.raises(Unreadable):
        lengths_of(texts, MM)


def test_lines_of_a_page_stand_each_for_itself() -> None:
    assert parted_typed(["4", "1/2"], INCHES) == [4 * INCH, INCH // 2]
