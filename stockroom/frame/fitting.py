"""What is joined and fitted: corners, sheets to cut, how thick they lie, what wants care."""

from collections.abc import Iterator
from dataclasses import dataclass

from stockroom.facts import Fact
from stockroom.frame.bench_ticket import CORNERS, DEFERS, Ticket
from stockroom.frame.shapes import FRAME
from stockroom.frame.sizes import FrameSizes, Pair
from stockroom.frame.ticket_told import Package

__all__ = ["GLASS_CARE", "STEPS", "SheetCut", "cared_for", "glass_care", "joined_so", "minded",
           "package_thick", "sheets_of", "steps_of"]  # fmt: skip

GLASS_CARE = ("gloves_for_glass", "shards_in_a_box")
"""Common practice in workshops that cut glass; local rules come first."""
STEPS = ("cut", "joined", "filled", "glass and mat", "fitted", "hangers", "weighed", "wrapped")
"""What is ticked on the way from the saw to the wall."""
STEPS_OF = {"strainer": ("cut", "joined", "wrapped"), "straight": ("cut", "wrapped"),
            "repair": ("cut", "joined", "filled", "wrapped")}  # fmt: skip
"""The same of what is no whole frame."""
SAW_CARE = ("guards_on", "clamp_short_rails", "protect_eyes", "manual_first")
"""What the saw asks where it is set to another angle than every day's: common practice."""
WIDEST_TURN = 50
"""Degrees from square to which mitre saws commonly turn; a wider mitre wants a jig."""
PAPER_UM = 300
"""How thick a sheet of paper is reckoned where its package's depth is not told."""
HEAVY_ON_WIRE_G = 9_000
"""About 20 lb: what weighs more is better hung from two fixings or a cleat (common practice)."""


@dataclass(frozen=True, slots=True)
class SheetCut:
    """A sheet to cut: glass, mat or backing, its size over all, and the window of a mat,
    micrometres; of a regular frame of other than four ``sides`` how many, and how long each is."""

    what: str
    size: Pair
    window: Pair | None = None
    sides: tuple[int, int] | None = None


def sheets_of(sizes: FrameSizes, package: Package, matted: bool) -> Iterator[SheetCut]:
    """The sheets of a rabbeted frame: glazing where there is any, mat and backing, each as large
    as the package, which the opening is made for. Those of an arch are cut to a pattern."""
    if sizes.kind != "rabbeted" or not sizes.shape.hangs:
        return
    sides = None
    if sizes.shape.kind == "sides":
        sides = sizes.shape.sides, sizes.artwork_um[0]
    glazing = "glass" if package.glazing == "usual" and matted else package.glazing
    if glazing in ("glass", "acrylic"):
        yield SheetCut(glazing, sizes.package_um, sides=sides)
    if matted:
        yield SheetCut("mat", sizes.package_um, sizes.window_um)
    yield SheetCut("backing", sizes.package_um, sides=sides)


def joined_so(ticket: Ticket) -> Iterator[Fact]:
    """In which order its corners are joined, and what of its shape there is to know."""
    shape = ticket.shape
    match shape.kind:
        case "sides":
            yield Fact("join_in_band", {"sides": shape.sides, "ends": 2 * shape.sides})
        case "arch":
            yield Fact("join_sill_first")
            yield Fact("arch_made_apart")
        case "repair":
            yield Fact("repair_fits_old")
        case "frame" | "outside" | "strainer":
            yield from map(Fact, CORNERS)
    if ticket.bevel_um is not None:
        yield Fact("bevel_falls_inwards", {"bevel_um": ticket.bevel_um})
    if any(shape.bars):
        yield Fact("bars_lie_back", {"bevel_um": ticket.bevel_um})
    if all(shape.bars):
        yield Fact("bars_are_halved")


def steps_of(ticket: Ticket) -> tuple[str, ...]:
    """What is ticked on the way from the saw."""
    return STEPS_OF.get(ticket.shape.kind, STEPS)


def cared_for(ticket: Ticket) -> tuple[str, ...]:
    """The cautions of a ticket: of glass, of the saw where it is set otherwise, of the wall."""
    saw = SAW_CARE if ticket.shape != FRAME else ()
    wall = DEFERS if ticket.hanging is not None else ()
    return tuple(dict.fromkeys((*glass_care(ticket), *saw, *wall)))


def package_thick(package: Package, matted: bool) -> int:
    """How deep a package lies whose depth nobody told: its glazing, mat, paper and backing, um."""
    glazed = package.glazing in ("glass", "acrylic")
    return (package.glazing_um * glazed + (package.mat_um + PAPER_UM) * matted
            + package.backing_um)  # fmt: skip


def fillet_thick(ticket: Ticket) -> int:
    """How much deeper a fillet makes its package, um: what of it the mat does not take up."""
    if ticket.fillet is None:
        return 0
    step = ticket.fillet.work.moulding.rabbet_depth_um or 0
    return max(0, ticket.fillet.height_um - min(step, ticket.package.mat_um))


def minded(ticket: Ticket) -> Iterator[Fact]:
    """What the bench minds beyond what the counter said."""
    rabbet = ticket.moulding.rabbet_depth_um
    for rail in range(len(ticket.sizes.lengths_um)):
        if (angle := max(ticket.shape.angles(rail))) > WIDEST_TURN:
            yield Fact("beyond_saws_turn", {"angle": f"{float(angle):g}°"})
            break
    if rabbet is not None and ticket.depth_um is None and ticket.shape.holds:
        thick = package_thick(ticket.package, ticket.matted) + fillet_thick(ticket)
        if thick > rabbet:
            yield Fact("package_thick", {
                "thick_um": thick, "rabbet_um": rabbet, "behind_um": thick - rabbet
            })  # fmt: skip
    if ticket.hanging and ticket.hanging.method == "wire" and ticket.grams > HEAVY_ON_WIRE_G:
        yield Fact("heavy_on_wire")


def glass_care(ticket: Ticket) -> tuple[str, ...]:
    """The cautions of glass, where the job has any."""
    sheets = sheets_of(ticket.sizes, ticket.package, ticket.matted)
    return GLASS_CARE if any(sheet.what == "glass" for sheet in sheets) else ()
