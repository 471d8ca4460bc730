"""Numbers and yes and no as they are typed on either side of the sea."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.refusals import Unreadable
from stockroom.settings.label_sheet import read_label_sheet
from stockroom.units.decimals import parse_number, yes_or_no
from stockroom.units.money import parse_money


@pytest.mark.parametrize(
    ("typed", "number"),
    [("1,5", "1.5"), ("1.5", "1.5"), ("1.234,50", "1234.5"), ("1,234.50", "1234.5"),
     ("1 234,5", "1234.5"), ("1'234.50", "1234.5"), ("1\u202f234", "1234"), ("0,125", "0.125"),
     ("1,234,567", "1234567"), ("1.234", "1.234"), (",5", "0.5"), ("12", "12"), ("12,", "12")],
)  # fmt: skip
def test_a_number_is_read_with_its_decimals_and_thousands(typed: str, number: str) -> None:
    assert parse_number(typed) == Fraction(number)


@pytest.mark.parametrize("typed", ["1,234", "", "x", "1,23,4", "1.2.3", "--1", "nan", "1e5", "٣"])
def test_a_doubtful_number_is_refused(typed: str) -> None:
    with pytest.raises(Unreadable):
        parse_number(typed)


@given(st.integers(0, 10**8))
def test_money_is_read_with_comma_point_and_thousands(minor: int) -> None:
    whole, rest = divmod(minor, 100)
    for typed in (f"{whole}.{rest:02d}", f"{whole},{rest:02d}", f"{whole:,}.{rest:02d}",
                  f"{whole:,}".replace(",", ".") + f",{rest:02d}"):  # fmt: skip
        assert parse_money(typed) == minor


@pytest.mark.parametrize("word", ["yes", "Ja", "oui", "sí"])
def test_yes_is_read_in_the_shops_language(word: str) -> None:
    assert yes_or_no(word)
    assert not yes_or_no("nein")
    with pytest.raises(Unreadable, match="yes or no"):
        yes_or_no("perhaps")


def test_label_sheets_take_decimal_commas() -> None:
    told = "a4 3x7 of 63.5x38.1 from 7.2x15.1 every 66x38.1"
    assert read_label_sheet(told.replace(".", ",")) == read_label_sheet(told)
