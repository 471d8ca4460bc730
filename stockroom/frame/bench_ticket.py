"""The job ticket as plain values: what the bench needs from the joining to the wall.

Screens and paper draw from these alone; they know no database. Lengths are micrometres.
"""

from dataclasses import dataclass, field, replace
from datetime import date
from typing import Literal

from stockroom.facts import Fact
from stockroom.frame.hanging import Hang, Hanging, hang
from stockroom.frame.joining import NailPlace, Screw, float_screw, nail_place, v_nail
from stockroom.frame.sizes import FrameSizes, Moulding, Pair, Readings
from stockroom.frame.weights import (
    BOARD_UM,
    DENSITY,
    SectionBox,
    Weight,
    moulding_boxes,
    moulding_grams,
    moulding_metres,
    sheet_grams,
    species_density,
)
from stockroom.refusals import Unfit

__all__ = ["CORNERS", "DEFERS", "Bench", "Package", "Ticket", "Work", "ticket"]

CORNERS = ("join_two_ls", "join_the_ls")
DEFERS = ("weigh_before_hung", "ratings_decide", "screw_hangers_on", "manual_first")
"""Two separate hangers, never nails: paintingsconservation.ca (2018)."""

BAR_WIDE_UM = 38_000
"""How wide a stretcher bar is, seen from behind, where fixings go into it: a guess (1 1/2 in)."""
USUAL_HEIGHT_OVER = 6_000
"""Lip or ledge assumed where a profile has no height in the record: an estimate."""
USUAL_LEDGE_UM = 25_000
"""How far a float's ledge is assumed to reach in from its wall where it is not told."""
USUAL_DENSITY = 600.0
"""kg a cubic metre, where no species is known: between the handbook's pine and ash."""
CANVAS_GRAMS_M2 = 2_200.0
"""A stretched canvas with its bars, from memory: an estimate until it is weighed."""
PAPER_GRAMS_M2 = 300.0
"""A heavy sheet of paper, from memory: an estimate until it is weighed."""

Glazing = Literal["usual", "none", "glass", "acrylic"]
Board = Literal["usual", "foam", "corrugated", "hardboard"]


@dataclass(frozen=True, slots=True)
class Package:
    """What lies in a rabbet behind the lip: glazing, mat, art and backing, each with a thickness.

    The ``usual`` glazing is glass over a matted work; none is counted elsewhere unless told, as
    it may be a canvas. The ``usual`` board is weighed as hardboard, the heaviest.

    Raises:
        Unfit: a thickness is below nothing.
    """

    glazing: Glazing = "usual"
    glazing_um: int = 2_000
    mat_um: int = 1_500
    board: Board = "usual"
    backing_um: int = BOARD_UM["hardboard"]

    def __post_init__(self) -> None:
        if min(self.glazing_um, self.mat_um, self.backing_um) < 0:
            raise Unfit("package_below_nothing")


@dataclass(frozen=True, slots=True)
class Bench:
    """What the bench knows besides the record; None means: take the record's, or estimate.

    Weights in grams, lengths in micrometres. ``metre_g`` is a weighed metre of the moulding;
    ``bar_um`` is how thick the stretcher's bar is.
    """

    height_um: int | None = None
    ledge_um: int | None = None
    bar_um: int | None = None
    species: str = ""
    metre_g: int | None = None
    package: Package = field(default_factory=Package)
    artwork_g: int | None = None
    backing_g: int | None = None
    method: Literal["hangers", "wire"] = "hangers"
    rise_um: int | None = None


