"""Lengths: whole micrometres inside, the trade's fractions and millimetres at the edges.

An inch is 25 400 um exactly, so every 0.001 mm is exact and every 1/64 in within half a micrometre.
No float touches a length.
"""

import re
from fractions import Fraction
from math import ceil, floor
from typing import Literal, TypeAlias

from stockroom.refusals import Unreadable

__all__ = [
    "HALF_MM",
    "INCH_UM",
    "LONGEST_UM",
    "TYPED_UM",
    "UNITS",
    "Micrometres",
    "Rounding",
    "Unit",
    "exact_length",
    "format_length",
    "on_step",
    "parse_length",
    "parse_span",
    "parted",
    "rounded",
]

Micrometres: TypeAlias = int
Unit = str
"""The name of a unit; those that a shop may measure in are in shop_unit."""
Rounding = Literal["up", "down", "nearest"]

INCH_UM = 25_400
HALF_MM, SIXTEENTH = Fraction(500), Fraction(INCH_UM, 16)
"""What lengths are printed to where no other step is told, metric or in inches; um exactly."""
TYPED_UM = 5
"""What the rounding of typed parts to whole micrometres may add up to in a length."""
LONGEST_UM = 100_000_000
SHORTEST_TEXT, LONGEST_TEXT = 1, 40

UNITS = {
    "mm": 1_000, "cm": 10_000, "m": 1_000_000,
    "in": INCH_UM, "inch": INCH_UM, "inches": INCH_UM, '"': INCH_UM,
    "ft": 12 * INCH_UM, "foot": 12 * INCH_UM, "feet": 12 * INCH_UM, "'": 12 * INCH_UM,
}  # fmt: skip
INCHES = ("in", "inch", "inches", '"')
FEET = ("ft", "foot", "feet", "'")
VULGAR = {
    "¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅓": "1/3", "⅔": "2/3",
}  # fmt: skip
VULGAR_SIGN = re.compile(rf"(\d?)([{''.join(VULGAR)}])(?![\d/\u2044])", re.ASCII)
ALIKE = {
    0x2032: "'", 0x2019: "'", 0x2018: "'", 0x2033: '"', 0x201D: '"', 0x201C: '"',
    0x2044: "/", 0x2010: "-", 0x2011: "-", 0x2013: "-",
    0x0009: " ", 0x00A0: " ", 0x202F: " ", **dict.fromkeys(range(0x2000, 0x200B), " "),
}  # fmt: skip
"""Typographic primes, quotes, slash, hyphens and spaces, and what they stand for."""

AMOUNT = r"(?:(?P<{0}whole>\d+)(?: | - |-)(?P<{0}top>\d+)/(?P<{0}bottom>\d+)" \
         r"|(?P<{0}only_top>\d+)/(?P<{0}only_bottom>\d+)" \
         r"|(?P<{0}decimal>\d+(?:[.,]\d+)?|[.,]\d+))"  # fmt: skip
FEET_AND_INCHES = re.compile(
    r"(?P<feet>\d+) ?(?:'|ft|foot|feet)(?: - |-| ?)" + AMOUNT.format("i_")
    + r" ?(?:\"|in|inch|inches)?", re.ASCII | re.IGNORECASE,
)  # fmt: skip
SINGLE = re.compile(AMOUNT.format("") + r" ?(?P<unit>[a-z]+|'|\")?", re.ASCII | re.IGNORECASE)


def parse_length(text: str, unit: Unit, *, rounding: Rounding = "nearest") -> Micrometres:
    """Reads a length as a framer writes it; a bare number takes the shop's ``unit``.

    ``rounding`` says which way what is no whole micrometre goes: rails and artwork up, stock down.

    Raises:
        Unreadable: the text is doubtful; says what was read and what would be accepted.
    """
    if not SHORTEST_TEXT <= len(text.strip()) <= LONGEST_TEXT:
        raise Unreadable(text, "of_length")
    plain = spelt_out(text)
    both = FEET_AND_INCHES.fullmatch(plain)
    if both:
        inches = amount(both, "i_", text)
        if inches >= 12:
            raise Unreadable(text, "of_length")
        exact = (int(both["feet"]) * 12 + inches) * INCH_UM
    else:
        exact = single(plain, unit, text)
    if exact > LONGEST_UM:
        raise Unreadable(text, "of_length")
    return Micrometres(rounded(exact, rounding))


def parse_span(text: str, unit: Unit) -> tuple[Micrometres, Micrometres]:
    """Reads a stretch FROM..TO, both from the label's end; what is not whole makes it longer.

    Raises:
        Unreadable: it is not two lengths with two dots between.
    """
    start, dots, end = text.partition("..")
    if not dots:
        raise Unreadable(text, "of_span")
    return parse_length(start, unit, rounding="down"), parse_length(end, unit, rounding="up")


def parted(text: str, unit: Unit) -> list[str]:
    """Lengths typed with / or ; between, each as typed.

    Where a length may be in inches a slash divides with a space on either side only: fractions have
    slashes too.
    """
    named = set(re.findall(r"[a-z]+|['\"]", spelt_out(text))) or {unit}
    return re.split(" / |;" if named & {*INCHES, *FEET} else "[/;]", text)


