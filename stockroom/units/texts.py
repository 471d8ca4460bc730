"""Names and notes as they are kept, on one line and fit for any screen; counts with their words."""

import difflib
from collections.abc import Iterable

from stockroom.refusals import Refused

__all__ = ["LONGEST", "counted", "either", "kept_text", "near"]

LONGEST = 200


def kept_text(text: str, what: str, longest: int = LONGEST) -> str:
    """A text as it is kept, without blanks around it.

    Raises:
        Refused: it is too long, or has line ends or characters that cannot be shown.
    """
    text = text.strip()
    if len(text) > longest:
        raise Refused("text_too_long", what=what, letters=len(text), longest=longest)
    if not text.isprintable():
        shown = "".join(c if c.isprintable() else ascii(c)[1:-1] for c in text[:40])
        raise Refused("text_cannot_be_shown", what=what, shown=shown)
    return text


def near(typed: str, known: Iterable[str]) -> tuple[str, ...]:
    """The known codes that look most like what was typed, best first, at most three."""
    by_upper = {code.upper(): code for code in known}
    hits = difflib.get_close_matches(typed.strip().upper(), by_upper, n=3, cutoff=0.5)
    return tuple(by_upper[hit] for hit in hits)


def either(names: Iterable[str]) -> str:
    """Names to choose from: in, mm or cm."""
    *others, last = names
    return f"{', '.join(others)} or {last}" if others else last


def counted(count: int, what: str) -> str:
    """A count with its word: 1 stick, 2 sticks."""
    return f"{count} {what}" if count == 1 else f"{count} {what}s"
