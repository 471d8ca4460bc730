"""From artwork to rails: published sizes, common practice, and what must hold for any frame."""

from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stockroom.frame.mitres import rule_of_thumb, stick_for
from stockroom.frame.notices import Notice
from stockroom.frame.sizes import (
    FrameSizes,
    Mat,
    Moulding,
    Readings,
    covered,
    frame_sizes,
    glass_size,
    window_size,
)
from stockroom.screens.sizes_screen import size_lines
from stockroom.settings.shop_settings import Settings
from stockroom.settings.typed_settings import with_setting
from stockroom.units.lengths import Micrometres, parse_length
from stockroom.words.language import Voice


def um(text: str) -> Micrometres:
    """A length as typed in a shop that works in inches."""
    return parse_length(text, "in")


def ums(*texts: str) -> tuple[Micrometres, ...]:
    """Lengths as typed."""
    return tuple(um(text) for text in texts)


def rabbeted(face: str = "2", rabbet: str = "1/4", depth: str = "1/2") -> Moulding:
    """A rabbeted moulding."""
    return Moulding(
        "rabbeted", um(face), rabbet_width_um=um(rabbet), rabbet_depth_um=um(depth)
    )  # fmt: skip


def floating(wall: str = "5/8", recess: str = "1 3/4") -> Moulding:
    """A float moulding."""
    return Moulding("float", um("1 1/2"), wall_um=um(wall), recess_depth_um=um(recess))


def mat(overlap: str) -> Mat:
    """A mat with borders of 2 in, and 2 1/2 below."""
    return Mat(um("2"), um("2"), um("2"), um("2 1/2"), um(overlap))


def framed(
    width: str, height: str, moulding: Moulding, slack: str = "0", **more: Any
) -> FrameSizes:
    """The sizes of a frame for one reading each way."""
    return frame_sizes(Readings((um(width),), (um(height),)), moulding, um(slack), **more)


def codes(sizes: FrameSizes) -> list[str]:
    """What the counter is told of."""
    return [notice.code for notice in sizes.notices]


# Published values.


def test_rails_count_the_rabbet_and_the_allowance_once_a_dimension_as_published() -> None:
    # Formula: "How Much Picture Frame Moulding Do I Need?", vermonthardwoods.com/picture-framing
    # (rail = 2(W-R)+A+D; with three cuts between four rails). Figures computed here from it.
    sizes = framed("16", "20", rabbeted("2", "1/4"), "1/8")
    assert sizes.rails_um == ums("19 5/8", "23 5/8")
    assert stick_for(sizes.rails_um * 2, um("1/8")) == um("86 7/8")
    assert sizes.moulding_um == um("86 1/2")


def test_the_outside_size_is_the_rails_and_a_cut_list_counts_the_saw_besides() -> None:
    # The same page: 2(D1+D2)+3C where D1 and D2 are outside sizes.
    sizes = framed("16", "20", rabbeted("2", "1/4"), "1/8")
    assert sizes.outside_um == sizes.rails_um
    assert stick_for(sizes.rails_um * 2, um("1/8")) == 2 * sum(sizes.outside_um) + 3 * um("1/8")


def test_a_frame_three_quarters_beyond_each_edge_wants_62_inches() -> None:
    # mathschallenge.net problem 308 (2007): a 12 x 16 in photo, 13 1/2 x 17 1/2 outside.
    sizes = framed("12", "16", rabbeted("1", "1/4"))
    assert sizes.outside_um == ums("13 1/2", "17 1/2")
    assert sizes.moulding_um == um("62")


def test_a_rail_is_the_picture_and_twice_the_board_less_the_rabbet() -> None:
    # lumberjocks.com/tenrog/blog/34618: picture 8 in, board 2 in, rabbet 1/8, no allowance.
    assert framed("8", "8", rabbeted("2", "1/8")).rails_um == ums("11 3/4", "11 3/4")


