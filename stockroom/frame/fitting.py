"""What is fitted into a rabbet: sheets to cut, how thick they lie, glass with care."""

from collections.abc import Iterator
from dataclasses import dataclass

from stockroom.facts import Fact
from stockroom.frame.bench_ticket import Ticket
from stockroom.frame.sizes import FrameSizes, Pair
from stockroom.frame.ticket_told import Package

__all__ = ["GLASS_CARE", "STEPS", "SheetCut", "glass_care", "minded", "package_thick", "sheets_of"]

GLASS_CARE = ("gloves_for_glass", "shards_in_a_box")
"""Common practice in workshops that cut glass; local rules come first."""
STEPS = ("cut", "joined", "filled", "glass and mat", "fitted", "hangers", "weighed", "wrapped")
"""What is ticked on the way from the saw to the wall."""
PAPER_UM = 300
"""How thick a sheet of paper is reckoned where its package's depth is not told."""
HEAVY_ON_WIRE_G = 9_000
"""About 20 lb: what weighs more is better hung from two fixings or a cleat (common practice)."""


@dataclass(frozen=True, slots=True)
class SheetCut:
    """A sheet to cut: glass, mat or backing, its size, and the window of a mat, micrometres."""

    what: str
    size: Pair
    window: Pair | None = None


def sheets_of(sizes: FrameSizes, package: Package, matted: bool) -> Iterator[SheetCut]:
    """The sheets of a rabbeted frame: glazing where there is any, mat and backing, each as large
    as the package, which the opening is made for."""
    if sizes.kind == "float":
        return
    glazing = "glass" if package.glazing == "usual" and matted else package.glazing
    if glazing in ("glass", "acrylic"):
        yield SheetCut(glazing, sizes.package_um)
    if matted:
        yield SheetCut("mat", sizes.package_um, sizes.window_um)
    yield SheetCut("backing", sizes.package_um)


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
    if rabbet is not None and ticket.depth_um is None:
        thick = package_thick(ticket.package, ticket.matted) + fillet_thick(ticket)
        if thick > rabbet:
            yield Fact("package_thick", {
                "thick_um": thick, "rabbet_um": rabbet, "behind_um": thick - rabbet
            })  # fmt: skip
    if ticket.hanging.method == "wire" and ticket.grams > HEAVY_ON_WIRE_G:
        yield Fact("heavy_on_wire")


def glass_care(ticket: Ticket) -> tuple[str, ...]:
    """The cautions of glass, where the job has any."""
    sheets = sheets_of(ticket.sizes, ticket.package, ticket.matted)
    return GLASS_CARE if any(sheet.what == "glass" for sheet in sheets) else ()