def spelt_out(text: str) -> str:
    """The text with typographic quotes, spaces and fractions as plain characters."""
    plain = VULGAR_SIGN.sub(vulgar_fraction, text)
    return re.sub(r" +", " ", plain.translate(ALIKE).strip().lower())


def vulgar_fraction(match: re.Match[str]) -> str:
    """A fraction of one sign, spelt out, apart from a digit before it."""
    digit, sign = match.groups()
    return f"{digit} {VULGAR[sign]}" if digit else VULGAR[sign]


def single(plain: str, unit: Unit, text: str) -> Fraction:
    """A length in one unit, in micrometres."""
    match = SINGLE.fullmatch(plain)
    named = match["unit"] or unit if match else ""
    if match is None or named not in UNITS:
        raise Unreadable(text, "of_length")
    if match["decimal"] is None and named not in (*INCHES, *FEET):
        raise Unreadable(text, "of_fraction")
    return amount(match, "", text) * UNITS[named]


def amount(match: re.Match[str], prefix: str, text: str) -> Fraction:
    """The number that a match holds, exactly."""
    decimal = match[f"{prefix}decimal"]
    if decimal is not None:
        if re.fullmatch(r"[1-9]\d{0,2},\d{3}", decimal):
            raise Unreadable(
                text, "one_or_other", one=decimal.replace(",", "."), other=decimal.replace(",", "")
            )
        return Fraction(decimal.replace(",", ".") if decimal[0].isdigit() else f"0.{decimal[1:]}")
    top = int(match[f"{prefix}top"] or match[f"{prefix}only_top"])
    bottom = int(match[f"{prefix}bottom"] or match[f"{prefix}only_bottom"])
    if not 0 < top < bottom <= 1000:
        raise Unreadable(text, "of_length")
    return int(match[f"{prefix}whole"] or 0) + Fraction(top, bottom)


def rounded(exact: Fraction, rounding: Rounding) -> int:
    """A whole number from an exact one; halves go up."""
    if rounding == "up":
        return ceil(exact)
    return floor(exact) if rounding == "down" else floor(exact + Fraction(1, 2))


def on_step(um: Micrometres, step: Fraction, rounding: Rounding) -> Micrometres:
    """A length that can be set: a whole number of steps, rounded as told.

    A rail goes up and stock down. What lies within the rounding of typed parts of a step is taken
    for it. A step that is no whole micrometre is kept as the next one up for a rail and down for
    stock, so that what is printed fits where what is kept does.
    """
    if rounding == "down":
        steps = steps_in(um + TYPED_UM, step, "down")
        return min(um, steps * step.numerator // step.denominator)
    slip = TYPED_UM if rounding == "up" else 0
    return -(-steps_in(um - slip, step, rounding) * step.numerator // step.denominator)


def steps_in(um: Micrometres, step: Fraction, rounding: Rounding) -> int:
    """How many steps a length is; halves go up. In whole numbers: a rack has many lengths."""
    parts, step_parts = um * step.denominator, step.numerator
    if rounding == "nearest":
        return (2 * parts + step_parts) // (2 * step_parts)
    return -(-parts // step_parts) if rounding == "up" else parts // step_parts


def format_length(
    um: Micrometres, unit: Unit, *, step: Fraction | None = None, rounding: Rounding = "nearest"
) -> str:
    """A length as the shop prints it, without its unit: ``23 3/4``, or ``603.5`` mm.

    It goes to ``step`` (micrometres; the unit's usual one unless told), inches as reduced
    fractions; below nothing, it is the amount that is rounded.
    """
    if um < 0:
        shown = format_length(-um, unit, step=step, rounding=rounding)
        return shown if shown == "0" else f"-{shown}"
    step = step or (SIXTEENTH if unit in INCHES else HALF_MM)
    parts = steps_in(um, step, rounding) * step.numerator
    if unit not in INCHES:
        return decimal_text(parts // step.denominator, UNITS[unit])
    return fraction_text(Fraction(parts, step.denominator * INCH_UM))


def decimal_text(um: Micrometres, each: int) -> str:
    """A length in units of ``each`` um, a power of ten, exactly and without trailing zeros."""
    whole, rest = divmod(um, each)
    places = len(str(each)) - 1
    return f"{whole}.{rest:0{places}d}".rstrip("0").rstrip(".")


def fraction_text(inches: Fraction) -> str:
    """Inches as a whole number and a reduced fraction."""
    whole, rest = divmod(inches.numerator, inches.denominator)
    if rest == 0:
        return str(whole)
    fraction = f"{rest}/{inches.denominator}"
    return f"{whole} {fraction}" if whole else fraction


def exact_length(um: Micrometres, unit: Unit) -> str:
    """A length with its unit, as text that reads back to the very same micrometre.

    Raises:
        ValueError: it is below nothing, which no text reads back to.
    """
    if um < 0:
        raise ValueError(f"a length of {um} um; it cannot be below nothing")
    if unit not in INCHES:
        return f"{decimal_text(um, UNITS[unit])} {unit}"
    sixtyfourths = Fraction(rounded(Fraction(um * 64, INCH_UM), "nearest"), 64)
    if rounded(sixtyfourths * INCH_UM, "nearest") == um:
        return f"{fraction_text(sixtyfourths)} in"
    parts = rounded(Fraction(um * 100_000, INCH_UM), "nearest")
    return f"{parts // 100_000}.{parts % 100_000:05d}".rstrip("0") + " in"