def test_a_rail_is_the_sight_size_and_two_faces() -> None:
    # The same page: sight 8 in, board 2 in, rail 12 in.
    sizes = framed("8 1/4", "8 1/4", rabbeted("2", "1/8"))
    assert sizes.sight_um == ums("8", "8")
    assert sizes.rails_um == ums("12", "12")


def test_sight_and_opening_differ_by_two_rabbets() -> None:
    # antiqueframing.com/frame-size-definitions: sight 23 1/2 x 29 1/2, rabbet size about 24 x 30.
    sizes = framed("23 7/8", "29 7/8", rabbeted("2", "1/4"), "1/8")
    assert sizes.opening_um == ums("24", "30")
    assert sizes.sight_um == ums("23 1/2", "29 1/2")


def test_an_8_by_10_under_a_quarter_inch_shows_7_and_a_half_by_9_and_a_half() -> None:
    # georgepurvisphotography.com; outside = size + 2 face - 2 overlap.
    sizes = framed("8", "10", rabbeted("1 1/2", "1/4"))
    assert sizes.sight_um == ums("7 1/2", "9 1/2")
    assert sizes.outside_um == ums("10 1/2", "12 1/2")


@pytest.mark.parametrize(("height", "united"), [("36", "60"), ("72", "96")])
def test_united_inches_are_the_artworks_width_and_height(height: str, united: str) -> None:
    # metaglossary.com: 24 x 36 is 60, 24 x 72 is 96.
    assert framed("24", height, rabbeted(), "1/8").united_um == um(united)


@pytest.mark.parametrize("gap", ["1/8", "1/4", "3/8", "1/2"])
def test_a_float_frame_is_the_picture_and_eight_times_gap_and_wall(gap: str) -> None:
    # "Chop service", rinaldin.ru/page/chop-service-cos (the float rule: the wall alone counts);
    # gaps: 1/8 in, C. A. Paschke, "Float Spaces, Face Depth" (2010); 1/8 to 1/2 in are published.
    sizes = framed("16", "20", floating("5/8"), gap)
    assert sizes.moulding_um == um("72") + 8 * (um(gap) + um("5/8"))


def test_the_full_face_rule_orders_eight_rabbets_too_much() -> None:
    # Computed here: 2(D1+D2) + 8W against the exact rails.
    exact = framed("16", "20", rabbeted("2", "1/4")).moulding_um
    assert rule_of_thumb(*ums("16", "20", "2")) - exact == 8 * um("1/4")


def test_an_allowance_of_an_eighth_a_dimension_is_half_an_inch_of_moulding() -> None:
    # The trade counts 1/8 in a dimension, so each of four rails is 1/8 longer; the published
    # 88 1/4 in (framing4yourself.com) adds 1/4 in over all four, 1/16 a rail. Computed here.
    bare = framed("16", "20", rabbeted("2", "1/4")).moulding_um
    assert framed("16", "20", rabbeted("2", "1/4"), "1/8").moulding_um - bare == um("1/2")
    # 1/16 in is 1587.5 um, read as 1588: half a micrometre a rail, on the safe side.
    assert framed("16", "20", rabbeted("2", "1/4"), "1/16").moulding_um - bare == um("1/4") + 2


# Common practice, without a source.


def test_a_three_eighths_gap_adds_three_quarters_each_way() -> None:
    sizes = framed("23 3/4", "24 1/8", floating("5/8"), "3/8")
    assert sizes.opening_um == ums("24 1/2", "24 7/8")
    assert sizes.outside_um == ums("25 3/4", "26 1/8")
    assert sizes.gap_um == ums("3/8", "3/8")
    assert sizes.covered_um is None


