"""What JSON holds, as the types of a schema: numbers as they were written, lengths in decimal mm.

Each type reads what JSON gives and takes what the planner has, and is written as JSON again.
"""

import json
import re
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Annotated, Any

from pydantic import BeforeValidator, PlainSerializer, PlainValidator
from pydantic_core import PydanticCustomError

from planner.values import Micrometres, Reason, Told

__all__ = ["Batch", "Because", "Day", "Flaw", "Mm", "Number", "Point", "Seconds", "Text", "Truth",
           "Whole", "is_text", "reason_written", "shown"]  # fmt: skip


# A kilometre: beyond any rack, and small enough that sums stay exact everywhere.
LONGEST_MM = 1_000_000
MOST_WHOLE = 2**31
_NUMBER = re.compile(r"-?[0-9]{1,12}(\.[0-9]{1,30})?([eE][+-]?[0-9]{1,3})?")


class Number(str):
    """A number as it was written."""


def is_text(value: str) -> bool:
    """Whether a text can be written as UTF-8: JSON's escapes can name halves of characters."""
    return value.isascii() or not any("\ud800" <= c <= "\udfff" for c in value)


def shown(value: Any) -> str:
    """What was read, short enough for one line."""
    if isinstance(value, Number):
        text = str(value)
    elif isinstance(value, dict | list | tuple):
        text = "an object" if isinstance(value, dict) else "a list"
    else:
        text = json.dumps(value, default=str)
    return text if len(text) <= 40 else text[:37] + "..."


def _wrong(value: Any, expected: str) -> PydanticCustomError:
    return PydanticCustomError("told", "{said}", {"said": f"{shown(value)} was read; {expected}"})


def _decimal(value: Any) -> Decimal:
    if isinstance(value, Number) and _NUMBER.fullmatch(value):
        return Decimal(value)
    raise _wrong(value, "a number is expected")


def _micrometres(value: Any) -> int:
    """Decimal mm, exactly, as micrometres; micrometres as they are."""
    if type(value) is int:
        return value
    # Most lengths are a few digits, and a rack has many.
    if isinstance(value, Number) and value.isdecimal() and len(value) < len(str(LONGEST_MM)):
        return int(value) * 1000
    number = _decimal(value)
    if abs(number) > LONGEST_MM:
        raise _wrong(f"{value} mm", f"at most {LONGEST_MM} mm is accepted")
    if number != number.quantize(Decimal("0.001")):
        raise _wrong(Number(f"{value} mm"), "at most 3 decimals are accepted")
    return int(number * 1000)


def _mm(um: Micrometres) -> int | float:
    """Micrometres as decimal mm: under 2**53 um the shortest decimal of the quotient is exact."""
    return um // 1000 if um % 1000 == 0 else um / 1000


def _whole(value: Any) -> int:
    number = Decimal(value) if type(value) is int else _decimal(value)
    if number != number.to_integral_value() or abs(number) > MOST_WHOLE:
        raise _wrong(value, "a whole number is expected")
    return int(number)


def _seconds(value: Any) -> float:
    return float(value if type(value) in (int, float) else _decimal(value))


def _text(value: Any) -> str:
    if not isinstance(value, str) or isinstance(value, Number) or not value.strip():
        raise _wrong(value, "a text is expected")
    if not is_text(value):
        raise _wrong(value, "half a character can't be written")
    return value


def _batch(value: Any) -> str:
    """A batch may be left empty: not known."""
    return "" if value == "" and not isinstance(value, Number) else _text(value)


def _truth(value: Any) -> bool:
    if not isinstance(value, bool):
        raise _wrong(value, "true or false is expected")
    return value


def _day(value: Any) -> date | None:
    if value is None or isinstance(value, date):
        return value
    if isinstance(value, str) and re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", value):
        try:
            return date.fromisoformat(value)
        except ValueError:
            pass
    raise _wrong(value, 'a date such as "2026-11-25" is expected')


def _two(what: str) -> Callable[[Any], Any]:
    def pair(value: Any) -> Any:
        if not isinstance(value, list | tuple) or len(value) != 2:
            raise PydanticCustomError("told", "{said}", {"said": what})
        return tuple(value)

    return pair


def _reason(value: Any) -> Reason:
    """A reason as it was written; earlier plans keep it in words."""
    if isinstance(value, Reason):
        return value
    if not isinstance(value, dict):
        return Reason("told", {"words": _text(value)})
    about: dict[str, Told] = {}
    for name, told in value.items():
        if name.endswith("_mm"):
            about[name.removesuffix("_mm") + "_um"] = _micrometres(told)
        elif name != "code":
            about[name] = _whole(told) if isinstance(told, Number) else _words(told)
    return Reason(_text(value.get("code")), about)


def _words(value: Any) -> Told:
    return tuple(map(_text, value)) if isinstance(value, list) else _batch(value)


def reason_written(reason: Reason) -> dict[str, Any]:
    """A reason by its code, lengths in decimal mm."""
    written: dict[str, Any] = {"code": reason.code}
    for name, told in reason.about.items():
        if name.endswith("_um") and isinstance(told, int):
            written[name.removesuffix("_um") + "_mm"] = _mm(told)
        else:
            written[name] = list(told) if isinstance(told, tuple) else told
    return written


Mm = Annotated[int, BeforeValidator(_micrometres), PlainSerializer(_mm)]
Whole = Annotated[int, BeforeValidator(_whole)]
Seconds = Annotated[float, BeforeValidator(_seconds)]
Text = Annotated[str, BeforeValidator(_text)]
Batch = Annotated[str, BeforeValidator(_batch)]
Truth = Annotated[bool, BeforeValidator(_truth)]
Day = Annotated[date | None, BeforeValidator(_day)]
Flaw = Annotated[
    tuple[Mm, Mm], BeforeValidator(_two("a flaw is a pair: where it starts, where it ends"))
]
Point = Annotated[
    tuple[Mm, Mm], BeforeValidator(_two("a point is a pair: a length, and its worth"))
]
Because = Annotated[Reason, PlainValidator(_reason), PlainSerializer(reason_written)]
