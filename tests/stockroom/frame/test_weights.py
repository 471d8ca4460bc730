"""Weights against published densities and hand reckoning."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.frame.sizes import Moulding
from stockroom.frame.weights import (
    DENSITY,
    Weight,
    moulding_boxes,
    moulding_grams,
    moulding_metres,
    moulding_volume_um3,
    section_area_um2,
    sheet_grams,
    species_density,
)
from stockroom.units.lengths import Micrometres as Um

ASH = Moulding("rabbeted", Um(22_000), Um(6_000), Um(14_000))
FLOAT = Moulding("float", Um(12_000), wall_um=Um(12_000), recess_depth_um=Um(38_000))


def test_a_rabbeted_section_is_its_face_by_height_less_its_rabbet() -> None:
    assert section_area_um2(moulding_boxes(ASH, 25_000, 0)) == 22_000 * 25_000 - 6_000 * 14_000


def test_a_float_section_is_its_wall_and_its_ledge() -> None:
    boxes = moulding_boxes(FLOAT, 46_000, 20_000)
    assert section_area_um2(boxes) == 12_000 * 46_000 + 20_000 * 8_000


def test_the_volume_of_mitred_rails_is_that_of_nested_boxes() -> None:
    # Reckoned here another way: an outer block less the holes in it.
    wide, high = 400_000, 300_000
    body, lip = 16_000, 22_000
    block = wide * high * 25_000
    through = (wide - 2 * lip) * (high - 2 * lip) * 11_000
    behind = (wide - 2 * body) * (high - 2 * body) * 14_000
    boxes = moulding_boxes(ASH, 25_000, 0)
    assert moulding_volume_um3(boxes, (Um(wide), Um(high))) == block - through - behind


@given(st.integers(60_000, 3_000_000), st.integers(60_000, 3_000_000))
def test_a_frame_weighs_less_than_its_outer_length_and_more_than_its_inner(
    wide: int, high: int
) -> None:
    boxes = moulding_boxes(ASH, 25_000, 0)
    length = moulding_metres(boxes, (Um(wide), Um(high))) * 1e6
    assert 2 * (wide + high) - 8 * 22_000 < length < 2 * (wide + high)


def test_16_by_20_inches_of_2_mm_glass_weigh_1032_grams() -> None:
    # 2.5 kg/m2 for each millimetre is published (2 mm: 5 kg/m2); the product computed here.
    grams = sheet_grams((Um(406_400), Um(508_000)), 2_000, DENSITY["glass"])
    assert grams == pytest.approx(1032, abs=0.5)


def test_acrylic_is_as_dense_as_published() -> None:
    assert 1180 <= DENSITY["acrylic"] <= 1190  # 1.18 to 1.19 g/cm3, published


@pytest.mark.parametrize(
    ("species", "gravity"),  # Specific gravity at 12 % moisture: FPL Wood Handbook.
    [("basswood", 0.37), ("white ash", 0.60), ("red maple", 0.54), ("ponderosa pine", 0.40),
     ("red pine", 0.46), ("sugar maple", 0.63)],
)  # fmt: skip
def test_a_species_is_as_dense_as_the_handbook_says(species: str, gravity: float) -> None:
    assert species_density(species.upper()) == pytest.approx(gravity * 1120)  # 1.12: from memory


def test_an_unknown_species_is_said_to_be_unknown() -> None:
    assert species_density("") is None
    assert species_density("driftwood") is None


def test_a_pine_frame_is_lighter_than_an_ash_one() -> None:
    boxes, outside = moulding_boxes(ASH, 25_000, 0), (Um(400_000), Um(300_000))
    assert moulding_grams(boxes, outside, 448) < moulding_grams(boxes, outside, 672)


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="rabbet depth"):
        moulding_boxes(ASH, 14_000, 0)
    with pytest.raises(ValueError, match="recess depth"):
        moulding_boxes(FLOAT, 38_000, 20_000)
    with pytest.raises(ValueError, match="ledge"):
        moulding_boxes(FLOAT, 46_000, 0)
    with pytest.raises(ValueError, match="smaller"):
        moulding_volume_um3(moulding_boxes(ASH, 25_000, 0), (Um(40_000), Um(300_000)))
    with pytest.raises(ValueError, match="below nothing"):
        Weight("backing", -1.0, False, "")
