"""What a mitre takes: saw loss along the stick, angles, and how much moulding a frame wants."""

import math
from fractions import Fraction
from math import isqrt

from stockroom.units.lengths import Micrometres

__all__ = [
    "mitre_angle",
    "outer_minus_inner",
    "rule_of_thumb",
    "saw_loss",
    "stick_for",
]


def saw_loss(kerf: Micrometres, sides: int = 4) -> Micrometres:
    """What a blade takes along the stick at the mitre of an n-sided frame, rounded up, um.

    The formula is k / cos(180/n).

    Raises:
        ValueError: a frame has at least three sides.
    """
    mitre_angle(sides)
    if sides == 4:
        root = isqrt(2 * kerf * kerf)
        return Micrometres(root + (root * root < 2 * kerf * kerf))
    if sides == 3:
        return Micrometres(2 * kerf)
    return Micrometres(math.ceil(kerf / math.cos(math.pi / sides)))


def mitre_angle(sides: int) -> Fraction:
    """The mitre angle from square, degrees: 180/n.

    Raises:
        ValueError: a frame has at least three sides.
    """
    if sides < 3:
        raise ValueError(f"{sides} sides; a frame has at least three")
    return Fraction(180, sides)


def outer_minus_inner(width: Micrometres, sides: int = 4) -> int:
    """How much longer a rail's back edge is than its sight edge, um: 2 W tan(180/n), rounded up.

    Raises:
        ValueError: a frame has at least three sides.
    """
    mitre_angle(sides)
    if sides == 4:
        return 2 * width
    return math.ceil(2 * width * math.tan(math.pi / sides))


def rule_of_thumb(
    width: Micrometres, height: Micrometres, face: Micrometres, lump: int = 0
) -> Micrometres:
    """Moulding to ask for without measuring the rabbet: the perimeter, eight faces, and a lump."""
    return Micrometres(2 * (width + height) + 8 * face + lump)


def stick_for(rails: tuple[Micrometres, ...], allowance: Micrometres) -> Micrometres:
    """The usable stick that yields these rails: their sum, and a cut between each two, um."""
    return Micrometres(sum(rails) + max(0, len(rails) - 1) * allowance)
