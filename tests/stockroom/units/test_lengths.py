"""Lengths as they are typed and printed: what is read, what is refused, what comes back."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.refusals import Unreadable
from stockroom.units.lengths import (
    LONGEST_UM,
    Rounding,
    Unit,
    exact_length,
    format_length,
    parse_length,
    parse_span,
)

INCH = 25_400
UNITS: st.SearchStrategy[Unit] = st.sampled_from(["in", "mm"])
LENGTHS = st.integers(0, LONGEST_UM)
WAYS: tuple[Rounding, ...] = ("down", "nearest", "up")

# How framers write 23 3/4 in, and other lengths with their micrometres.
SPELT = {
    "23 3/4": 603_250, "23-3/4": 603_250, "23 - 3/4": 603_250, '23-3/4"': 603_250,
    "23 3/4 in": 603_250, '23 3/4"': 603_250, "23 3/4in": 603_250, "23 3/4 INCHES": 603_250,
    "23.75 in": 603_250, "23,75 in": 603_250, "23¾": 603_250, "23¾\"": 603_250, "23 ¾": 603_250,
    "23-¾": 603_250, "23\u20133/4": 603_250, "23\u20113/4": 603_250, "23 3\u20444": 603_250,
    "23\u00a03/4\u2033": 603_250, "23\u20093/4\u201d": 603_250, "\t23   3/4  ": 603_250,
    "23\u202f3/4\u202fin": 603_250, "603.25 mm": 603_250, "60.325cm": 603_250,
    "3/4": 19_050, "¾": 19_050, ".5": 12_700, ",5": 12_700, "0.5 inch": 12_700, "0": 0,
    "8'": 2_438_400, "8\u2032": 2_438_400, "8\u2019": 2_438_400, "8 ft": 2_438_400,
    "8 feet": 2_438_400, "1 foot": 304_800, "1/2 ft": 152_400, "8 1/2'": 2_590_800,
    "8'6\"": 2_590_800, "8'6": 2_590_800, "8 ft 6 in": 2_590_800, "8 ft 6": 2_590_800,
    "8'-6\"": 2_590_800, "8\u2032 6\u2033": 2_590_800, "8 feet 6 inches": 2_590_800,
    "8' 6 1/2\"": 2_603_500, "8' 6½\"": 2_603_500, "8' 6.5\"": 2_603_500, "8'6-1/2": 2_603_500,
    "603.5 mm": 603_500, "603,5 mm": 603_500, "603.5mm": 603_500, "60.35cm": 603_500,
    "60,35 cm": 603_500, "2.95 m": 2_950_000, "0.001 mm": 1, "0,125 mm": 125, "100 m": LONGEST_UM,
}  # fmt: skip

DOUBTFUL = [
    "", " ", "1/0", "0/4", "4/4", "9/8", "3 4/2 1", "3 4/2", "-2", "+2", "\u22122", "nan", "inf",
    "1e3", "1_000", "0x10", '24"mm', '24 "in', "24 mm in", "mm", '"', "24.", "24..5", "2.3.4",
    "2,3,4", "1,234", "123,456 mm", "10 000", "1 2", "1/2/3", "1/1001", "3/4 1/2", "24 yd",
    "24 3/4 mm", "1/2 cm", "1¾4", "¾4", "½/2", "½½", "1½½", "4/¾", "1.5 3/4", "1.5¾", "23 -3/4",
    "23- 3/4", "8' 12\"", "8' 13 1/2", "8.5' 6\"", "8 1/2' 6\"", "8' 6 mm", "8'6'", "8' -6", "8''",
    "23\n3/4", "2\x003", "\u0662\u0663", "\uff12\uff13", "2³", "23 ³\u2044₄",
    "\u066b5", "100.001 m", "329'",
    "3938 in", "1" * 40, "9" * 10_000, "x" * 10_000, "23 3/4" + " " * 60 + "in", "\ud800", "😀",
    "24 \u200bin",
]  # fmt: skip


@pytest.mark.parametrize(("text", "um"), SPELT.items())
def test_every_way_a_framer_writes_a_length_is_read(text: str, um: int) -> None:
    assert parse_length(text, "in") == um


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize("text", DOUBTFUL, ids=lambda text: ascii(text[:20]))
def test_a_doubtful_text_is_refused_in_either_unit(text: str, unit: Unit) -> None:
    with pytest.raises(Unreadable):
        parse_length(text, unit)


def test_a_bare_number_takes_the_shops_unit() -> None:
    assert parse_length("24", "in") == 24 * INCH
    assert parse_length("24", "mm") == 24_000
    assert parse_length("24 in", "mm") == 24 * INCH
    assert parse_length("8'6 1/2", "mm") == 2_603_500


def test_a_bare_fraction_in_a_millimetre_shop_is_told_to_name_its_unit() -> None:
    with pytest.raises(Unreadable, match="with in or ft behind it"):
        parse_length("23 3/4", "mm")


def test_a_comma_that_may_mean_thousands_is_asked_about() -> None:
    with pytest.raises(Unreadable, match=r"cannot read '1,234 mm'; accepted: 1\.234 or 1234"):
        parse_length("1,234 mm", "mm")


@pytest.mark.parametrize("text", ["9" * 10_000, "2\x1b[31m", "a\nb", "\ud800", "\u202e42"])
def test_a_refusal_says_what_was_read_on_one_short_printable_line(text: str) -> None:
    with pytest.raises(Unreadable, match="cannot read") as caught:
        parse_length(text, "in")
    assert str(caught.value).isprintable()
    assert len(str(caught.value)) < 400
    assert "23 3/4" in str(caught.value)


@pytest.mark.parametrize(
    ("rounding", "um"), [("nearest", 11_906), ("up", 11_907), ("down", 11_906)]
)
def test_what_is_no_whole_micrometre_goes_the_way_asked(rounding: Rounding, um: int) -> None:
    # 15/32 in = 11.90625 mm; conversion tables print 11.9062 or 11.9063. Recomputed.
    assert parse_length("15/32", "in", rounding=rounding) == um
    assert (parse_length("1/64", "in", rounding="up"), parse_length("1/64", "in", rounding="down")
            ) == (397, 396)  # fmt: skip


def test_the_inch_is_25_4_millimetres_exactly() -> None:
    # NBS Circular 572, addendum: since 1 July 1959; 1/64 in = 0.396875 mm follows.
    assert parse_length("1 in", "mm") == parse_length("25.4 mm", "in") == 25_400
    assert parse_length("64 in", "mm") == 64 * 25_400
    assert abs(Fraction(396_875, 1000) - parse_length("1/64 in", "mm")) <= Fraction(1, 2)


@pytest.mark.parametrize(("decimal", "shown"), [("0.400", "13/32"), ("0.123", "1/8")])
def test_a_decimal_inch_prints_as_the_nearest_64th_reduced(decimal: str, shown: str) -> None:
    # Published decimal-to-fraction conversions, recomputed: 25.6 and 7.872 sixty-fourths.
    assert format_length(parse_length(decimal, "in"), "in", step=Fraction(INCH, 64)) == shown


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        # US frame sizes, mefoto.com/picture-frame-sizes.
        *((str(side), "in") for side in (4, 5, 6, 7, 8, 10, 11, 12, 14, 16, 18, 20, 24, 36)),
        ("8 1/2", "in"),
        # ISO 216, the A series.
        *((str(side), "mm") for side in (1189, 841, 594, 420, 297, 210, 148, 105)),
        # Stretcher depths, arthausframing.com.
        ("1/2", "in"),
        ("3/4", "in"),
        ("1 1/2", "in"),
    ],
)
def test_the_usual_sizes_print_as_they_are_written(text: str, unit: Unit) -> None:
    assert format_length(parse_length(text, unit), unit) == text


@pytest.mark.parametrize(
    ("um", "unit", "rounding", "shown"),
    [
        (603_250, "in", "nearest", "23 3/4"),
        (603_250, "mm", "nearest", "603.5"),
        (603_249, "mm", "nearest", "603"),
        (603_001, "mm", "up", "603.5"),
        (603_499, "mm", "down", "603"),
        (603_251, "in", "up", "23 13/16"),
        (603_249, "in", "down", "23 11/16"),
        (25_399, "in", "nearest", "1"),
        (0, "in", "nearest", "0"),
        (793, "in", "nearest", "0"),
        (-100, "in", "nearest", "0"),
        (-6_350, "in", "nearest", "-1/4"),
        (-2_000, "mm", "nearest", "-2"),
    ],
)
def test_a_length_prints_in_the_shops_unit_rounded_as_asked(
    um: int, unit: Unit, rounding: Rounding, shown: str
) -> None:
    assert format_length(um, unit, rounding=rounding) == shown


@pytest.mark.parametrize(
    ("um", "unit", "shown"),
    [
        (603_250, "in", "23 3/4 in"), (397, "in", "1/64 in"), (586_740, "in", "23.1 in"),
        (1, "in", "0.00004 in"), (0, "in", "0 in"), (INCH, "in", "1 in"),
        (603_250, "mm", "603.25 mm"), (1, "mm", "0.001 mm"), (100_000, "mm", "100 mm"),
    ],
)  # fmt: skip
def test_an_exact_length_hides_nothing(um: int, unit: Unit, shown: str) -> None:
    assert exact_length(um, unit) == shown


def test_a_length_below_nothing_has_no_exact_text() -> None:
    with pytest.raises(ValueError, match="below nothing"):
        exact_length(-1, "mm")


def test_a_stretch_is_read_with_its_ends_outward() -> None:
    assert parse_span("12..13 1/64 in", "mm") == (12_000, 330_597)
    assert parse_span("1/64..2/64", "in") == (396, 794)
    with pytest.raises(Unreadable, match=r"FROM\.\.TO"):
        parse_span("12 to 13", "in")


@given(LENGTHS, UNITS, UNITS)
def test_an_exact_length_reads_back_to_the_same_micrometre(um: int, unit: Unit, shop: Unit) -> None:
    assert parse_length(exact_length(um, unit), shop) == um


@given(st.integers(0, 64 * 3_900), st.sampled_from([16, 32, 64]))
def test_fractions_survive_being_printed_and_read(sixtyfourths: int, denominator: int) -> None:
    parts = sixtyfourths * denominator // 64
    um = parse_length(f"{parts // denominator} {parts % denominator}/{denominator}", "in") if (
        parts % denominator
    ) else parts // denominator * INCH  # fmt: skip
    assert abs(um - Fraction(parts * INCH, denominator)) <= Fraction(1, 2)
    assert parse_length(format_length(um, "in", step=Fraction(INCH, denominator)), "in") == um


@given(LENGTHS)
def test_every_thousandth_of_a_millimetre_is_exact(um: int) -> None:
    assert parse_length(f"{um // 1000}.{um % 1000:03d} mm", "in") == um


@given(LENGTHS, UNITS, st.sampled_from([16, 32, 64]))
def test_print_is_within_half_a_step_and_up_and_down_enclose_the_length(
    um: int, unit: Unit, denominator: int
) -> None:
    step = Fraction(INCH, denominator) if unit == "in" else Fraction(500)

    def read(rounding: Rounding) -> Fraction:
        text = format_length(um, unit, step=step, rounding=rounding)
        if unit == "mm":
            return Fraction(text) * 1000
        return sum((Fraction(part) for part in text.split()), Fraction(0)) * INCH

    assert abs(read("nearest") - um) <= step / 2
    assert um - step < read("down") <= um <= read("up") < um + step


@given(LENGTHS, UNITS)
def test_reading_up_and_down_differ_by_no_more_than_a_micrometre(um: int, unit: Unit) -> None:
    text = f"{um // 12_345}.{um % 99_991} {unit}"
    down, nearest, up = (outcome(text, unit, way) for way in WAYS)
    if isinstance(down, int) and isinstance(nearest, int) and isinstance(up, int):
        assert down <= nearest <= up <= down + 1
    else:
        assert down == nearest == up


def outcome(text: str, unit: Unit, rounding: Rounding = "nearest") -> int | str:
    """A text's length, or what the shop says in refusing it; any other error is a fault."""
    try:
        return parse_length(text, unit, rounding=rounding)
    except Unreadable as error:
        return str(error)