@pytest.mark.parametrize(
    ("rabbet", "allowance", "cover", "said"),
    [
        ("1/4", "1/8", "3/16", []),
        ("3/16", "1/8", "1/8", []),
        ("5/16", "1/8", "1/4", []),
        ("3/8", "1/8", "5/16", ["cover much"]),
        ("1/8", "1/8", "1/16", ["cover little"]),
        ("1/8", "1/2", "0", ["cover little"]),
    ],
)
def test_a_rabbet_usually_covers_an_eighth_to_a_quarter_inch_of_each_edge(
    rabbet: str, allowance: str, cover: str, said: list[str]
) -> None:
    sizes = framed("16", "20", rabbeted("2", rabbet), allowance)
    # 3/16 in is 4762.5 um; what is covered is rounded up.
    assert sizes.covered_um is not None
    assert len(set(sizes.covered_um)) == 1
    assert 0 <= sizes.covered_um[0] - (um(rabbet) - um(allowance) / 2 if cover != "0" else 0) <= 1
    assert codes(sizes) == said


def test_much_cover_warns_of_a_signature_and_little_of_slipping_through() -> None:
    def said(rabbet: str) -> str:
        (notice,) = framed("16", "20", rabbeted("2", rabbet), "1/8").notices
        return Voice("on_a_page", Settings()).say(notice)

    much, little = said("3/8"), said("1/8")
    assert much.startswith("The lip covers 5/16 in of each edge; 1/8 in to 1/4 in is usual.")
    assert "signature" in much
    assert "slip through" in little


def test_the_lip_is_spoken_of_over_a_painting_and_not_over_a_matted_work_it_covers_as_usual() -> (
    None
):
    # A rabbet of 7 mm with 3 mm of play covers 5.5 mm, as most do: nothing to say of a print.
    seven = Moulding("rabbeted", um("22 mm"), um("7 mm"), um("20 mm"))
    assert codes(framed("16", "20", seven, "3 mm")) == []
    painting = framed("16", "20", seven, "3 mm", depth=um("18 mm"))
    assert codes(painting) == ["painting covered"]
    assert "signature" in Voice("on_a_page").say(painting.notices[0])
    assert codes(framed("16", "20", seven, "3 mm", depth=um("6 mm"), mat=mat("1/4"))) == []


@pytest.mark.parametrize(
    ("canvas", "drop", "said"),
    [
        ("1 1/2", "1/4", []),
        ("1 3/8", "3/8", []),
        ("3/4", "1", ["drop unusual"]),
        ("1 3/4", "0", ["drop unusual"]),
        ("2", "-1/4", ["proud"]),
    ],
)
def test_a_floated_canvas_sits_about_a_quarter_inch_below_the_front(
    canvas: str, drop: str, said: list[str]
) -> None:
    # Stretcher depths: arthausframing.com; the usual drop is common practice.
    sizes = framed("16", "20", floating(recess="1 3/4"), "3/8", depth=um(canvas))
    assert sizes.drop_um == (-um(drop[1:]) if drop.startswith("-") else um(drop))
    assert codes(sizes) == said


def test_a_float_whose_canvas_was_not_measured_has_no_drop() -> None:
    assert framed("16", "20", floating(), "3/8").drop_um is None


def test_a_package_deeper_than_the_rabbet_is_said() -> None:
    paper = mat("1/4")
    fits = framed("16", "20", rabbeted(depth="1/2"), "1/8", depth=um("1/2"), mat=paper)
    assert codes(fits) == []
    deep = framed("16", "20", rabbeted(depth="1/2"), "1/8", depth=um("5/8"), mat=paper)
    assert deep.notices == (Notice("package deep", ums("5/8", "1/2")),)


# Readings.


def test_the_largest_reading_each_way_counts() -> None:
    readings = Readings(ums("23 3/4", "23 11/16", "23 13/16"), ums("24", "24 1/8"))
    assert readings.size == ums("23 13/16", "24 1/8")
    assert readings.out_of_square == ums("1/8", "1/8")


def test_out_of_square_is_said_beyond_what_the_allowance_or_the_gap_forgives() -> None:
    readings = Readings(ums("23 3/4", "23 9/16"), ums("24", "24 1/8"))
    sizes = frame_sizes(readings, rabbeted(), um("1/8"))
    # 3/16 in is 4762.5 um.
    assert sizes.notices == (Notice("out of square", (Micrometres(4_762), um("1/8")), "widths"),)
    assert frame_sizes(readings, floating(), um("3/8")).notices == ()
    said = Voice("on_a_page").say(sizes.notices[0])
    assert said.startswith("Out of square: the widths differ by 4.762 mm, more than the 3.175 mm")


