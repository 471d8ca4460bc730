"""A frame as it is seen from its front, rail by rail; whole micrometres from its lower left corner.

Pages and pictures draw it. A regular frame stands on one of its sides.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Literal

from stockroom.frame.mitres import mitre_angle
from stockroom.frame.sizes import FrameSizes, Moulding
from stockroom.units.lengths import Micrometres

__all__ = ["FrontView", "RailLabel", "chord", "front_view"]

Point = tuple[int, int]
Outline = tuple[Point, ...]
MOST_LISTED = 6
"""So many different lengths of a list are drawn, the longest first; the table has all."""
APART = Fraction(1, 3)
"""How far lengths of a list are drawn from one another, beside the moulding's face."""
ARCH_STEPS = 24


@dataclass(frozen=True, slots=True)
class RailLabel:
    """How many rails there are of one long point (um), written at a point of the view, or ``below``
    it; and their mitre's angle where it is not a usual frame's."""

    point: Point
    align: Literal["left", "right", "centre"]
    many: int
    length_um: Micrometres
    below: bool = False
    angle: Fraction | None = None


@dataclass(frozen=True, slots=True)
class FrontView:
    """The outlines of the rails, what is written beside them, and an arch that is made apart."""

    rails: tuple[Outline, ...]
    labels: tuple[RailLabel, ...]
    apart: Outline = ()

    @property
    def extent(self) -> tuple[int, int, int, int]:
        """Left, low, right, high of everything drawn."""
        points = [point for outline in (*self.rails, self.apart) for point in outline]
        across, up = [x for x, _ in points], [y for _, y in points]
        return min(across), min(up), max(across), max(up)


def front_view(sizes: FrameSizes, moulding: Moulding) -> FrontView:
    """A job's frame from its front."""
    face, each = moulding.face_um, sizes.lengths_um
    match sizes.shape.kind:
        case "sides":
            return regular(sizes.shape.sides, each[0], face)
        case "arch":
            return arched(each, face)
        case "repair" | "straight":
            return listed(each, face, mitred=sizes.shape.kind == "repair")
        case _:
            return squared(sizes, face)


def corners(sides: int, side: float) -> list[tuple[float, float]]:
    """The corners of a regular frame of this side, from its lower left one against the clock."""
    turn, at = 2 * math.pi / sides, (0.0, 0.0)
    found = [at]
    for number in range(sides - 1):
        at = at[0] + side * math.cos(turn * number), at[1] + side * math.sin(turn * number)
        found.append(at)
    return found


def chord(sides: int, side: Micrometres, down: Fraction, inset: Fraction) -> int:
    """How wide a regular frame is so far below its top, measured between lines so far inside its
    outer edge, um: from one upright or slanting rail to the other."""
    corner = math.tan(math.pi / sides)
    inner = corners(sides, side - 2 * float(inset) * corner)
    level = max(y for _, y in inner) + float(inset) - float(down)
    crossed = [
        x1 + (x2 - x1) * (level - y1) / (y2 - y1)
        for (x1, y1), (x2, y2) in pairwise([*inner, inner[0]])
        if min(y1, y2) <= level <= max(y1, y2) and y1 != y2
    ]
    return math.floor(max(crossed) - min(crossed)) if crossed else 0


def regular(sides: int, side: Micrometres, face: Micrometres) -> FrontView:
    """A regular frame: all its sides, one of them with its length and the angle of its mitres."""
    outer = corners(sides, side)
    corner = math.tan(math.pi / sides)
    inner = [(x + face * corner, y + face) for x, y in corners(sides, side - 2 * face * corner)]
    rails = [(outer[at], outer[at + 1 - sides], inner[at + 1 - sides], inner[at])
             for at in range(sides)]  # fmt: skip
    length = RailLabel((side // 2, 0), "centre", sides, side, True, mitre_angle(sides))
    return FrontView(tuple(map(rounded, rails)), (length,))


def rounded(points: Sequence[tuple[float, float]]) -> Outline:
    """Points in whole micrometres."""
    return tuple((round(x), round(y)) for x, y in points)


def squared(sizes: FrameSizes, face: Micrometres) -> FrontView:
    """Two pairs of rails, and the bars of a strainer between them."""
    wide, high = sizes.rails_um
    rails = [
        ((0, 0), (wide, 0), (wide - face, face), (face, face)),
        ((wide, 0), (wide, high), (wide - face, high - face), (wide - face, face)),
        ((wide, high), (0, high), (face, high - face), (wide - face, high - face)),
        ((0, high), (0, 0), (face, face), (face, high - face)),
    ]
    across, upright = sizes.shape.bars
    middle = high // (2 * across + 2)
    labels = [
        RailLabel((wide // 2, 0), "centre", 2, wide, True),
        RailLabel((face, middle), "left", 2, high),
    ]
    for bar in range(across):
        low = high * (bar + 1) // (across + 1) - face // 2
        rails.append(
            ((face, low), (wide - face, low), (wide - face, low + face), (face, low + face))
        )
    for bar in range(upright):
        left = wide * (bar + 1) // (upright + 1) - face // 2
        rails.append(
            ((left, face), (left + face, face), (left + face, high - face), (left, high - face))
        )
    labels += bar_labels(sizes, face)
    return FrontView(tuple(rails), tuple(labels))


def bar_labels(sizes: FrameSizes, face: Micrometres) -> Iterator[RailLabel]:
    """How many bars go each way, and how long each is: beside the first of them."""
    wide, high = sizes.rails_um
    across, upright = sizes.shape.bars
    if across:
        low = high // (across + 1) + face // 2
        yield RailLabel((wide - face, low), "right", across, sizes.each_um[4])
    if upright:
        left = wide // (upright + 1) + face // 2
        yield RailLabel((left, high * 4 // 5), "left", upright, sizes.each_um[4 + across])


def arched(each: Sequence[Micrometres], face: Micrometres) -> FrontView:
    """A sill and two upright rails, square where the arch begins, which is made apart."""
    wide, high = each[0], each[1]
    rails = (
        ((0, 0), (wide, 0), (wide - face, face), (face, face)),
        ((wide, 0), (wide, high), (wide - face, high), (wide - face, face)),
        ((0, high), (0, 0), (face, face), (face, high)),
    )
    labels = (RailLabel((wide // 2, 0), "centre", 1, wide, True),
              RailLabel((face, high // 2), "left", 2, high))  # fmt: skip
    turns = [math.pi * step / ARCH_STEPS for step in range(ARCH_STEPS + 1)]

    def bow(reach: int, ways: Sequence[float]) -> list[tuple[float, float]]:
        return [(wide / 2 + reach * math.cos(way), high + reach * math.sin(way)) for way in ways]

    outline = (*bow(wide // 2, turns), *bow(wide // 2 - face, turns[::-1]))
    return FrontView(rails, labels, rounded(outline))


def listed(each: Sequence[Micrometres], face: Micrometres, *, mitred: bool) -> FrontView:
    """Lengths that are given themselves, each once, the longest below."""
    rails: list[Outline] = []
    labels: list[RailLabel] = []
    low = 0
    for length in sorted(set(each), reverse=True)[:MOST_LISTED]:
        end = face if mitred else 0
        high = low + face
        rails.append(((0, low), (length, low), (length - end, high), (end, high)))
        labels.append(RailLabel((length // 2, high), "centre", each.count(length), length))
        low = high + max(int(face * APART), max(each) // 8)
    return FrontView(tuple(rails), tuple(labels))