def sane(read: int | str) -> bool:
    """A length the shop may have, or a refusal on one printable line."""
    if isinstance(read, int):
        return 0 <= read <= LONGEST_UM
    return read.startswith("cannot read '") and read.isprintable()


@given(st.text(max_size=60), UNITS)
def test_any_text_is_a_sane_length_or_refused(text: str, unit: Unit) -> None:
    assert sane(outcome(text, unit))


ALPHABET = "0123456789 /.,-'\"¼¾⅞mcinft\u2032\u2033\u2044\u2013\u00a0²٣\x00e+"


@given(st.text(ALPHABET, max_size=45), UNITS)
def test_any_jumble_of_a_lengths_own_signs_is_a_sane_length_or_refused(
    text: str, unit: Unit
) -> None:
    assert sane(outcome(text, unit))


@given(
    st.sampled_from(list(SPELT)), st.integers(0, 20), st.integers(0, 3),
    st.text(ALPHABET, max_size=3) | st.text(max_size=3), UNITS,
)  # fmt: skip
def test_a_slip_of_the_finger_gives_a_sane_length_or_a_refusal(
    text: str, at: int, lost: int, typed: str, unit: Unit
) -> None:
    slipped = text[:at] + typed + text[at + lost :]
    assert sane(outcome(slipped, unit))
    if isinstance(read := outcome(slipped, unit), int):
        assert outcome(f"  {slipped} ", unit) == read
