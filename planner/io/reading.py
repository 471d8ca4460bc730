"""JSON values taken apart with every fault noted beside the place it was found."""

import json
import re
from collections.abc import Callable, Iterable
from datetime import date
from decimal import Decimal
from typing import Any

__all__ = ["Number", "Reader", "is_text", "shown"]

# A kilometre: beyond any rack, and small enough that sums stay exact everywhere.
LONGEST_MM = 1_000_000
_NUMBER = re.compile(r"-?[0-9]{1,12}(\.[0-9]{1,30})?([eE][+-]?[0-9]{1,3})?")


class Number(str):
    """A number as it was written."""


class Reader:
    """Takes JSON values apart, and notes every fault on the way with the place it was found."""

    def __init__(self) -> None:
        self.faults: list[str] = []

    def fault(self, where: str, text: str) -> None:
        self.faults.append(f"{where}: {text}")

    def table(
        self, where: str, value: Any, wanted: Iterable[str], also: Iterable[str] = ()
    ) -> dict[str, Any]:
        """An object with all the ``wanted`` keys, perhaps some ``also``, and no others."""
        if not isinstance(value, dict):
            self.fault(where, f"{shown(value)} was read; an object in braces is expected")
            return {}
        wanted, also = list(wanted), list(also)
        for key in value:
            if key not in wanted and key not in also:
                known = ", ".join([*wanted, *also])
                self.fault(where, f"unknown key {shown(key)}; known are {known}")
        for key in wanted:
            if key not in value:
                self.fault(where, f"{key} is missing")
        return value

    def items(self, where: str, value: Any) -> list[Any]:
        if isinstance(value, list):
            return value
        self.fault(where, f"{shown(value)} was read; a list in brackets is expected")
        return []

    def text(self, where: str, value: Any) -> str:
        if isinstance(value, str) and not isinstance(value, Number) and value.strip():
            if not is_text(value):
                self.fault(where, f"{shown(value)} was read; half a character can't be written")
            return value
        self.fault(where, f"{shown(value)} was read; a text is expected")
        return ""

    def maybe_text(self, where: str, value: Any) -> str | None:
        return None if value is None else self.text(where, value)

    def truth(self, where: str, value: Any) -> bool:
        if not isinstance(value, bool):
            self.fault(where, f"{shown(value)} was read; true or false is expected")
        return value is True

    def day(self, where: str, value: Any) -> date | None:
        if value is None:
            return None
        if isinstance(value, str) and re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", value):
            try:
                return date.fromisoformat(value)
            except ValueError:
                pass
        self.fault(where, f'{shown(value)} was read; a date such as "2026-11-25" is expected')
        return None

    def decimal(self, where: str, value: Any) -> Decimal | None:
        if isinstance(value, Number) and _NUMBER.fullmatch(value):
            return Decimal(value)
        self.fault(where, f"{shown(value)} was read; a number is expected")
        return None

    def length(self, where: str, value: Any) -> int:
        """Decimal mm, exactly, as micrometres."""
        number = self.decimal(where, value)
        if number is None:
            return 1
        if abs(number) > LONGEST_MM:
            self.fault(where, f"{shown(value)} mm was read; at most {LONGEST_MM} mm is accepted")
            return 1
        if number != number.quantize(Decimal("0.001")):
            self.fault(where, f"{shown(value)} mm was read; at most 3 decimals are accepted")
            return 1
        return int(number * 1000)

    def made(self, where: str, make: Callable[..., Any], *args: Any, **named: Any) -> Any:
        """A value of the contract, or a fault with the reason it refuses."""
        before = len(self.faults)
        try:
            return make(*args, **named)
        except ValueError as error:
            # Where a part could not be read, what the value says about it is no news.
            if before == 0 or not any(f.startswith(f"{where}.") for f in self.faults):
                self.fault(where, str(error))
            return None


def is_text(value: str) -> bool:
    """Whether a text can be written as UTF-8: JSON's escapes can name halves of characters."""
    return not any("\ud800" <= c <= "\udfff" for c in value)


def shown(value: Any) -> str:
    """What was read, short enough for one line."""
    if isinstance(value, Number):
        text = str(value)
    elif isinstance(value, dict | list):
        text = "an object" if isinstance(value, dict) else "a list"
    else:
        text = json.dumps(value)
    return text if len(text) <= 40 else text[:37] + "..."
