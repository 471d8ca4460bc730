"""Frames in frames: published sums twice over, fillets by the mat's window, depths added up."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockroom.frame.layers import behind_mat, fillet_sizes, layer_letter, stack_depth
from stockroom.frame.sizes import FrameSizes, Moulding, Pair, Readings, frame_sizes
from stockroom.refusals import Unfit
from stockroom.units.lengths import Micrometres, parse_length


def um(text: str) -> Micrometres:
    """A length as typed in a shop that works in inches."""
    return parse_length(text, "in")


def rabbeted(face: str, rabbet: str, depth: str = "1/2") -> Moulding:
    """A rabbeted moulding."""
    return Moulding("rabbeted", um(face), rabbet_width_um=um(rabbet), rabbet_depth_um=um(depth))


def round_it(inner: Pair, moulding: Moulding, slack: str) -> FrameSizes:
    """The frame of what is so large outside."""
    return frame_sizes(Readings((inner[0],), (inner[1],)), moulding, um(slack), around=True)


def test_the_formula_for_a_frames_moulding_done_twice_over() -> None:
    # 16 x 20, W 2, R 1/4, A 1/8, C 1/8: 86 7/8 in, rails 19 5/8 and 23 5/8 (formula as published by
    # Vermont Hardwoods, "How Much Picture Frame Moulding Do I Need?", computed here). Once more
    # round that: rails 23 1/4 and 27 1/4, 2 (19 5/8 + 23 5/8) + 4 (2 (W - R) + A) + 3 C = 101 3/8.
    moulding = rabbeted("2", "1/4")
    inner = round_it((um("16"), um("20")), moulding, "1/8")
    outer = round_it(inner.outside_um, moulding, "1/8")
    assert inner.rails_um == (um("19 5/8"), um("23 5/8"))
    assert inner.moulding_um + 3 * um("1/8") == um("86 7/8")
    assert outer.artwork_um == inner.outside_um
    assert outer.rails_um == (um("23 1/4"), um("27 1/4"))
    assert outer.moulding_um + 3 * um("1/8") == um("101 3/8")


def test_three_quarters_of_an_inch_beyond_each_edge_twice_over() -> None:
    # A 12 x 16 photograph, 3/4 in beyond each edge: 13 1/2 x 17 1/2 outside, 62 in (mathschallenge
    # problem 308, 2007); round that again 15 x 19, and 68 in.
    beyond = rabbeted("1", "1/4")
    inner = round_it((um("12"), um("16")), beyond, "0")
    outer = round_it(inner.outside_um, beyond, "0")
    assert (inner.outside_um, inner.moulding_um) == ((um("13 1/2"), um("17 1/2")), um("62"))
    assert (outer.outside_um, outer.moulding_um) == ((um("15"), um("19")), um("68"))


def test_a_float_in_a_rabbeted_frame_is_the_float_rule_and_then_the_rabbets() -> None:
    # Outer perimeter = picture's + 8 (gap + wall) (rinaldin.ru/page/chop-service-cos).
    floating = Moulding("float", um("1 1/2"), wall_um=um("5/8"), recess_depth_um=um("1 3/4"))
    inner = frame_sizes(Readings((um("16"),), (um("20"),)), floating, um("1/4"))
    assert inner.moulding_um == 2 * um("36") + 8 * (um("1/4") + um("5/8"))
    outer = round_it(inner.outside_um, rabbeted("2", "1/4"), "1/8")
    assert outer.rails_um == (um("17 3/4") + um("3 5/8"), um("21 3/4") + um("3 5/8"))


@settings(max_examples=30)
@given(
    st.lists(st.tuples(st.integers(8, 60), st.integers(1, 7), st.integers(0, 6)), min_size=2,
             max_size=4),
    st.integers(150, 900), st.integers(150, 900),
)  # fmt: skip
def test_the_outside_of_many_layers_is_the_artwork_and_what_each_adds(
    layers: list[tuple[int, int, int]], width: int, height: int
) -> None:
    size: Pair = (Micrometres(width * 1000), Micrometres(height * 1000))
    added = 0
    for face, rabbet, slack in layers:
        moulding = Moulding("rabbeted", Micrometres(face * 1000),
                            rabbet_width_um=Micrometres(rabbet * 1000),
                            rabbet_depth_um=Micrometres(10_000))  # fmt: skip
        size = frame_sizes(Readings((size[0],), (size[1],)), moulding, slack * 1000).outside_um
        added += 2 * (face - rabbet) + slack
    assert size == ((width + added) * 1000, (height + added) * 1000)


def test_depths_add_up_from_layer_to_layer() -> None:
    # Computed here: a liner 20 mm high over a rabbet of 12 mm has a lip of 8; with a package of 10
    # it lies 20 deep, with one of 15 it lies 23 deep. A float lies as deep as it is high.
    liner = Moulding("rabbeted", Micrometres(14_000), rabbet_width_um=Micrometres(5_000),
                     rabbet_depth_um=Micrometres(12_000))  # fmt: skip
    floating = Moulding("float", Micrometres(12_000), wall_um=Micrometres(12_000),
                        recess_depth_um=Micrometres(38_000))  # fmt: skip
    assert stack_depth(liner, 20_000, 10_000) == 20_000
    assert stack_depth(liner, 20_000, 15_000) == 23_000
    assert stack_depth(liner, None, None) == 12_000
    assert (stack_depth(floating, 46_000, 20_000), stack_depth(floating, None, 20_000)) == (
        46_000, 38_000,
    )  # fmt: skip


def test_a_fillets_size_comes_from_the_mats_window() -> None:
    # Computed here: an 11 x 14 print under a quarter inch of overlap shows 10 1/2 x 13 1/2. A
    # fillet 3/8 wide whose step takes 1/8 of mat is 11 1/4 x 14 1/4 long, the window 11 x 14.
    fillet = rabbeted("3/8", "1/8", "1/16")
    found = fillet_sizes((um("11"), um("14")), um("1/4"), fillet, 0)
    assert found.rails_um == (um("11 1/4"), um("14 1/4"))
    assert found.opening_um == (um("11"), um("14"))
    assert found.sight_um == (um("10 1/2"), um("13 1/2"))
    assert found.covered_um == (um("1/4"), um("1/4"))
    assert found.opening_um[0] + 2 * um("1/8") == found.rails_um[0]
    eased = fillet_sizes((um("11"), um("14")), um("1/4"), fillet, um("1/16"))
    assert eased.opening_um == (um("11 1/16"), um("14 1/16"))
    assert behind_mat(fillet, um("1/4")) == um("1/4") - um("1/16")


def test_a_fillet_is_rounded_down_so_that_it_holds_the_artwork() -> None:
    fillet = rabbeted("3/8", "1/8", "1/16")
    found = fillet_sizes((um("11 1/32"), um("14")), um("1/4"), fillet, 0, step=Fraction(25_400, 16))
    assert found.rails_um == (um("11 1/4"), um("14 1/4"))
    assert min(found.covered_um or ()) >= um("1/4")


def test_a_fillet_that_makes_no_sense_is_refused_and_letters_go_outward() -> None:
    floating = Moulding("float", um("1"), wall_um=um("1/2"), recess_depth_um=um("1"))
    with pytest.raises(Unfit, match="a fillet is a rabbeted"):
        fillet_sizes((um("11"), um("14")), um("1/4"), floating, 0)
    with pytest.raises(Unfit, match="cannot be negative"):
        fillet_sizes((um("11"), um("14")), um("1/4"), rabbeted("3/8", "1/8"), -1)
    with pytest.raises(Unfit, match="leaves no window"):
        fillet_sizes((um("1/2"), um("14")), um("1/4"), rabbeted("3/8", "1/8"), 0)
    assert [layer_letter(number) for number in range(6)] == ["", "b", "c", "d", "e", "f"]