def test_the_rounding_of_a_reading_is_not_called_out_of_square() -> None:
    # 3/32 in is 2381.25 um; readings go up to whole micrometres, so may seem one more apart.
    widths = tuple(parse_length(text, "in", rounding="up") for text in ("16 1/4", "16 11/32"))
    assert widths[1] - widths[0] == um("3/32") + 1
    assert frame_sizes(Readings(widths, ums("20")), floating(), um("3/32")).notices == ()


def test_a_work_on_paper_out_of_square_is_forgiven_by_its_mats_overlap() -> None:
    readings = Readings(
        ums("16", "15 13/16"),
        ums(
            "20",
        ),
    )
    paper = mat("1/4")
    assert frame_sizes(readings, rabbeted(), um("1/8"), mat=paper).notices == ()
    narrow = mat("1/8")
    assert codes(frame_sizes(readings, rabbeted(), um("1/8"), mat=narrow)) == ["out of square"]


# A work on paper.


def test_the_glass_is_the_mats_window_and_its_borders() -> None:
    # Computed here from artwork - 2 overlaps + borders.
    paper = mat("1/4")
    window = window_size((um("11"), um("14")), paper)
    assert glass_size(window, paper) == ums("14 1/2", "18")


def test_the_glass_is_the_artwork_of_the_rabbeted_rule() -> None:
    paper = mat("1/4")
    matted = framed("11", "14", rabbeted(), "1/8", mat=paper)
    plain = framed("14 1/2", "18", rabbeted(), "1/8")
    assert matted.rails_um == plain.rails_um
    assert matted.package_um == plain.artwork_um


def test_a_matted_work_has_artwork_window_and_glass_and_the_glass_has_the_united_inches() -> None:
    # 11 x 14 with borders of 2 1/2 in and a quarter inch under the mat; computed here.
    wide = um("2 1/2")
    mat = Mat(wide, wide, wide, wide, um("1/4"))
    sizes = framed("11", "14", rabbeted(), "1/8", mat=mat)
    assert sizes.artwork_um == ums("11", "14")
    assert sizes.window_um == ums("10 1/2", "13 1/2")
    assert sizes.package_um == ums("15 1/2", "18 1/2")
    assert sizes.united_um == um("34")
    # They are shown where inches are in use, and nowhere else.
    for unit, told in (("in", ["united inches               34"]), ("mm", [])):
        shown = size_lines(sizes, with_setting(Settings(), "unit", unit), 80)
        lines = ["".join(text for text, _ in line) for line in shown]
        assert [line for line in lines if "united" in line] == told


