"""What is no frame of two pairs: published geometry, worked cases, and what must hold for any."""

import math
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from stockroom.facts import Fact
from stockroom.frame.cutters import cut_allowance
from stockroom.frame.shape_sizes import RailStop, ShapeTold, shape_sizes
from stockroom.frame.shapes import JobShape, ends_said, shape_told
from stockroom.frame.sizes import FrameSizes, Moulding, Readings, frame_sizes
from stockroom.refusals import StockroomError
from stockroom.units.lengths import TYPED_UM, Micrometres, exact_length, parse_length
from stockroom.words.language import word

MM = 1_000
HALF_MM = Fraction(500)
RABBETED = Moulding(
    "rabbeted", Micrometres(22 * MM), Micrometres(6 * MM), Micrometres(10 * MM)
)  # fmt: skip
BAR = Moulding("plain", Micrometres(40 * MM))


def made(
    shape: str, moulding: Moulding, widths: int = 0, heights: int = 0,
    lengths: tuple[int, ...] = (), slack: int = 0, step: Fraction | None = None,
) -> FrameSizes:  # fmt: skip
    """The sizes of a shape, told in whole mm."""
    told = ShapeTold(
        shape_told(shape), (widths * MM,), (heights * MM,), tuple(one * MM for one in lengths),
        slack * MM,
    )  # fmt: skip
    return shape_sizes(told, RailStop(moulding, step))


def mm(lengths: tuple[Micrometres, ...]) -> list[str]:
    """Lengths as they read in mm."""
    return [exact_length(length, "mm").removesuffix(" mm") for length in lengths]


@pytest.mark.parametrize(("sides", "angle"), [(3, "60"), (5, "36"), (6, "30"), (8, "22.5")])
def test_a_regular_frame_is_cut_at_180_over_its_sides(sides: int, angle: str) -> None:
    # wonderfulwoodworking.com/figure-out-uncommon-angles; three sides computed here.
    shape = shape_told(f"{sides} sides")
    assert shape.angles(0) == (Fraction(angle), Fraction(angle))
    assert word(ends_said(shape.angles(0)) or "") == f"ends {angle}°"
    assert ends_said(JobShape().angles(0)) is None


@pytest.mark.parametrize(
    ("sides", "rail", "over_all"),
    # Computed here for a side of 200 mm, play 3 mm, face 22, rabbet 6:
    # 200 + 3 tan(180/n) + 2 * 16 tan(180/n), each part rounded up to the micrometre.
    [(3, "260.623", None), (6, "220.209", (440.414, 381.410)), (8, "214.498", (517.8, 517.8))],
)
def test_the_rails_of_a_regular_frame_go_round_its_artwork(
    sides: int, rail: str, over_all: tuple[float, float] | None
) -> None:
    found = made(f"{sides} sides", RABBETED, 200, slack=3)
    tan = math.tan(math.pi / sides)
    assert len(found.lengths_um) == sides
    assert mm(found.rails_um[:1]) == [rail]
    assert abs(found.rails_um[0] - (200 + 35 * tan) * MM) < 3
    assert abs(found.sight_um[0] - (200 + 3 * tan - 12 * tan) * MM) < 5
    if over_all:
        assert [round(one / MM, 1) for one in found.outside_um] == [round(o, 1) for o in over_all]


@settings(max_examples=20)
@given(
    st.integers(5, 12),
    st.integers(50_000, 900_000),
    st.integers(7_000, 60_000),
    st.integers(0, 9_000),
)
@example(5, 151_251, 9_749, 418)
def test_a_regular_frame_fits_its_artwork_whatever_the_step(
    sides: int, side: int, face: int, slack: int
) -> None:
    moulding = Moulding("rabbeted", Micrometres(face), Micrometres(6_000), Micrometres(9_000))
    told = ShapeTold(JobShape("sides", sides), (side, side - 300), (), (), slack)
    found = shape_sizes(told, RailStop(moulding, HALF_MM))
    # A length within the rounding of typed parts of a step is on it: a side may lack so much.
    lacks = TYPED_UM / math.tan(math.pi / sides)
    assert found.play_um[0] >= slack - 2 - lacks
    assert found.rails_um[0] % 500 == 0
    assert set(found.lengths_um) == {found.rails_um[0]}


