"""Money as it is typed and printed, and what a length costs."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.frame.mitres import rule_of_thumb
from stockroom.refusals import Unreadable
from stockroom.units.lengths import parse_length
from stockroom.units.money import Price, format_money, parse_money

FOOT = 304_800


@pytest.mark.parametrize(
    ("text", "minor"),
    [("12.50", 1250), ("12,50", 1250), ("12.5", 1250), ("12", 1200), (" 0.07 ", 7), ("0", 0),
     ("1000000", 100_000_000)],
)  # fmt: skip
def test_an_amount_is_read_in_whole_minor_units(text: str, minor: int) -> None:
    assert parse_money(text) == minor


@pytest.mark.parametrize(
    "text",
    ["", "12.505", "1.234", "1.23,4", "-3", "$12", "12 50", "1e3", "nan",
     "\u0661\u0662", "1²", "1000001", "9" * 10_000, "12\n50", "½"],
    ids=lambda text: ascii(text[:20]),
)  # fmt: skip
def test_a_doubtful_amount_is_refused(text: str) -> None:
    with pytest.raises(Unreadable, match="an amount such as"):
        parse_money(text)


@pytest.mark.parametrize(
    ("minor", "shown"), [(1250, "$12.50"), (7, "$0.07"), (-1205, "-$12.05"), (0, "$0.00")]
)
def test_an_amount_prints_after_the_shops_mark(minor: int, shown: str) -> None:
    assert format_money(minor, "$") == shown


@given(st.integers(0, 100_000_000))
def test_an_amount_reads_back_as_it_was_printed(minor: int) -> None:
    assert parse_money(format_money(minor)) == minor


@given(st.text(max_size=40) | st.text("0123456789.,- $e", max_size=14))
def test_any_text_is_a_sane_amount_or_refused(text: str) -> None:
    try:
        minor, said = parse_money(text), "-"
    except Unreadable as error:
        minor, said = 0, str(error)
    assert 0 <= minor <= 100_000_099
    assert said.isprintable()


def test_a_published_cut_to_size_price_comes_out() -> None:
    # "Chop service", rinaldin.ru/page/chop-service-cos: 30 x 40 cm, face 30 mm, 2.50 a metre,
    # +80 %: 1.64 m, 7.38. It counts the full face eight times.
    length = rule_of_thumb(*(parse_length(side, "mm") for side in ("30 cm", "40 cm", "30 mm")))
    assert length == 1_640_000
    assert Price(250).of(length, percent=80) == 738


@pytest.mark.parametrize(
    ("um", "price", "per", "cost"),
    [
        (8 * FOOT, 425, FOOT, 3400),
        (FOOT // 2, 425, FOOT, 213),  # 2.125: half a cent goes up
        (FOOT // 2, 423, FOOT, 212),  # 2.115
        (1_000, 249, 1_000_000, 0),
        (2_000, 250, 1_000_000, 1),
        (0, 250, 1_000_000, 0),
    ],
)
def test_a_length_costs_its_price_with_half_a_cent_up(
    um: int, price: int, per: int, cost: int
) -> None:
    assert Price(price, per).of(um) == cost
    assert Price(price, per).of(-um) == -cost
