"""The order of the walk along the rack."""

import re

from stockroom.views.sheet import SheetPiece

__all__ = ["spot_order", "walk_order"]


def spot_order(spot: str) -> tuple[tuple[int, int, str], ...]:
    """A key that puts A2 before A10, and pieces of no known place last."""
    if not spot:
        return ((2, 0, ""),)
    return tuple(
        (0, int(part), "") if part.isdecimal() else (1, 0, part.upper())
        for part in re.findall(r"\d+|\D+", spot)
    )


def walk_order(piece: SheetPiece) -> tuple[object, ...]:
    """A key that puts pieces in the order of the walk."""
    return (spot_order(piece.spot), piece.number)
