"""The hang against published figures."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.frame.hanging import Hanging, hang, load_needed, tension_ratio, wire_angle
from stockroom.words.language import Voice


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


@pytest.mark.parametrize("angle", [0, -1, 91])
def test_an_impossible_angle_is_refused(angle: float) -> None:
    with pytest.raises(ValueError, match="angle"):
        tension_ratio(angle)


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="span"):
        wire_angle(0, 1)
    with pytest.raises(ValueError, match="factor"):
        load_needed(1, 0.5)


@pytest.mark.parametrize("share", [Fraction(1, 4), Fraction(3, 10), Fraction(1, 3)])
def test_fixings_sit_a_quarter_to_a_third_down(share: Fraction) -> None:
    # hopartscenter.org/framing-guideline: a quarter to a third of the height.
    hung = hang((600_000, 900_000), 20_000, 2_000, Hanging(fixings=share))
    assert hung.down_um == 900_000 * share


@pytest.mark.parametrize("share", [Fraction(1, 5), Fraction(1, 2)])
def test_fixings_elsewhere_are_refused(share: Fraction) -> None:
    with pytest.raises(ValueError, match="1/4 to 1/3"):
        Hanging(fixings=share)


def test_two_hangers_share_the_weight() -> None:
    hung = hang((600_000, 900_000), 20_000, 2_000, Hanging())
    assert hung.pull_n * 2 == pytest.approx(2 * 9.80665)
    assert hung.rated_kg == pytest.approx(4.0)  # A kilogram each, four times over.
    assert hung.angle is None


def test_a_wire_is_about_one_and_a_half_times_the_width() -> None:
    # govart.com: wire about 1.5 times the width.
    hung = hang((600_000, 900_000), 20_000, 2_000, Hanging(), method="wire")
    assert hung.buy_um == 900_000


def test_a_wire_rises_at_thirty_degrees_and_then_pulls_as_much_as_the_weight() -> None:
    hung = hang((600_000, 900_000), 20_000, 2_000, Hanging(), method="wire")
    assert hung.angle == pytest.approx(30, abs=0.01)
    assert hung.pull_n == pytest.approx(2 * 9.80665, rel=1e-3)  # T/W at 30 degrees is 1.
    assert hung.rated_kg * 0.25 == pytest.approx(2.0, rel=1e-3)  # govart.com: load 25 % at most.


def test_a_flat_wire_is_warned_of() -> None:
    hung = hang((600_000, 900_000), 20_000, 2_000, Hanging(), method="wire", rise_um=30_000)
    said = Voice("on_a_page").say(hung.warnings[0])
    assert "flat, 6 degrees" in said
    assert "4.9 times the weight" in said


@pytest.mark.parametrize(
    ("outside", "grams", "warned"),
    [((600_000, 900_000), 15_001, True), ((600_000, 1_200_001), 2_000, True),
     ((600_000, 1_200_000), 15_000, False)],
)  # fmt: skip
def test_heavy_and_long_works_want_two_people(
    outside: tuple[int, int], grams: float, warned: bool
) -> None:
    # Over 15 kg or 1.2 m: common practice, and a setting.
    assert bool(hang(outside, 20_000, grams, Hanging()).warnings) == warned


@given(
    st.integers(30_000, 3_000_000), st.integers(80_000, 3_000_000), st.floats(1, 400_000),
    st.integers(25, 33),
)  # fmt: skip
def test_the_hook_never_shows_and_the_wire_is_long_enough(
    width: int, height: int, grams: float, percent: int
) -> None:
    rules = Hanging(fixings=Fraction(percent, 100))
    hung = hang((width, height), 20_000, grams, rules, method="wire")
    assert hung.rise_um is not None
    assert hung.taut_um is not None
    assert hung.buy_um is not None
    assert 0 < hung.rise_um < hung.down_um
    assert hung.span_um < hung.taut_um < hung.buy_um
    assert hung.pull_n >= grams / 2000 * 9.80665


def test_a_hook_above_the_frame_is_refused() -> None:
    with pytest.raises(ValueError, match="above the frame"):
        hang((600_000, 300_000), 20_000, 2_000, Hanging(), method="wire", rise_um=100_000)


@pytest.mark.parametrize(("rated_lb", "factor"), [(16, 4), (20, 3)])
def test_number_3_wire_breaks_beyond_its_rating_times_its_factor(
    rated_lb: float, factor: float
) -> None:
    # Paschke, Picture Framing Magazine, February 2013: #3 braided galvanised is rated 16 lb at
    # four times, #3 coated stainless 20 lb at three times; both break at 68 lb.
    assert load_needed(rated_lb, factor) <= 68
