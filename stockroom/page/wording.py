"""How a refusal is worded on a page: what went wrong and what to do here, never a command line."""

from collections.abc import Mapping
from dataclasses import dataclass

from stockroom.page.field_labels import field_typed, marked
from stockroom.refusals import (
    Busy,
    Clash,
    NoShop,
    PlannerFault,
    Recorded,
    Refused,
    StockroomError,
    Unknown,
)
from stockroom.words.language import NO_SHOP, Shown, Voice, word

__all__ = ["Worded", "worded", "words"]

RECORDED = "Nothing was recorded twice; if this is another one, send it again."
KINDS: tuple[tuple[type[StockroomError], int, str, str], ...] = (
    (Recorded, 409, "Recorded already", RECORDED),
    (Unknown, 404, "Not found", "Check the number or the code."),
    (Clash, 409, "Somebody was first", "Look at it again; nothing was changed here."),
    (Busy, 503, "Busy for a moment", "Nothing was changed; try again."),
    (NoShop, 503, "The record can't be reached", "Look at the computer that keeps it."),
    (PlannerFault, 500, "A fault of the program", "Please report it; nothing was changed."),
    (Refused, 422, "That can't be done", ""),
    (StockroomError, 422, "Not understood", ""),
)
"""For each kind of refusal its status, its heading, and what to do where it does not say."""


@dataclass(frozen=True, slots=True)
class Worded:
    """A refusal as a page shows it; ``kind`` is its name for a program, ``fields`` those of a form
    that it is about."""

    status: int
    kind: str
    heading: str
    said: str
    remedy: str
    fields: tuple[str, ...] = ()


def words(shop: Shown = NO_SHOP) -> Voice:
    """The words of a page, lengths as its shop shows them."""
    return Voice("on_a_page", shop, called=marked)


def worded(
    error: StockroomError, shop: Shown = NO_SHOP, form: Mapping[str, str] | None = None
) -> Worded:
    """A refusal in a page's words, of what was typed in a form or not; what tells of files or
    addresses stays at the computer."""
    error.column = field_typed(error, form or {})
    status, heading, fallback = next(
        (status, heading, fallback)
        for kind, status, heading, fallback in KINDS
        if isinstance(error, kind)
    )
    kind, heading, fallback = type(error).__name__.lower(), word(heading), word(fallback)
    if isinstance(error, NoShop):
        return Worded(status, kind, heading, "", fallback)
    if isinstance(error, Recorded):
        return Worded(status, kind, heading, sentence(words(shop).say(error)), fallback)
    remedy = sentence(words(shop).remedy(error)) or fallback
    fields = (error.column, *error.about.get("missing", ()))
    return Worded(status, kind, heading, sentence(words(shop).say(error)), remedy, fields)


def sentence(text: str) -> str:
    """A text as a sentence of its own."""
    text = text.strip()
    if not text:
        return ""
    end = "" if text[-1] in ".?!" else "."
    return text[0].upper() + text[1:] + end