@pytest.mark.parametrize(
    ("section", "said"),
    [
        ({"kind": "round", "face_um": 1}, "rabbeted, float or plain"),
        ({"kind": "rabbeted", "face_um": 0}, "must have a width"),
        ({"kind": "rabbeted", "face_um": 9}, "needs its rabbet width"),
        ({"kind": "rabbeted", "face_um": 9, "rabbet_width_um": 3}, "needs its rabbet depth"),
        ({"kind": "rabbeted", "face_um": 9, "rabbet_width_um": 9, "rabbet_depth_um": 5},
         r"as wide as its face of 0\.009 mm"),
        ({"kind": "float", "face_um": 9}, "needs its wall"),
        ({"kind": "float", "face_um": 9, "wall_um": 3}, "needs its recess depth"),
        ({"kind": "float", "face_um": 9, "wall_um": 10, "recess_depth_um": 5},
         "wider than its face"),
        ({"kind": "float", "face_um": 9, "wall_um": -1, "recess_depth_um": 5}, "needs its wall"),
    ],
)  # fmt: skip
def test_a_section_that_makes_no_sense_is_refused(section: dict[str, Any], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        Moulding(**section)


@pytest.mark.parametrize(
    ("widths", "heights", "said"),
    [
        ((), (1,), "0 readings of the width"),
        ((1, 1, 1, 1), (1,), "4 readings of the width"),
        ((1,), (1, 0), "a height of 0 mm"),
        ((-5, 1), (1,), "more than nothing"),
    ],
)
def test_readings_that_make_no_sense_are_refused(
    widths: tuple[int, ...], heights: tuple[int, ...], said: str
) -> None:
    with pytest.raises(ValueError, match=said):
        Readings(widths, heights)


def test_a_mat_below_nothing_or_without_a_window_is_refused() -> None:
    with pytest.raises(ValueError, match="the mat's top is -"):
        Mat(0, 0, -1, 0, 0)
    with pytest.raises(ValueError, match="leaves no window"):
        window_size((um("1"), um("8")), Mat(0, 0, 0, 0, um("1/2")))


def test_a_frame_that_makes_no_sense_is_refused() -> None:
    readings = Readings(ums("16"), ums("20"))
    for moulding, slack, more, said in (
        (rabbeted(), -1, {}, "gap or allowance"),
        (rabbeted(), 0, {"depth": -1}, "a depth of"),
        (floating(), 0, {"mat": Mat(1, 1, 1, 1, 0)}, "a float takes no matted work"),
        (rabbeted("12", "9"), 0, {}, "would hide the whole artwork"),
    ):
        with pytest.raises(ValueError, match=said):
            frame_sizes(readings, moulding, slack, **more)


# What holds for any frame.

SIDES = st.lists(st.integers(50_000, 3_000_000), min_size=1, max_size=3).map(tuple)


@given(SIDES, SIDES, st.integers(5_000, 90_000), st.integers(1, 24_000), st.integers(0, 20_000))
def test_any_rabbeted_frame_adds_up(
    widths: tuple[int, ...], heights: tuple[int, ...], face: int, rabbet: int, allowance: int
) -> None:
    assume(rabbet < face)
    moulding = Moulding("rabbeted", Micrometres(face), Micrometres(rabbet), Micrometres(9_000))
    sizes = frame_sizes(Readings(widths, heights), moulding, allowance)
    for way, artwork in enumerate((max(widths), max(heights))):
        assert sizes.opening_um[way] == artwork + allowance
        assert sizes.rails_um[way] == sizes.sight_um[way] + 2 * face
        assert sizes.opening_um[way] == sizes.sight_um[way] + 2 * rabbet
    assert sizes.moulding_um == 2 * sizes.rails_um[0] + 2 * sizes.rails_um[1]
    # The artwork centred in its opening: each edge is under the lip by R - allowance/2.
    assert sizes.covered_um == (covered(rabbet, allowance),) * 2
    assert sizes.play_um == (allowance, allowance)
    hidden = max(widths) - sizes.sight_um[0]
    assert max(0, hidden) <= 2 * sizes.covered_um[0] <= max(0, hidden) + 1


@given(SIDES, SIDES, st.integers(1, 40_000), st.integers(0, 20_000), st.integers(0, 60_000))
def test_any_float_frame_adds_up(
    widths: tuple[int, ...], heights: tuple[int, ...], wall: int, gap: int, depth: int
) -> None:
    deep = Micrometres(40_000)
    moulding = Moulding("float", deep, wall_um=Micrometres(wall), recess_depth_um=deep)
    sizes = frame_sizes(Readings(widths, heights), moulding, gap, depth=depth)
    for way, artwork in enumerate((max(widths), max(heights))):
        assert sizes.rails_um[way] == artwork + 2 * gap + 2 * wall
        assert sizes.sight_um[way] == sizes.opening_um[way] == artwork + 2 * gap
    assert sizes.drop_um == 40_000 - depth
    assert ("proud" in codes(sizes)) == (depth > 40_000)
    assert all(Voice("on_a_page").say(notice) for notice in sizes.notices)
