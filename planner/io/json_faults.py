"""The faults of a JSON text in words: where each is, what was read, what is expected."""

from collections.abc import Iterator
from typing import Any

from planner.io.fields import shown
from planner.validate import given_twice

__all__ = ["said", "twice"]

EXPECTED = {
    "tuple_type": "a list in brackets is expected",
    "dataclass_type": "an object in braces is expected",
    "dict_type": "an object in braces is expected",
    "string_type": "a text is expected",
    "string_pattern_mismatch": "a text is expected",
    "string_unicode": "half a character can't be written",
}
"""What is expected where something else was read."""


def said(fault: Any, known: list[str]) -> str:
    """A fault of the schema: where it is, what was read or is missing, and which keys are known."""
    *above, last = fault["loc"] or ("",)
    if fault["type"] == "missing":
        return f"{_place(above)}: {last} is missing"
    if fault["type"] == "unexpected_keyword_argument":
        return f"{_place(above)}: unknown key {shown(last)}; known are {', '.join(known)}"
    place = _place(fault["loc"])
    if fault["type"] == "value_error":
        return f"{place}: {fault['ctx']['error']}"
    if fault["type"] == "told":
        return f"{place}: {fault['msg']}"
    expected = EXPECTED.get(fault["type"]) or f"{fault['ctx']['expected']} is expected"
    return f"{place}: {shown(fault['input'])} was read; {expected}"


def _place(loc: Any) -> str:
    """A place in the text, such as ``pieces[0].length_mm``."""
    parts = (f"[{part}]" if isinstance(part, int) else f".{part}" for part in loc)
    return "".join(parts).removeprefix(".") or "problem"


def twice(data: Any) -> Iterator[str]:
    """Ids that are given twice among what could be read."""
    for what in ("piece", "frame"):
        rows = data.get(f"{what}s") if isinstance(data, dict) else None
        rows = rows if isinstance(rows, list) else []
        ids = (row.get("id") for row in rows if isinstance(row, dict))
        yield from given_twice(what, (name for name in ids if isinstance(name, str) and name))