@dataclass(frozen=True, slots=True)
class Ticket:
    """All that a job's ticket says; a mat's ``borders_um`` are left, right, top, bottom.

    ``price`` is what is said for its moulding, minor units, and ``quote`` where it was quoted;
    ``rails`` how many are at hand, cut or come as chops, and of which ``batches``.
    """

    label: str
    customer: str
    title: str
    profile: str
    style: str
    due: date
    quantity: int
    shop: str
    day: date
    note: str
    readings: Readings
    depth_um: int | None
    matted: bool
    moulding: Moulding
    sizes: FrameSizes
    height_um: int
    estimated: tuple[str, ...]
    boxes: tuple[SectionBox, ...]
    package: Package
    nail_um: int | None
    nail_in: NailPlace
    spacer_um: int | None
    bar_um: int | None
    screw: Screw | None
    weights: tuple[Weight, ...]
    hanging: Hang
    phone: str = ""
    borders_um: tuple[int, int, int, int] | None = None
    cut_by: date | None = None
    price: int | None = None
    quote: int | None = None
    rails: int = 0
    batches: tuple[str, ...] = ()

    @property
    def grams(self) -> float:
        """The finished weight."""
        return sum(weight.grams for weight in self.weights)


@dataclass(frozen=True, slots=True)
class Work:
    """The job that a ticket is for, as the record has it; ``style`` is the profile's name."""

    label: str
    customer: str
    title: str
    profile: str
    style: str
    species: str
    due: date
    quantity: int
    note: str
    readings: Readings
    depth_um: int | None
    matted: bool
    height_um: int | None
    phone: str = ""
    borders_um: tuple[int, int, int, int] | None = None
    cut_by: date | None = None


def ticket(
    work: Work, moulding: Moulding, sizes: FrameSizes, bench: Bench, rules: Hanging, *,
    shop: str, day: date,
) -> Ticket:  # fmt: skip
    """The ticket of a job.

    Raises:
        Unfit: what was told makes no section, no screw or no hang.
    """
    height, guessed = height_of(work, moulding, bench)
    ledge = bench.ledge_um or USUAL_LEDGE_UM
    is_float = moulding.kind == "float"
    if is_float and bench.ledge_um is None:
        guessed += ("ledge",)
    bar = stretcher_bar(work, bench) if is_float else None
    if bar is not None and bench.bar_um is None:
        guessed += ("stretcher bar",)
    boxes = moulding_boxes(moulding, height, ledge)
    if bench.package.glazing == "usual" and work.matted:
        bench = replace(bench, package=replace(bench.package, glazing="glass"))
    weights = weighed(work, moulding, sizes, bench, boxes)
    grams = sum(weight.grams for weight in weights)
    ledge_thick = height - (moulding.recess_depth_um or 0)
    place = nail_place(height, moulding.wall_um, ledge_thick) if is_float else nail_place(height)
    screw = None
    if bar is not None and work.depth_um is not None:
        screw = float_screw(ledge_thick, bar, work.depth_um)
    return Ticket(
        work.label, work.customer, work.title, work.profile, work.style, work.due, work.quantity,
        shop, day, work.note, work.readings, work.depth_um, work.matted, moulding, sizes, height,
        guessed, boxes, bench.package, v_nail(place.thick_um), place,
        min(sizes.gap_um) if sizes.gap_um else None, bar, screw, weights,
        hang(sizes.outside_um, seat(moulding, sizes, boxes), grams, rules, method=bench.method,
             rise_um=bench.rise_um), work.phone, work.borders_um, work.cut_by,
    )  # fmt: skip


def seat(moulding: Moulding, sizes: FrameSizes, boxes: tuple[SectionBox, ...]) -> int:
    """Twice how far a fixing sits from the outer edge: at the middle of a rail's back, the part
    that is lowest, or of a floated canvas's stretcher bar, since a ledge holds none."""
    if moulding.kind == "float":
        return 2 * ((moulding.wall_um or 0) + max(sizes.gap_um or (0,))) + BAR_WIDE_UM
    return max(box.right for box in boxes if box.low == 0)


def stretcher_bar(work: Work, bench: Bench) -> int | None:
    """How thick a canvas's stretcher bar is: told, or guessed as 3/4 of the canvas's depth."""
    if bench.bar_um is not None or work.depth_um is None:
        return bench.bar_um
    return work.depth_um * 3 // 4


