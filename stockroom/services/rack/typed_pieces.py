"""Sticks, lengths and flaws of the rack as they are typed, at a keyboard or on a page."""

import re
from collections.abc import Sequence
from typing import Any

from stockroom.refusals import Unreadable
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import UNITS, parse_length, parse_span

__all__ = [
    "flaws_typed",
    "marks_typed",
    "parted_typed",
    "several_typed",
    "sticks_typed",
    "stock_length",
    "typed_whole",
]


# A count that waits for its length; what goes on with one: a unit, or a fraction after a number.
COUNT, UNIT, FRACTION = r"\d+ *[x×]", "|".join(UNITS), r"\d+ +\d+/\d+\D*"


def stock_length(text: str, settings: Settings) -> int:
    """A piece's length as typed; what is not whole is rounded down, so that rails still fit."""
    return parse_length(text, settings.unit, rounding="down")


def sticks_typed(text: str, settings: Settings) -> list[int]:
    """The lengths of some sticks, micrometres: ``3002 mm``, or ``12x 3002 mm`` for twelve.

    Raises:
        Unreadable: the length or the count is none.
    """
    count, sign, length = text.lower().replace("×", "x").partition("x")
    if not sign:
        return [stock_length(text, settings)]
    count = count.strip()
    if not (count.isascii() and count.isdecimal() and len(count) < 4 and int(count)
            and length.strip()):  # fmt: skip
        raise Unreadable(text, "of_lengths_counted")
    return [stock_length(length.strip(), settings)] * int(count)


def typed_whole(texts: Sequence[str]) -> list[str]:
    """Lengths typed at a keyboard, where a shell parted them at their blanks: ``12x``, ``3002`` and
    ``mm`` are one."""
    whole: list[str] = []
    for text in texts:
        if whole and _goes_on(whole[-1], text):
            whole[-1] += f" {text}"
        else:
            whole.append(text)
    return whole


def _goes_on(before: str, text: str) -> bool:
    """Whether a text is the rest of the one before it."""
    last = f"{before.split()[-1]} {text}" if before.split() else text
    counted = re.fullmatch(COUNT, before, re.IGNORECASE)
    named = before[-1:].isdigit() and re.fullmatch(UNIT, text, re.IGNORECASE)
    return bool(counted or named or re.fullmatch(FRACTION, last))


def several_typed(text: str) -> list[str]:
    """Lengths typed one after the other, each on a line or after a comma and a space: a comma
    without one is a decimal comma."""
    return [part.strip() for part in text.replace(", ", "\n").splitlines() if part.strip()]


def parted_typed(texts: Sequence[str], settings: Settings) -> list[int]:
    """Lengths to be cut off a piece, each as sticks are typed; none for ``all`` of the piece.

    Raises:
        Unreadable: nothing is typed, or no length.
    """
    typed = [text.strip() for text in texts if text.strip()]
    if [text.lower() for text in typed] == ["all"]:
        return []
    if not typed:
        raise Unreadable("", "of_lengths_parted")
    return [um for text in typed for um in sticks_typed(text, settings)]


def marks_typed(
    settings: Settings, longest: str | None = None, second: bool | None = None,
    owner: str | None = None, motif: str | None = None,
) -> dict[str, Any]:  # fmt: skip
    """What is said of pieces as typed, by name; none takes away what was said.

    Raises:
        Unreadable: a length is none.
    """
    told: dict[str, Any] = {}
    for name, text in (("longest", longest), ("motif", motif)):
        if text:
            none = text.strip().casefold() == "none"
            told[name] = None if none else stock_length(text, settings)
    if second is not None:
        told["grade"] = "second" if second else ""
    if owner:
        told["owner"] = "" if owner.strip().casefold() == "none" else " ".join(owner.split())
    return told


def flaws_typed(texts: Sequence[str] | None, settings: Settings) -> tuple[tuple[int, int], ...]:
    """Flaws as typed, each FROM..TO."""
    return tuple(parse_span(text, settings.unit) for text in texts or ())
