"""The order in which a framer reads ids and fetches pieces, so that equal input plans alike."""

import re
from datetime import date

from planner.values import Frame, Piece

__all__ = ["by_age", "by_due", "fetch_order", "natural"]

_DIGITS = re.compile("([0-9]+)")


def natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """Ids as people count them: ``S2`` before ``S10``; the text itself settles ``S2`` and ``S02``.

    A sort key: runs of digits compare as numbers and come before letters.
    """
    if text.isascii() and text.isdecimal():
        return (0, int(text), ""), (2, 0, text)
    parts = [p for p in _DIGITS.split(text) if p]
    key = [(0, int(p), "") if p[0] in "0123456789" else (1, 0, p) for p in parts]
    return (*key, (2, 0, text))


def by_age(piece: Piece) -> tuple[date, tuple[tuple[int, int, str], ...]]:
    """Oldest pieces first, then the lowest ids; a piece of unknown age counts as oldest."""
    return piece.since or date.min, natural(piece.id)


def fetch_order(piece: Piece) -> tuple[str, bool, date, tuple[tuple[int, int, str], ...]]:
    """The order of a plan's cuts: profile, offcuts before sticks, oldest first, lowest id."""
    return piece.profile, piece.kind == "stick", *by_age(piece)


def by_due(frame: Frame) -> tuple[date, tuple[tuple[int, int, str], ...]]:
    """Earliest due first, then the lowest ids; a frame without a due date comes last."""
    return frame.due or date.max, natural(frame.id)
