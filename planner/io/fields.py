"""What JSON holds, as the plain types of a schema: decimal numbers, lengths in mm.

Each type reads what JSON gives and takes what the planner has, and is written as JSON again.
"""

import json
import re
from collections.abc import Callable
from contextlib import suppress
from datetime import date
from decimal import Decimal, InvalidOperation
from functools import lru_cache
from typing import Any

from pydantic_core import CoreSchema, PydanticCustomError, SchemaValidator
from pydantic_core import core_schema as cs

from planner.values import Micrometres, Reason, Told, Unsaid

__all__ = ["PLAIN", "decimal_of", "is_text", "pair", "reason_written", "shown"]

# A kilometre: beyond any rack, and small enough that sums stay exact everywhere.
LONGEST_MM = 1_000_000
MOST_WHOLE = 2**31
# A text says something: not all of its signs are blank, as Python sees them.
SAYING = r"[^\s\x1c-\x1f]"
TEXT = cs.str_schema(strict=True, pattern=SAYING)
_TEXT = SchemaValidator(TEXT)


def is_text(value: str) -> bool:
    """Whether a text can be written as UTF-8: JSON's escapes can name halves of characters."""
    return value.isascii() or not any("\ud800" <= c <= "\udfff" for c in value)


def shown(value: Any) -> str:
    """What was read, short enough for one line."""
    if isinstance(value, Decimal):
        text = str(value)
    elif isinstance(value, dict | list | tuple):
        text = "an object" if isinstance(value, dict) else "a list"
    else:
        text = json.dumps(value, default=str)
    return text if len(text) <= 40 else text[:37] + "..."


def _wrong(value: Any, expected: str, unit: str = "") -> PydanticCustomError:
    said = f"{shown(value)}{unit} was read; {expected}"
    return PydanticCustomError("told", "{said}", {"said": said})


def decimal_of(text: str) -> Decimal:
    """A number as it was written; one too large for any is not finite."""
    try:
        return Decimal(text)
    except InvalidOperation:
        return Decimal("Infinity")


def _number(value: Any) -> Decimal:
    if isinstance(value, Decimal) and value.is_finite():
        return value
    raise _wrong(value, "a number is expected")


def _micrometres(value: Any) -> int:
    """Decimal mm, exactly, as micrometres; micrometres as they are."""
    if type(value) is int:
        return value
    number = _number(value)
    if number.copy_abs() > LONGEST_MM:
        raise _wrong(value, f"at most {LONGEST_MM} mm is accepted", " mm")
    if number != round(number, 3):
        raise _wrong(value, "at most 3 decimals are accepted", " mm")
    return int(number * 1000)


def _mm(um: Micrometres) -> int | float:
    """Micrometres as decimal mm: under 2**53 um the shortest decimal of the quotient is exact."""
    return um // 1000 if um % 1000 == 0 else um / 1000


def _whole(value: Any) -> int:
    number = Decimal(value) if type(value) is int else _number(value)
    if number.copy_abs() > MOST_WHOLE or number != int(number):
        raise _wrong(value, "a whole number is expected")
    return int(number)


def _seconds(value: Any) -> float:
    number = value if type(value) in (int, float) else _number(value).copy_abs()
    if number > MOST_WHOLE:
        raise _wrong(value, f"at most {MOST_WHOLE} seconds are accepted")
    return float(value)


def _truth(value: Any) -> bool:
    if not isinstance(value, bool):
        raise _wrong(value, "true or false is expected")
    return value


def _day(value: Any) -> date:
    if isinstance(value, date):
        return value
    found = _dated(value) if isinstance(value, str) else None
    if found is None:
        raise _wrong(value, 'a date such as "2026-11-25" is expected')
    return found


@lru_cache(4096)
def _dated(text: str) -> date | None:
    """The day of a text, which many pieces share."""
    if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        with suppress(ValueError):
            return date.fromisoformat(text)
    return None


def pair(value: Any) -> Any:
    """Two of something.

    Raises:
        PydanticCustomError: it is not.
    """
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise _wrong(value, "a pair in brackets is expected")
    return value


def _reason(value: Any) -> Reason:
    """A reason as it was written; earlier plans keep it in words."""
    if isinstance(value, Reason):
        return value
    if not isinstance(value, dict):
        return Reason("told", {"words": _said(value)})
    about: dict[str, Told] = {}
    for name, told in value.items():
        if name.endswith("_mm"):
            about[name.removesuffix("_mm") + "_um"] = _micrometres(told)
        elif name != "code":
            about[name] = _whole(told) if isinstance(told, Decimal) else _words(told)
    return Reason(_said(value.get("code")), about)


def _words(value: Any) -> Told:
    return tuple(map(_said, value)) if isinstance(value, list) else value and _said(value)


def _said(value: Any) -> str:
    if not _TEXT.isinstance_python(value):
        raise _wrong(value, "a text is expected")
    return str(value)


def reason_written(reason: Reason) -> dict[str, Any]:
    """A reason by its code, lengths in decimal mm."""
    written: dict[str, Any] = {"code": reason.code}
    for name, told in reason.about.items():
        if name.endswith("_um") and isinstance(told, int):
            written[name.removesuffix("_um") + "_mm"] = _mm(told)
        else:
            written[name] = list(told) if isinstance(told, tuple) else told
    return written


def _plain(read: Callable[[Any], Any], write: Callable[[Any], Any] | None = None) -> CoreSchema:
    written = None if write is None else cs.plain_serializer_function_ser_schema(write)
    return cs.no_info_plain_validator_function(read, serialization=written)


PLAIN: dict[Any, CoreSchema] = {
    Micrometres: _plain(_micrometres, _mm),
    Reason: _plain(_reason, reason_written),
    Unsaid: cs.str_schema(strict=True, pattern=rf"^$|{SAYING}"),
    bool: _plain(_truth),
    date: _plain(_day, date.isoformat),
    float: _plain(_seconds),
    int: _plain(_whole),
    str: TEXT,
}
"""How the types that values are made of are read, and written where JSON has none of the kind."""
