"""What a page calls its fields: a refusal names one as its label does, whatever form it is in.

A refusal is worded before its page is made, so it marks each name; a page that is whole has the
labels, in the language it is in, and each mark becomes the label of its field.
"""

import re
from collections.abc import Mapping

from stockroom.refusals import StockroomError, Unreadable

__all__ = ["field_typed", "labelled", "marked"]

MARK = re.compile("\ue000([^\ue001]*)\ue001(:?)")
LABEL = re.compile(r'<label for="f-(\w+?)(?:-\d+)?">([^<]*)</label>')
IN_PLACE = re.compile(r'<input [^>]*name="([^"]+)"[^>]* aria-label="([^"]*)"')
"""A field in a table has its label in itself."""


def marked(name: str) -> str:
    """A field's name, until its label is known."""
    return f"\ue000{name}\ue001"


def labelled(text: str, unlabelled: str = "{name}") -> str:
    """A page, or a text of its, in which each field is called as its label does; one that has
    no label there as ``unlabelled`` says."""
    if "\ue000" not in text:
        return text
    labels = dict([*reversed(LABEL.findall(text)), *IN_PLACE.findall(text)])

    def called(mark: re.Match[str]) -> str:
        label = labels.get(mark[1]) or unlabelled.format(name=mark[1])
        return f"{label}:" if mark[2] else f"“{label}”"

    return MARK.sub(called, text)


def field_typed(error: StockroomError, form: Mapping[str, str]) -> str:
    """The field that a refusal is about: the one it names, or the one that has what was not read.

    Empty where that may be several, or none.
    """
    if error.column or not isinstance(error, Unreadable) or not (read := error.about["read"]):
        return error.column
    exactly = [name for name, text in form.items() if text.strip() == read.strip()]
    within = exactly or [name for name, text in form.items() if read in text]
    return within[0] if len(within) == 1 else ""
