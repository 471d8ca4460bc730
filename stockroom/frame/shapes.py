"""What a job is cut as: a frame of two pairs of rails, or another shape; its ends at the saw.

A shape is kept, typed and written in files as a few words: ``6 sides``, ``strainer 1x0``.
"""

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from stockroom.facts import Fact
from stockroom.frame.mitres import mitre_angle, outer_minus_inner
from stockroom.refusals import Unfit, Unreadable
from stockroom.units.lengths import Micrometres

__all__ = ["FRAME", "MITRED", "Angles", "JobShape", "beyond_ends", "ends_said", "shape_told"]

ShapeKind = Literal["frame", "sides", "arch", "strainer", "outside", "repair", "straight"]
Angles = tuple[Fraction, Fraction]
"""The angles of a rail's two ends, degrees from square: 45 each for a frame's, 0 is square."""

MITRE, SQUARE = mitre_angle(4), Fraction(0)
MITRED: Angles = (MITRE, MITRE)
"""Both ends of a usual frame's rail."""
MOST_SIDES, MOST_BARS = 24, 4
SIDES = re.compile(r"([0-9]{1,3})[ -]?side[sd]")
STRAINER = re.compile(r"strainer(?: ([0-9]) ?x ?([0-9]))?")


@dataclass(frozen=True, slots=True)
class JobShape:
    """What a job is cut as.

    ``frame``: four rails around the artwork. ``sides``: a regular frame of so many, told by one
    side of its artwork. ``arch``: the three straight sides below an arch, the upright ones square
    where it begins. ``strainer``: its outside is the given size, with ``bars`` across and upright,
    square between its sides. ``outside``: a frame or liner whose outside is given. ``repair``:
    mitred rails of given long points. ``straight``: lengths cut square: battens, spacers.

    Raises:
        Unfit: there is no such frame.
    """

    kind: ShapeKind = "frame"
    sides: int = 4
    bars: tuple[int, int] = (0, 0)

    def __post_init__(self) -> None:
        if self.kind == "sides" and not (3 <= self.sides <= MOST_SIDES and self.sides != 4):
            raise Unfit("sides_out_of_bounds", sides=self.sides, most=MOST_SIDES)
        if max(self.bars) > MOST_BARS:
            raise Unfit("bars_out_of_bounds", bars=max(self.bars), most=MOST_BARS)

    @property
    def listed(self) -> bool:
        """True where its lengths are given themselves, and not an artwork."""
        return self.kind in ("repair", "straight")

    @property
    def holds(self) -> bool:
        """True where an artwork or its package lies in it."""
        return not self.listed and self.kind != "strainer"

    @property
    def hangs(self) -> bool:
        """True where all that is hung is known, so that it is weighed and fixings are told."""
        return self.kind in ("frame", "sides", "outside")

    @property
    def given_outside(self) -> bool:
        """True where the given size is the outside's."""
        return self.kind in ("strainer", "outside")

    @property
    def words(self) -> str:
        """As it is kept and read back; nothing for a usual frame."""
        if self.kind == "frame":
            return ""
        if self.kind == "sides":
            return f"{self.sides} sides"
        return f"strainer {self.bars[0]}x{self.bars[1]}" if any(self.bars) else self.kind

    @property
    def said(self) -> Fact:
        """As it is said; nothing of a usual frame."""
        if any(self.bars):
            return Fact("shape_strainer_bars", {"across": self.bars[0], "upright": self.bars[1]})
        return Fact(f"shape_{self.kind}", {"sides": self.sides})

    def angles(self, rail: int) -> Angles:
        """The angles of both ends of a rail, by its number from 0."""
        if self.kind == "sides":
            return mitre_angle(self.sides), mitre_angle(self.sides)
        if self.kind == "straight" or (self.kind == "strainer" and rail >= 4):
            return SQUARE, SQUARE
        if self.kind == "arch" and rail > 0:
            return MITRE, SQUARE
        return MITRED

    @property
    def corners(self) -> int:
        """How many mitred corners it is joined at; a repair's are those of the old frame."""
        if self.listed:
            return 0
        return 2 if self.kind == "arch" else self.sides

    @property
    def area_share(self) -> float:
        """The area within it, of one with such a side, over the square of that side: n / (4
        tan(180/n)); 1 where it is as wide and as high as it is said to be."""
        return self.sides / (4 * math.tan(math.pi / self.sides)) if self.kind == "sides" else 1.0

    @property
    def mitred_as(self) -> int | None:
        """The sides of the frame whose mitres are its widest cuts; None where all are square."""
        return None if self.kind == "straight" else self.sides


FRAME = JobShape()


def shape_told(typed: str) -> JobShape:
    """A shape as typed.

    Raises:
        Unreadable: it is none.
        Unfit: it has too few or too many sides or bars.
    """
    text = " ".join(typed.casefold().split())
    if found := SIDES.fullmatch(text):
        return JobShape("sides", int(found[1]))
    if found := STRAINER.fullmatch(text):
        return JobShape("strainer", bars=(int(found[1] or 0), int(found[2] or 0)))
    if text in ("", "frame"):
        return FRAME
    if text in ("arch", "outside", "repair", "straight"):
        return JobShape(text)  # type: ignore[arg-type]
    raise Unreadable(typed, "of_shape")


def beyond_ends(width_um: int, angles: Angles) -> int:
    """How much longer a rail's back edge is than a line so far inside it, um: W tan(angle) for
    each end, so at 45 degrees W itself, and at a square end nothing."""
    first, last = angles
    if first != last:
        return width_um * (MITRE in angles)
    return outer_minus_inner(Micrometres(width_um), int(180 / first)) if first else 0


def ends_said(angles: Angles) -> Fact | None:
    """How the ends of a rail are cut; nothing of a usual frame's."""
    if angles == MITRED:
        return None
    degrees = {"angle": f"{float(max(angles)):.4g}°"}
    if angles[0] != angles[1]:
        return Fact("end_mitred_end_square", degrees)
    return Fact("ends_mitred", degrees) if angles[0] else Fact("ends_square")
