"""Joining and weight against published and computed figures."""

import pytest

from stockroom.frame.joining import glass_grams, longest_screw, v_nail, wood_density


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


def test_a_screw_stays_inside_ledge_and_stretcher() -> None:
    assert longest_screw(6_000, 19_000, 3_000) == 22_000


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="margin leaves"):
        longest_screw(1_000, 1_000, 2_000)
    with pytest.raises(ValueError, match="below nothing"):
        longest_screw(-1, 1, 0)
    with pytest.raises(ValueError, match="height"):
        v_nail(0)
