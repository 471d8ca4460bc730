"""The hang against published figures."""

import pytest

from stockroom.hanging import load_needed, tension_ratio, wire_angle


def test_a_wire_40_cm_wide_raised_3_cm_pulls_as_published() -> None:
    # A worked answer at jiskha.com, question 1291075462: 40 N gives 134.82 N.
    assert 40 * tension_ratio(wire_angle(400_000, 30_000)) == pytest.approx(134.82, abs=0.01)


@pytest.mark.parametrize(
    ("angle", "ratio"),
    [(30, 1.0), (15, 1.9319), (5, 5.7369)],  # Computed here from T/W = 1/(2 sin a).
)
def test_a_flatter_wire_pulls_harder(angle: float, ratio: float) -> None:
    assert tension_ratio(angle) == pytest.approx(ratio, abs=5e-5)


def test_a_rope_at_48_2_degrees_from_vertical_pulls_three_quarters_of_the_weight() -> None:
    assert tension_ratio(90 - 48.2) == pytest.approx(0.75, abs=5e-3)  # Young and Freedman


@pytest.mark.parametrize(
    ("kilograms", "angle", "newtons"),
    [(70, 3, 6553.811), (90, 10, 2.54e3), (61, 5, 3.43e3)],  # the first: qammunity 9095786
)
def test_a_walker_on_a_rope_strains_it_as_published(
    kilograms: float, angle: float, newtons: float
) -> None:
    assert kilograms * 9.8 * tension_ratio(angle) == pytest.approx(newtons, rel=2e-3)


def test_number_3_braided_wire_rated_16_lb_breaks_at_more_than_four_times_that() -> None:
    # Paschke, Picture Framing Magazine, February 2013: 16 lb rated, breaks at 68 lb.
    assert load_needed(16) <= 68


@pytest.mark.parametrize("angle", [0, -1, 91])
def test_an_impossible_angle_is_refused(angle: float) -> None:
    with pytest.raises(ValueError, match="angle"):
        tension_ratio(angle)


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="span"):
        wire_angle(0, 1)
    with pytest.raises(ValueError, match="factor"):
        load_needed(1, 0.5)
