"""The order in which a framer reads ids and fetches pieces, so that equal input plans alike."""

import re
from datetime import date

from planner.values import Frame, Piece

__all__ = ["by_age", "by_due", "fetch_order", "natural"]

_DIGITS = re.compile("([0-9]+)")


Natural = tuple[list[str | tuple[int, str]], str]


def natural(text: str) -> Natural:
    """Ids as people count them: ``S2`` before ``S10``; the text itself settles ``S2`` and ``S02``.

    A sort key: letters and numbers in turn, of numbers those of fewer digits first.
    """
    parts: list[str | tuple[int, str]] = [*_DIGITS.split(text)]
    for at in range(1, len(parts), 2):
        digits = str(parts[at]).lstrip("0")
        parts[at] = len(digits), digits
    return parts, text


def by_age(piece: Piece) -> tuple[date, int, str]:
    """Oldest pieces first, then the lowest ids; a piece of unknown age counts as oldest.

    Of a hundred thousand pieces: ids are not parted, those of fewer signs are lower.
    """
    return piece.since or date.min, len(piece.id), piece.id


def fetch_order(piece: Piece) -> tuple[str, bool, date, Natural]:
    """The order of a plan's cuts: profile, offcuts before sticks, oldest first, lowest id."""
    return piece.profile, piece.kind == "stick", piece.since or date.min, natural(piece.id)


def by_due(frame: Frame) -> tuple[date, Natural]:
    """Earliest due first, then the lowest ids; a frame without a due date comes last."""
    return frame.due or date.max, natural(frame.id)
