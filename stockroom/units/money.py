"""Money: whole minor units inside; parsed and printed with two decimals."""

import re
from fractions import Fraction

from stockroom.refusals import Unreadable
from stockroom.units.decimals import plain_number
from stockroom.units.lengths import Micrometres, rounded

__all__ = ["format_money", "parse_money", "price_of_length"]


def parse_money(text: str) -> int:
    """An amount as typed, in minor units (hundredths).

    Raises:
        Unreadable: it is none, or has more than two decimals.
    """
    match = re.fullmatch(r"(\d{1,7})(?:\.(\d{1,2}))?", plain_number(text, "of_money"), re.ASCII)
    if match is None or int(match[1]) > 1_000_000:
        raise Unreadable(text, "of_money")
    return int(match[1]) * 100 + int((match[2] or "").ljust(2, "0"))


def format_money(minor: int, mark: str = "") -> str:
    """An amount with two decimals, after the shop's currency mark."""
    sign = "-" if minor < 0 else ""
    whole, rest = divmod(abs(minor), 100)
    return f"{sign}{mark}{whole}.{rest:02d}"


def price_of_length(
    um: Micrometres, price_minor: int, per_um: int = 1_000_000, percent: int = 0
) -> int:
    """What a length costs at a price per metre (or per ``per_um``), with a surcharge; minor units.

    Rounded to the nearest minor unit, halves up.
    """
    return rounded(Fraction(um * price_minor * (100 + percent), per_um * 100), "nearest")
