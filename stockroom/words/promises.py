"""What is said of a day that a job is wanted by."""

from collections.abc import Sequence
from datetime import date

from stockroom.units.dates import day_with_weekday

__all__ = ["promise_said"]

SAID = {
    "now": "Yes, by {by}: cut now from {pieces}.",
    "coming": "Yes, by {by}, with sticks that are on order: they are due {day}, it is cut by "
    "{cut_by}.",
    "to order": "Yes, by {by}, if sticks are ordered by {day}: it is cut by {cut_by}.",
    "later": "Not by {by}: sticks ordered today come too late.\nIt could be ready by {day}.",
    "never": "Not in this moulding: it can't be had any more.",
}


def promise_said(
    answer: str, by: date, cut_by: date, day: date | None, pieces: Sequence[int],
    alike: Sequence[str],
) -> list[str]:  # fmt: skip
    """The answer in a sentence or two, and mouldings like it that could be cut at once."""
    many = "pieces " if len(pieces) > 1 else "piece "
    told = SAID[answer].format(
        by=day_with_weekday(by), cut_by=day_with_weekday(cut_by),
        day="" if day is None else day_with_weekday(day), pieces=many + ", ".join(map(str, pieces)),
    )  # fmt: skip
    return [*told.splitlines(),
            *[f"On the rack now, nearest in look: {', '.join(alike)}."] * bool(alike)]  # fmt: skip
