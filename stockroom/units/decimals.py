"""Numbers as they are typed: 1.5 or 1,5, 1,234.50 or 1.234,50; yes and no in the shop's words."""

import re
from fractions import Fraction

from stockroom.refusals import Unreadable

__all__ = ["parse_number", "plain_number", "yes_or_no"]

GROUPED = re.compile(r"[1-9]\d{0,2}([ '.,])\d{3}(?:\1\d{3})*(?:(?!\1)[.,]\d+)?", re.ASCII)
LONE_COMMA = re.compile(r"[1-9]\d{0,2},\d{3}", re.ASCII)
LONE_POINT = re.compile(r"\d+\.\d+", re.ASCII)
DECIMAL = re.compile(r"(?:\d+(?:[.,]\d*)?|[.,]\d+)", re.ASCII)
LONGEST = 40
SPACES = str.maketrans(dict.fromkeys("\u00a0\u202f\u2009", " ") | {"\u2019": "'"})
YES = ("yes", "y", "ja", "j", "oui", "o", "sí", "si", "sì", "true", "1", "x")
NO = ("no", "n", "nein", "non", "nee", "false", "0")


def plain_number(text: str, accepted: str = "of_number") -> str:
    """A number as typed, in digits with a point: ``1234.50`` for 1.234,50.

    Raises:
        Unreadable: it is none, or may be thousands as well as decimals, as 1,234 may.
    """
    typed = text.strip().translate(SPACES)
    if LONE_COMMA.fullmatch(typed):
        raise Unreadable(
            text, "one_or_other", one=typed.replace(",", "."), other=typed.replace(",", "")
        )
    grouped = GROUPED.fullmatch(typed)
    if grouped and not LONE_POINT.fullmatch(typed):
        typed = typed.replace(grouped[1], "")
    if len(typed) > LONGEST or not DECIMAL.fullmatch(typed):
        raise Unreadable(text, accepted)
    plain = typed.replace(",", ".").rstrip(".")
    return f"0{plain}" if plain.startswith(".") else plain


def parse_number(text: str, accepted: str = "of_number") -> Fraction:
    """A number as typed, exactly.

    Raises:
        Unreadable: it is none, or could be two.
    """
    return Fraction(plain_number(text, accepted))


def yes_or_no(text: str) -> bool:
    """A word that says yes or no: in English, German, French, Spanish, Italian or Dutch.

    Raises:
        Unreadable: it says neither.
    """
    word = text.strip().lower()
    if word not in (*YES, *NO):
        raise Unreadable(text, "of_yes_or_no")
    return word in YES
