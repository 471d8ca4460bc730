"""What a frame and its artwork weigh, part by part, each given or estimated; grams.

The moulding's section is whole micrometres and its volume exact: the area of the section times
the perimeter through its centroid (Pappus), which for mitred corners is no approximation.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stockroom.facts import Fact
from stockroom.frame.joining import wood_density
from stockroom.frame.sizes import Moulding, Pair
from stockroom.refusals import Unfit

__all__ = [
    "BOARD_UM",
    "DENSITY",
    "SHORT_NAMES",
    "SPECIFIC_GRAVITY",
    "SectionBox",
    "Weight",
    "centroid_doubled_um",
    "fillet_boxes",
    "moulding_boxes",
    "moulding_grams",
    "moulding_metres",
    "moulding_volume_um3",
    "section_area_um2",
    "sheet_grams",
    "species_density",
]

SPECIFIC_GRAVITY = {
    "basswood": 0.37, "white ash": 0.60, "red maple": 0.54, "ponderosa pine": 0.40,
    "red pine": 0.46, "sugar maple": 0.63,
}  # fmt: skip
"""At 12 % moisture: FPL Wood Handbook."""

DENSITY = {"glass": 2500.0, "acrylic": 1190.0, "mat": 700.0,
           "foam": 110.0, "corrugated": 200.0, "hardboard": 950.0}  # fmt: skip
"""kg a cubic metre. Glass is the published 2.5 kg/m2 for each millimetre, acrylic 1.18 to 1.19;
mat board and the backing boards are common figures, from memory, and so are estimates."""
BOARD_UM = {"foam": 5_000, "corrugated": 3_000, "hardboard": 3_000}
"""How thick backing boards usually are (from memory)."""

SHORT_NAMES = {"ash": "white ash", "maple": "sugar maple", "pine": "ponderosa pine"}


@dataclass(frozen=True, slots=True)
class Weight:
    """The weight of one part: its grams, whether they were given, and how they were found.

    Raises:
        Unfit: it weighs less than nothing.
    """

    part: str
    grams: float
    given: bool
    how: str | Fact

    def __post_init__(self) -> None:
        if not 0 <= self.grams < float("inf"):
            raise Unfit("weighs_below_nothing", part=self.part, grams=self.grams)


@dataclass(frozen=True, slots=True)
class SectionBox:
    """A rectangle of a moulding's section: from the back edge inwards, and up from the wall side.

    Micrometres; ``name`` is the word for that part.
    """

    name: str
    left: int
    right: int
    low: int
    high: int

    def __post_init__(self) -> None:
        if not (0 <= self.left < self.right and 0 <= self.low < self.high):
            raise Unfit("section_without_extent", name=self.name)

    @property
    def area_um2(self) -> int:
        """Square micrometres."""
        return (self.right - self.left) * (self.high - self.low)


def moulding_boxes(moulding: Moulding, height_um: int, ledge_um: int) -> tuple[SectionBox, ...]:
    """The section as rectangles: a body and a lip over the rabbet, or a wall and a ledge; a plain
    bar is one.

    ``height_um`` is front to back. ``ledge_um`` is how far a float's ledge reaches in from its
    wall. Profiles with curves weigh less: these are the outer sizes.

    Raises:
        Unfit: the height leaves no lip before the rabbet, or no ledge behind the recess.
    """
    if moulding.kind == "float":
        wall, recess = moulding.wall_um or 0, moulding.recess_depth_um or 0
        if height_um <= recess:
            raise Unfit("height_within_recess")
        return (
            SectionBox("wall", 0, wall, 0, height_um),
            SectionBox("ledge", wall, wall + ledge_um, 0, height_um - recess),
        )
    if moulding.kind == "plain":
        return (SectionBox("body", 0, moulding.face_um, 0, height_um),)
    rabbet, depth = moulding.rabbet_width_um or 0, moulding.rabbet_depth_um or 0
    if height_um <= depth:
        raise Unfit("height_within_rabbet")
    body = moulding.face_um - rabbet
    return (
        SectionBox("body", 0, body, 0, height_um),
        SectionBox("lip", body, moulding.face_um, depth, height_um),
    )


def fillet_boxes(fillet: Moulding, height_um: int) -> tuple[SectionBox, ...]:
    """The section of a fillet as rectangles: what lies behind the mat, and what shows before it.

    Raises:
        Unfit: the height leaves nothing behind the mat.
    """
    step, deep = fillet.rabbet_width_um or 0, fillet.rabbet_depth_um or 0
    if height_um <= deep:
        raise Unfit("height_within_rabbet")
    return (
        SectionBox("flange", 0, step, 0, height_um - deep),
        SectionBox("face", step, fillet.face_um, 0, height_um),
    )


def section_area_um2(boxes: Sequence[SectionBox]) -> int:
    """The section's area, square micrometres."""
    return sum(box.area_um2 for box in boxes)


def centroid_doubled_um(boxes: Sequence[SectionBox]) -> int:
    """Twice the section's first moment about its back edge, cubic micrometres."""
    return sum(box.area_um2 * (box.left + box.right) for box in boxes)


def moulding_volume_um3(boxes: Sequence[SectionBox], outside: Pair, sides: int = 4) -> float:
    """How much wood mitred rails are, cubic micrometres: V = A·P - 2 n tan(180/n)·S; of four rails
    it is exact, with 8·S. Of a regular frame of other ``sides``, ``outside`` is its side twice.

    ``P`` is the outside perimeter and ``S`` the section's first moment about the back edge.

    Raises:
        Unfit: the frame is smaller than its own moulding.
    """
    corner = 1.0 if sides == 4 else math.tan(math.pi / sides)
    if min(outside) < 2 * corner * max(box.right for box in boxes):
        raise Unfit("frame_within_moulding")
    if sides == 4:
        return section_area_um2(boxes) * 2 * sum(outside) - 4 * centroid_doubled_um(boxes)
    area, moment = section_area_um2(boxes), centroid_doubled_um(boxes)
    return sides * (area * outside[0] - corner * moment)


def moulding_grams(
    boxes: Sequence[SectionBox], outside: Pair, density: float, sides: int = 4
) -> float:
    """What mitred rails weigh; density in kg a cubic metre."""
    return moulding_volume_um3(boxes, outside, sides) / 1e15 * density


def moulding_metres(boxes: Sequence[SectionBox], outside: Pair, sides: int = 4) -> float:
    """The length of moulding that weighs as much as mitred rails, metres."""
    return moulding_volume_um3(boxes, outside, sides) / section_area_um2(boxes) / 1e6


def sheet_grams(size: Pair, thick_um: int, density: float) -> float:
    """What a sheet weighs: glazing, backing or mat; density in kg a cubic metre."""
    return size[0] * size[1] * thick_um / 1e15 * density


def species_density(species: str) -> float | None:
    """Air-dry density of a species that the handbook table names; None where it does not."""
    name = species.strip().lower()
    gravity = SPECIFIC_GRAVITY.get(SHORT_NAMES.get(name, name))
    return None if gravity is None else wood_density(gravity)