def height_of(work: Work, moulding: Moulding, bench: Bench) -> tuple[int, tuple[str, ...]]:
    """The moulding's height, front to back: told, recorded, or estimated from its section."""
    known = bench.height_um or work.height_um
    if known is not None:
        return known, ()
    inner = moulding.recess_depth_um or moulding.rabbet_depth_um or 0
    return inner + USUAL_HEIGHT_OVER, ("moulding height",)


def weighed(
    work: Work, moulding: Moulding, sizes: FrameSizes, bench: Bench, boxes: tuple[SectionBox, ...]
) -> tuple[Weight, ...]:
    """The parts of the finished weight, each given or estimated."""
    parts = [moulding_weight(work, sizes, bench, boxes)]
    package, size = bench.package, sizes.package_um
    if moulding.kind == "rabbeted":
        if package.glazing != "none":
            parts.append(glazing_weight(size, package))
        if work.matted:
            parts.append(mat_weight(work, size, package))
        parts.append(told("backing", bench.backing_g) or backing_weight(size, package))
    parts.append(told("artwork", bench.artwork_g) or artwork_weight(work))
    return tuple(parts)


def glazing_weight(size: Pair, package: Package) -> Weight:
    """What the glazing weighs; none is counted where nobody told of any."""
    if package.glazing not in ("glass", "acrylic"):
        return Weight("glazing", 0.0, False, "nobody told of any")
    grams = sheet_grams(size, package.glazing_um, DENSITY[package.glazing])
    return Weight("glazing", grams, False, Fact("by_thickness", {"what": Fact(package.glazing)}))


def backing_weight(size: Pair, package: Package) -> Weight:
    """What the backing board weighs; as hardboard where nobody told which it is."""
    board = "hardboard" if package.board == "usual" else package.board
    by: str | Fact = Fact("by_thickness", {"what": Fact(board)})
    how = by if package.board != "usual" else "as hardboard, untold"
    return Weight("backing", sheet_grams(size, package.backing_um, DENSITY[board]), False, how)


def told(part: str, grams: int | None) -> Weight | None:
    """A weight that was given."""
    return None if grams is None else Weight(part, float(grams), True, "as weighed")


def moulding_weight(
    work: Work, sizes: FrameSizes, bench: Bench, boxes: tuple[SectionBox, ...]
) -> Weight:
    """What the rails weigh: by a weighed metre, by the species, or by a middling wood."""
    if bench.metre_g is not None:
        metres = moulding_metres(boxes, sizes.outside_um)
        return Weight("moulding", metres * bench.metre_g, True, "by a weighed metre")
    species = bench.species or work.species
    density = species_density(species)
    if density is None:
        return Weight("moulding", moulding_grams(boxes, sizes.outside_um, USUAL_DENSITY), False,
                      Fact("wood_assumed", {"density": USUAL_DENSITY}))  # fmt: skip
    return Weight("moulding", moulding_grams(boxes, sizes.outside_um, density), False,
                  Fact("wood_of", {"species": species, "density": density}))  # fmt: skip


def mat_weight(work: Work, glass: Pair, package: Package) -> Weight:
    """What a mat weighs: its outer size less about the artwork's."""
    width, height = work.readings.size
    area = max(0, glass[0] * glass[1] - width * height)
    return Weight("mat", area * package.mat_um / 1e15 * DENSITY["mat"], False,
                  Fact("by_thickness", {"what": Fact("board")}))  # fmt: skip


def artwork_weight(work: Work) -> Weight:
    """What an artwork weighs that nobody weighed."""
    width, height = work.readings.size
    each = PAPER_GRAMS_M2 if on_paper(work) else CANVAS_GRAMS_M2
    return Weight("artwork", width * height / 1e12 * each, False,
                  "as heavy paper" if on_paper(work) else "as a stretched canvas")  # fmt: skip


def on_paper(work: Work) -> bool:
    """Whether the work is known to be on paper: it is matted."""
    return work.matted