def test_an_arch_has_a_sill_with_two_mitres_and_sides_with_one() -> None:
    # Computed here: sill 300 + 3 + 2 (22 - 6) = 335; sides 500 + 1.5 + (22 - 6) = 517.5.
    found = made("arch", RABBETED, 300, 500, slack=3)
    assert mm(found.lengths_um) == ["335", "517.5", "517.5"]
    assert mm(found.opening_um) == ["303", "501.5"]
    # Sill 335 - 2 * 22; sides 517.5 - 22.
    assert mm(found.sight_um) == ["291", "495.5"]
    assert word(ends_said(found.shape.angles(1)) or "") == "one end 45°, one square"


def test_a_strainers_outside_is_the_given_size_and_its_bars_end_square() -> None:
    # Computed here: bars of 600 - 2 * 40 across and 800 - 2 * 40 upright.
    found = made("strainer 1x2", BAR, 600, 800, step=HALF_MM)
    assert mm(found.outside_um) == ["600", "800"]
    assert mm(found.lengths_um) == ["600", "800", "600", "800", "520", "720", "720"]
    assert [ends_said(found.shape.angles(rail)) for rail in (0, 4)] == [None, Fact("ends_square")]


def test_what_is_told_by_its_outside_is_never_larger() -> None:
    # 16 in is 406.4 mm: down to the half, so that it goes where it is to go.
    told = ShapeTold(shape_told("outside"), (parse_length("16", "in"),), (500_200, 500_900))
    found = shape_sizes(told, RailStop(RABBETED, HALF_MM))
    assert mm(found.outside_um) == ["406", "500"]
    # Inside it there are 406 - 2 (22 - 6) and 500 - 32.
    assert mm(found.opening_um) == ["374", "468"]


def test_a_repair_and_straight_lengths_are_as_given_with_their_own_ends() -> None:
    assert mm(made("repair", RABBETED, lengths=(440,)).lengths_um) == ["440"]
    spacers = made("straight", BAR, lengths=(500, 500, 400))
    assert mm(spacers.lengths_um) == ["500", "500", "400"]
    assert spacers.moulding_um == 1_400 * MM
    assert word(ends_said(spacers.shape.angles(0)) or "") == "ends square"


def test_a_frame_of_plain_bars_has_no_rabbet() -> None:
    # 400 + 2 * 40 on the back edge, nothing covered.
    found = frame_sizes(Readings((400 * MM,), (500 * MM,)), BAR, 0)
    assert mm(found.rails_um) == ["480", "580"]
    assert found.covered_um is None


def test_four_square_pieces_of_2_ft_lack_three_eighths_of_an_inch_in_8_ft() -> None:
    # slashgear.com/1866963: a kerf of 1/8 in; three cuts between four lengths.
    each = cut_allowance(Micrometres(3_175), 0, sides=shape_told("straight").mitred_as)
    wanted = 4 * parse_length("24", "in") + 3 * each
    assert wanted - parse_length("96", "in") == parse_length("3/8", "in")


def test_a_triangles_mitre_takes_twice_the_kerf_and_a_square_cut_once() -> None:
    # k/cos 60 = 2 k, computed here; a guillotine takes nothing of either.
    kerf = Micrometres(3_000)
    assert cut_allowance(kerf, 500, sides=shape_told("3 sides").mitred_as) == 6_500
    assert cut_allowance(kerf, 500, sides=None) == 3_500
    assert cut_allowance(kerf, 500, "guillotine", None) == 500


@pytest.mark.parametrize("shape", ["", "3 sides", "arch", "strainer", "strainer 2x0", "repair"])
def test_a_shape_reads_back_as_it_is_kept(shape: str) -> None:
    assert shape_told(shape).words == shape
    assert shape_told(f" {shape.upper()} ") == shape_told(shape)


@pytest.mark.parametrize(
    ("typed", "said"),
    [("hexagon", "cannot read"), ("4 sides", "a width and a height"), ("2 sides", "2 sides"),
     ("40 sides", "5 to 24"), ("strainer 9x0", "9 bars")],
)  # fmt: skip
def test_a_doubtful_shape_is_refused(typed: str, said: str) -> None:
    with pytest.raises(StockroomError, match=said):
        shape_told(typed)


@pytest.mark.parametrize(
    ("shape", "told", "said"),
    [("repair", {}, "needs its lengths"),
     ("strainer 1x0", {"widths": 70, "heights": 90}, "nothing"),
     ("6 sides", {"widths": 4}, "hide the whole"), ("arch", {"widths": 90}, "height")],
)  # fmt: skip
def test_what_makes_no_shape_is_refused(shape: str, told: dict[str, int], said: str) -> None:
    moulding = BAR if shape.startswith("strainer") else RABBETED
    with pytest.raises(StockroomError, match=said):
        made(shape, moulding, **told)  # type: ignore[arg-type]
