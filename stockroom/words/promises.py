"""What is said of a day that a job is wanted by."""

from collections.abc import Sequence
from datetime import date

from stockroom.words.language import word

__all__ = ["promise_said"]

SAID = {
    "now": "Yes, by {by:day}: cut now from {pieces:piece|pieces} {pieces}.",
    "coming": "Yes, by {by:day}, with sticks that are on order: they are due {day:day}, it is cut "
    "by {cut_by:day}.",
    "to order": "Yes, by {by:day}, if sticks are ordered by {day:day}: it is cut by {cut_by:day}.",
    "later": "Not by {by:day}: sticks ordered today come too late.\n"
    "It could be ready by {day:day}.",
    "never": "Not in this moulding: it can't be had any more.",
}


def promise_said(
    answer: str, by: date, cut_by: date, day: date | None, pieces: Sequence[int],
    alike: Sequence[str],
) -> list[str]:  # fmt: skip
    """The answer in a sentence or two, and mouldings like it that could be cut at once."""
    said = word(SAID[answer], by=by, cut_by=cut_by, day=day, pieces=tuple(pieces))
    more = word("On the rack now, nearest in look: {mouldings}.", mouldings=tuple(alike))
    return [*said.splitlines(), *[more] * bool(alike)]
