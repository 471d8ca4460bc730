"""A frame's section with the artwork in it, as shapes and dimensions; whole micrometres.

Across: from the back edge inwards. Up: from the wall to the front. Pages and pictures draw it.
"""

from dataclasses import dataclass
from typing import Literal

from stockroom.frame.bench_ticket import Ticket

__all__ = ["SCALES", "Dimension", "Section", "Shape", "scale_for", "section"]

Way = Literal["across", "up"]
SCALES = ((10, 1), (5, 1), (4, 1), (3, 1), (2, 1), (3, 2), (1, 1), (2, 3), (1, 2), (1, 3), (1, 4),
          (1, 5), (1, 10), (1, 20), (1, 50), (1, 100), (1, 500))  # fmt: skip
"""Drawn over real, largest first."""
PAPER_UM = 300
"""How thick a sheet of paper is drawn where its package's depth is not told."""


@dataclass(frozen=True, slots=True)
class Shape:
    """A named outline; ``grey`` from 0, black, to 255, white."""

    name: str
    points: tuple[tuple[int, int], ...]
    grey: int


@dataclass(frozen=True, slots=True)
class Dimension:
    """A measured distance ``way`` from ``start`` to ``end``, at ``at`` the other way."""

    name: str
    way: Way
    start: int
    end: int
    at: int

    @property
    def length_um(self) -> int:
        """The distance, never below nothing."""
        return abs(self.end - self.start)


@dataclass(frozen=True, slots=True)
class Section:
    """Shapes from back to front of the drawing, and the dimensions shown on it."""

    shapes: tuple[Shape, ...]
    dimensions: tuple[Dimension, ...]

    @property
    def extent(self) -> tuple[int, int, int, int]:
        """Left, low, right, high of everything drawn."""
        points = [point for shape in self.shapes for point in shape.points]
        across, up = [p[0] for p in points], [p[1] for p in points]
        return min(across), min(up), max(across), max(up)


def section(ticket: Ticket) -> Section:
    """The section of a ticket's frame."""
    return floated(ticket) if ticket.moulding.kind == "float" else rabbeted(ticket)


def block(name: str, left: int, right: int, low: int, high: int, grey: int) -> Shape:
    """A rectangle."""
    return Shape(name, ((left, low), (right, low), (right, high), (left, high)), grey)


def floated(ticket: Ticket) -> Section:
    """An L-shaped moulding: the canvas on its ledge, with a gap inside the wall."""
    wall, ledge = ticket.boxes
    gap = min(ticket.sizes.gap_um or (0,))
    inner = max(ledge.right, wall.right + gap + 10_000) + (ledge.right - ledge.left) // 4
    outline = ((0, 0), (ledge.right, 0), (ledge.right, ledge.high), (wall.right, ledge.high),
               (wall.right, wall.high), (0, wall.high))  # fmt: skip
    shapes = [Shape("moulding", outline, 215)]
    dimensions = [
        Dimension("wall", "across", 0, wall.right, wall.high),
        Dimension("gap", "across", wall.right, wall.right + gap, wall.high),
        Dimension("height", "up", 0, wall.high, 0),
        Dimension("ledge", "up", 0, ledge.high, inner),
    ]
    if ticket.depth_um is not None:
        face = ledge.high + ticket.depth_um
        shapes.append(block("canvas", wall.right + gap, inner, ledge.high, face, 255))
        dimensions += [
            Dimension("canvas", "up", ledge.high, face, inner),
            Dimension("proud" if face > wall.high else "drop", "up", face, wall.high, inner),
        ]
    return Section(tuple(shapes), tuple(dimensions))


def rabbeted(ticket: Ticket) -> Section:
    """A rabbeted moulding with its package behind the lip."""
    body, lip = ticket.boxes
    inner = lip.right + max(lip.right - body.right, 6_000)
    outline = ((0, 0), (body.right, 0), (body.right, lip.low), (lip.right, lip.low),
               (lip.right, lip.high), (0, lip.high))  # fmt: skip
    shapes = [Shape("moulding", outline, 215)]
    edge, at = lip.right - max(ticket.sizes.covered_um or (0,)), lip.low
    for name, thick, grey in layers(ticket):
        shapes.append(block(name, edge, inner, at - thick, at, grey))
        at -= thick
    dimensions = (
        Dimension("face", "across", 0, lip.right, lip.high),
        Dimension("rabbet", "across", body.right, lip.right, lip.high),
        Dimension("covered", "across", edge, lip.right, lip.high),
        Dimension("height", "up", 0, lip.high, 0),
        Dimension("rabbet depth", "up", 0, lip.low, inner),
        Dimension("package", "up", at, lip.low, inner),
    )
    return Section(tuple(shapes), dimensions)


def layers(ticket: Ticket) -> list[tuple[str, int, int]]:
    """The package from front to back: name, thickness, grey."""
    package = ticket.package
    front: list[tuple[str, int, int]] = []
    if package.glazing in ("glass", "acrylic"):
        front.append((package.glazing, package.glazing_um, 245))
    if ticket.matted:
        front.append(("mat", package.mat_um, 235))
    back = package.backing_um
    left = (ticket.depth_um or 0) - sum(thick for _, thick, _ in front) - back
    art = max(PAPER_UM, left)
    return [layer for layer in (*front, ("artwork", art, 120), ("backing", back, 190)) if layer[1]]


def scale_for(section: Section, across_mm: float, up_mm: float) -> tuple[int, int]:
    """The largest scale of ``SCALES`` at which the section fits a space on paper."""
    left, low, right, high = section.extent
    for drawn, real in SCALES:
        if ((right - left) / 1000 * drawn <= across_mm * real
                and (high - low) / 1000 * drawn <= up_mm * real):  # fmt: skip
            return drawn, real
    return SCALES[-1]
