"""What a mitre takes, and what moulding a frame wants by the published rules."""

from decimal import Decimal, localcontext
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.frame.cutters import cut_allowance
from stockroom.frame.mitres import (
    mitre_angle,
    outer_minus_inner,
    rule_of_thumb,
    saw_loss,
    stick_for,
)
from stockroom.units.lengths import parse_length

# 60 digits of pi, from memory; the series below would show a slip in the first dozen at once.
PI = Decimal("3.14159265358979323846264338327950288419716939937510582097494")


def inches(text: str) -> int:
    """A length in inches, as micrometres."""
    return parse_length(text, "in")


def cosine_and_sine(sides: int) -> tuple[Decimal, Decimal]:
    """cos and sin of 180/n degrees to 40 digits, by their series."""
    with localcontext() as context:
        context.prec = 50
        angle, term = PI / sides, Decimal(1)
        sums = [Decimal(0)] * 4
        for power in range(60):
            sums[power % 4] += term
            term = term * angle / (power + 1)
        return sums[0] - sums[2], sums[1] - sums[3]


@pytest.mark.parametrize(("sides", "degrees"), [(4, "45"), (5, "36"), (6, "30"), (8, "22.5")])
def test_a_mitre_is_180_over_the_sides_from_square(sides: int, degrees: str) -> None:
    # wonderfulwoodworking.com/figure-out-uncommon-angles.
    assert mitre_angle(sides) == Fraction(degrees)


def test_named_from_the_edge_a_hexagons_cut_is_60() -> None:
    # The same page names the complement for the same cut.
    assert 90 - mitre_angle(6) == 60


@pytest.mark.parametrize(("sides", "per_width"), [(4, 2_000_000), (6, 1_154_701), (8, 828_428)])
def test_the_back_edge_is_longer_than_the_sight_edge(sides: int, per_width: int) -> None:
    # Computed here, 2 tan(180/n) for a face of 1 m: 2, 1.154701 and 0.828427 m; rounded up.
    assert outer_minus_inner(1_000_000, sides) == per_width


@pytest.mark.parametrize(("kerf", "loss"), [(3_175, 4_491), (3_000, 4_243), (3_200, 4_526)])
def test_a_blade_takes_its_kerf_times_root_two_along_the_stick(kerf: int, loss: int) -> None:
    # Computed here, k/cos 45: 1/8 in gives 0.17678 in (4.4901 mm), 3 mm 4.2426, 3.2 mm 4.5255.
    assert saw_loss(kerf) == loss
    assert abs(loss - Fraction(kerf * 141_421_356, 100_000_000)) <= 1


@given(st.integers(0, 20_000), st.integers(3, 16))
def test_the_saw_loss_is_the_least_whole_micrometre_that_is_enough(kerf: int, sides: int) -> None:
    cosine, _ = cosine_and_sine(sides)
    loss, hair = saw_loss(kerf, sides), Decimal("1e-30")
    assert loss * cosine + hair >= kerf
    assert (loss - 1) * cosine + hair < kerf


@given(st.integers(1, 300_000), st.integers(3, 16))
def test_the_difference_of_edges_is_the_least_whole_micrometre_that_is_enough(
    width: int, sides: int
) -> None:
    cosine, sine = cosine_and_sine(sides)
    more, hair = outer_minus_inner(width, sides), Decimal("1e-30")
    assert more * cosine + hair >= 2 * width * sine
    assert (more - 1) * cosine + hair < 2 * width * sine


def test_a_cut_takes_the_blade_and_the_cleaning_up() -> None:
    assert cut_allowance(3_200, 500) == 4_526 + 500
    assert cut_allowance(3_200, 500, "guillotine") == 500
    assert cut_allowance(0, 0) == 0
    # Six sides: 3 mm / cos 30 = 3.4641 mm, computed here.
    assert cut_allowance(3_000, 500, sides=6) == 3_465 + 500


@pytest.mark.parametrize(("kerf", "clean_up"), [(-1, 0), (0, -1)])
def test_a_blade_cannot_give_wood_back(kerf: int, clean_up: int) -> None:
    with pytest.raises(ValueError, match="not below nothing"):
        cut_allowance(kerf, clean_up)


@pytest.mark.parametrize("sides", [2, 0, -4])
def test_a_frame_has_at_least_three_sides(sides: int) -> None:
    with pytest.raises(ValueError, match="at least three"):
        mitre_angle(sides)
    with pytest.raises(ValueError, match="at least three"):
        saw_loss(3_000, sides)
    with pytest.raises(ValueError, match="at least three"):
        outer_minus_inner(3_000, sides)


@pytest.mark.parametrize(
    ("width", "height", "face", "lump", "moulding"),
    [
        # framing4yourself.com/how-select-right-length-moulding: 1/4 in in all, no rabbet, no saw.
        ("16 in", "20 in", "2 in", "1/4 in", "88 1/4 in"),
        # The same site, older page: a lump for fit and blade.
        ("16 in", "20 in", "1 1/2 in", "1 1/2 in", "85 1/2 in"),
        # "Frame Moulding by Length", ashcraftframing.co.uk: 4 mm in all.
        ("305 mm", "407 mm", "66 mm", "4 mm", "1956 mm"),
    ],
)
def test_the_full_face_rule_gives_the_published_lengths(
    width: str, height: str, face: str, lump: str, moulding: str
) -> None:
    sizes = [parse_length(text, "in") for text in (width, height, face, lump)]
    assert rule_of_thumb(*sizes) == parse_length(moulding, "in")


def test_four_two_foot_pieces_do_not_come_out_of_eight_feet() -> None:
    # slashgear.com/1866963: square cuts with a 1/8 in kerf; the last piece is 3/8 in short.
    assert stick_for((inches("2 ft"),) * 4, inches("1/8")) - inches("8 ft") == inches("3/8")


def test_a_stick_for_one_rail_needs_no_cut_and_for_none_no_length() -> None:
    assert stick_for((500_000,), 5_000) == 500_000
    assert stick_for((), 5_000) == 0
