"""Joining and weight against published and computed figures."""

import pytest

from stockroom.frame.joining import (
    NailPlace,
    Screw,
    float_screw,
    glass_grams,
    nail_place,
    v_nail,
    wood_density,
)


@pytest.mark.parametrize(
    ("height", "nail"),
    # Three quarters of the height, from 7, 10, 12 and 15 mm: lionpic.co.uk,
    # ukpictureframingsupplies.co.uk. The pairs are computed here.
    [(9_000, None), (10_000, 7_000), (14_000, 10_000), (16_000, 12_000), (40_000, 15_000)],
)
def test_a_v_nail_is_at_most_three_quarters_of_the_height(height: int, nail: int | None) -> None:
    assert v_nail(height) == nail


def test_a_16_by_20_inch_pane_of_2_mm_glass_weighs_1032_grams() -> None:
    # Computed here from the published 2.5 kg/m2 for each millimetre.
    assert glass_grams(406_400, 508_000, 2_000) == pytest.approx(1032, abs=0.5)


def test_white_ash_weighs_672_kilograms_a_cubic_metre() -> None:
    # Specific gravity 0.60: FPL Wood Handbook; the factor 1.12 is from memory.
    assert wood_density(0.60) == pytest.approx(672)


@pytest.mark.parametrize(
    ("height", "wall", "ledge", "place", "nail"),
    [
        # A float 54 mm high: the nail goes into a ledge of 8 or a wall of 9, which hold none.
        (54_000, 9_000, 8_000, NailPlace("wall", 9_000), None),
        (54_000, 9_000, 14_000, NailPlace("ledge", 14_000), 10_000),
        (54_000, None, None, NailPlace("back", 54_000), 15_000),
    ],
)
def test_the_wood_where_the_nail_goes_decides_and_not_a_floats_height(
    height: int, wall: int | None, ledge: int | None, place: NailPlace, nail: int | None
) -> None:
    assert nail_place(height, wall, ledge) == place
    assert v_nail(place.thick_um) == nail


@pytest.mark.parametrize(
    ("ledge", "bar", "canvas", "screw"),
    [
        # Half the bar; a thin bar keeps a quarter inch; a very thin one takes no screw.
        (8_000, 19_000, 38_000, Screw(17_500, 9_500, 28_500)),
        (8_000, 10_000, 38_000, Screw(11_650, 3_650, 34_350)),
        (8_000, 6_000, 38_000, None),
    ],
)
def test_a_screw_goes_at_most_half_into_the_bar_and_stops_short_of_the_canvas(
    ledge: int, bar: int, canvas: int, screw: Screw | None
) -> None:
    assert float_screw(ledge, bar, canvas) == screw


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="no thicker than"):
        float_screw(1_000, 20_000, 19_000)
    with pytest.raises(ValueError, match="below nothing"):
        float_screw(-1, 1, 1)
    with pytest.raises(ValueError, match="height"):
        v_nail(0)
