"""The rack on the screen: to one scale, inside its columns, right without colour or boxes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.screens.console import width_of
from stockroom.screens.rack_screen import rack_lines
from stockroom.settings.shop_settings import Settings
from stockroom.views.rack_row import RackRow

MM = Settings(unit="mm")
RACK = (
    RackRow(3, "ASH-22", "B6", "offcut", "C2", 1_500_000, ((500_000, 550_000),), 7),
    RackRow(2, "LEAF-40", "G2", "offcut", "", 750_000, (), None),
    RackRow(1, "ASH-22", "B7", "stick", "A3", 3_000_000, (), None),
)


def lines(rows: tuple[RackRow, ...], columns: int) -> list[str]:
    """The rack as plain text."""
    return ["".join(text for text, _ in spans) for spans in rack_lines(rows, MM, columns)]


def test_the_rack_is_drawn_by_place_to_one_scale() -> None:
    assert lines(RACK, 60) == [
        "A3    1   ASH-22   batch B7   stick 3000",
        "► ·························· 3000 ··························",
        "C2    3   ASH-22   batch B6   offcut 1500, held by plan 7",
        "► ·· 500 ···×······ 950 ·······",
        "?     2   LEAF-40   batch G2   offcut 750",
        "► ···· 750 ·····",
    ]


@given(
    st.lists(st.integers(1, 20_000_000), max_size=5), st.text(max_size=60),
    st.sampled_from([48, 80, 132]),
)  # fmt: skip
def test_any_rack_stays_in_its_columns(lengths: list[int], name: str, columns: int) -> None:
    rows = tuple(RackRow(at, name, name, "offcut", name, length, (), None)
                 for at, length in enumerate(lengths))  # fmt: skip
    shown = lines(rows, columns)
    assert len(shown) >= 2 * len(rows)
    assert [line for line in shown if width_of(line) > columns] == []


@pytest.mark.parametrize("rows", [(), RACK[:1]])
def test_the_longest_piece_fills_the_columns(rows: tuple[RackRow, ...]) -> None:
    assert [len(line) for line in lines(rows, 80)[1::2]] == [80] * len(rows)
