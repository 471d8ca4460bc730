"""What the parts of a ticket's frame weigh, each given or estimated; grams."""

from collections.abc import Sequence
from dataclasses import dataclass

from stockroom.facts import Fact
from stockroom.frame.sizes import FrameSizes, Moulding, Pair
from stockroom.frame.ticket_told import Bench, MoreWork, Package, Work
from stockroom.frame.weights import (
    DENSITY,
    SectionBox,
    Weight,
    moulding_grams,
    moulding_metres,
    sheet_grams,
    species_density,
)

__all__ = ["more_weight", "weighed"]

USUAL_DENSITY = 600.0
"""kg a cubic metre, where no species is known: between the handbook's pine and ash."""
CANVAS_GRAMS_M2 = 2_200.0
"""A stretched canvas with its bars, from memory: an estimate until it is weighed."""
PAPER_GRAMS_M2 = 300.0
"""A heavy sheet of paper, from memory: an estimate until it is weighed."""


def weighed(
    work: Work, moulding: Moulding, sizes: FrameSizes, bench: Bench, boxes: tuple[SectionBox, ...]
) -> tuple[Weight, ...]:
    """The parts of the finished weight, each given or estimated; none of what is no whole frame,
    since what hangs with it is not known."""
    if not sizes.shape.hangs:
        return ()
    parts = [moulding_weight(work, sizes, bench, boxes)]
    package, size = bench.package, WeighedSheet(sheet_within(sizes), sizes.shape.area_share)
    if moulding.kind == "rabbeted":
        if package.glazing != "none":
            parts.append(glazing_weight(size, package))
        if work.matted:
            parts.append(mat_weight(sizes, package))
        parts.append(told("backing", bench.backing_g) or backing_weight(size, package))
    parts.append(told("artwork", bench.artwork_g) or artwork_weight(work, sizes))
    return tuple(parts)


@dataclass(frozen=True, slots=True)
class WeighedSheet:
    """A sheet's sides, um, and its area over their product."""

    size: Pair
    share: float

    def grams(self, thick_um: int, density: float) -> float:
        """What it weighs; density in kg a cubic metre."""
        return self.share * sheet_grams(self.size, thick_um, density)


def sheet_within(sizes: FrameSizes) -> Pair:
    """The sheets of a frame: as large as its package; of one of other sides than four, so long is
    each side of them."""
    return sizes.artwork_um if sizes.shape.kind == "sides" else sizes.package_um


def glazing_weight(size: WeighedSheet, package: Package) -> Weight:
    """What the glazing weighs; none is counted where nobody told of any."""
    if package.glazing not in ("glass", "acrylic"):
        return Weight("glazing", 0.0, False, "nobody told of any")
    grams = size.grams(package.glazing_um, DENSITY[package.glazing])
    return Weight("glazing", grams, False, Fact("by_thickness", {"what": Fact(package.glazing)}))


def backing_weight(size: WeighedSheet, package: Package) -> Weight:
    """What the backing board weighs; as hardboard where nobody told which it is."""
    board = "hardboard" if package.board == "usual" else package.board
    by: str | Fact = Fact("by_thickness", {"what": Fact(board)})
    how = by if package.board != "usual" else "as hardboard, untold"
    return Weight("backing", size.grams(package.backing_um, DENSITY[board]), False, how)


def told(part: str, grams: int | None) -> Weight | None:
    """A weight that was given."""
    return None if grams is None else Weight(part, float(grams), True, "as weighed")


def moulding_weight(
    work: Work, sizes: FrameSizes, bench: Bench, boxes: tuple[SectionBox, ...]
) -> Weight:
    """What the rails weigh: by a weighed metre, by the species, or by a middling wood."""
    outside, sides = around(sizes)
    if bench.metre_g is not None:
        metres = moulding_metres(boxes, outside, sides)
        return Weight("moulding", metres * bench.metre_g, True, "by a weighed metre")
    species = bench.species or work.species
    density = species_density(species)
    grams = moulding_grams(boxes, outside, density or USUAL_DENSITY, sides)
    if density is None:
        return Weight("moulding", grams, False, Fact("wood_assumed", {"density": USUAL_DENSITY}))
    told = Fact("wood_of", {"species": species, "density": density})
    return Weight("moulding", grams, False, told)


def around(sizes: FrameSizes) -> tuple[Pair, int]:
    """What the rails go round: their outside, and how many sides; of a regular frame of other than
    four, its side twice."""
    if sizes.shape.kind == "sides":
        return (sizes.rails_um[0], sizes.rails_um[0]), sizes.shape.sides
    return sizes.outside_um, 4


def mat_weight(sizes: FrameSizes, package: Package) -> Weight:
    """What a mat weighs: its outer size less about the artwork's."""
    (across, upright), (width, height) = sizes.package_um, sizes.artwork_um
    area = max(0, across * upright - width * height)
    return Weight("mat", area * package.mat_um / 1e15 * DENSITY["mat"], False,
                  Fact("by_thickness", {"what": Fact("board")}))  # fmt: skip


def artwork_weight(work: Work, sizes: FrameSizes) -> Weight:
    """What an artwork weighs that nobody weighed; where the outside was given, it fills what is
    left inside."""
    width, height = sizes.package_um if sizes.shape.given_outside else sizes.artwork_um
    each = PAPER_GRAMS_M2 if on_paper(work) else CANVAS_GRAMS_M2
    square_metres = width * height / 1e12 * sizes.shape.area_share
    return Weight("artwork", square_metres * each, False,
                  "as heavy paper" if on_paper(work) else "as a stretched canvas")  # fmt: skip


def on_paper(work: Work) -> bool:
    """Whether the work is known to be on paper: it is matted."""
    return work.matted


def more_weight(work: MoreWork, boxes: Sequence[SectionBox]) -> Weight:
    """What a further moulding weighs."""
    density = species_density(work.species)
    grams = moulding_grams(boxes, work.sizes.outside_um, density or USUAL_DENSITY)
    if density is None:
        return Weight(work.profile, grams, False, Fact("wood_assumed", {"density": USUAL_DENSITY}))
    told = Fact("wood_of", {"species": work.species, "density": density})
    return Weight(work.profile, grams, False, told)
