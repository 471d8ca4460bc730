"""A frame's section with the artwork in it, as shapes and dimensions; whole micrometres.

Across: from the back edge inwards. Up: from the wall to the front. Pages and pictures draw it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from stockroom.frame.bench_ticket import More, Ticket
from stockroom.frame.weights import SectionBox

__all__ = ["SCALES", "Dimension", "Mark", "Section", "Shape", "scale_for", "section"]

Way = Literal["across", "up"]
SCALES = ((10, 1), (5, 1), (4, 1), (3, 1), (2, 1), (3, 2), (1, 1), (2, 3), (1, 2), (1, 3), (1, 4),
          (1, 5), (1, 10), (1, 20), (1, 50), (1, 100), (1, 500))  # fmt: skip
"""Drawn over real, largest first."""
MAT_SHOWN_UM = 12_000
"""How much of a mat's border is drawn before a fillet in its window."""
OF_SEVERAL = ("gap", "covered", "lies deep", "recess", "holds", "drop", "proud", "package")
"""Dimensions that are drawn where there are several mouldings."""
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
    """A measured distance ``way`` from ``start`` to ``end``, at ``at`` the other way; ``number`` is
    the moulding's where there are several."""

    name: str
    way: Way
    start: int
    end: int
    at: int
    number: int = 0

    @property
    def length_um(self) -> int:
        """The distance, never below nothing."""
        return abs(self.end - self.start)


@dataclass(frozen=True, slots=True)
class Mark:
    """Which of several mouldings is which: a name, shown at a point."""

    name: str
    point: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Section:
    """Shapes from back to front of the drawing, and the dimensions and marks shown on it."""

    shapes: tuple[Shape, ...]
    dimensions: tuple[Dimension, ...]
    marks: tuple[Mark, ...] = ()

    @property
    def extent(self) -> tuple[int, int, int, int]:
        """Left, low, right, high of everything drawn."""
        points = [point for shape in self.shapes for point in shape.points]
        across, up = [p[0] for p in points], [p[1] for p in points]
        return min(across), min(up), max(across), max(up)


def section(ticket: Ticket) -> Section:
    """The section of a ticket's frame, with all its mouldings in one another."""
    drawn = {"float": floated, "plain": barred}.get(ticket.moulding.kind, rabbeted)(ticket)
    if not ticket.more:
        return drawn
    marks = (Mark(ticket.profile, middle(ticket.boxes[0])), *drawn.marks)
    drawn = replace(drawn, dimensions=numbered(drawn.dimensions, 1), marks=marks)
    front = ticket.height_um
    for one in ticket.around:
        drawn, front = framed(drawn, front, one), one.height_um
    return drawn


def middle(box: SectionBox) -> tuple[int, int]:
    """The middle of a part of a moulding."""
    return (box.left + box.right) // 2, (box.low + box.high) // 2


def numbered(told: Sequence[Dimension], number: int) -> tuple[Dimension, ...]:
    """The dimensions that matter where a section has several mouldings, with the moulding's
    number; its other sizes stand in the tables."""
    return tuple(replace(one, number=number) for one in told
                 if one.name in OF_SEVERAL)  # fmt: skip


def framed(inner: Section, front: int, outer: More) -> Section:
    """A section in the moulding round it; ``front`` is how high its own stands from its back."""
    moulding, sizes, boxes = outer.work.moulding, outer.work.sizes, outer.boxes
    body, lip = boxes[0], boxes[-1]
    is_float = moulding.kind == "float"
    across = moulding.rim_um + min(sizes.gap_um or sizes.play_um) // (1 if is_float else 2)
    seat = lip.high if is_float else lip.low
    up = seat if is_float else seat - front
    held = shifted(inner, across, up)
    outline = ledged(body, lip) if is_float else lipped(body, lip)
    deep = sizes.depth_um or 0
    own = [
        Dimension("gap", "across", body.right, across, lip.high) if is_float
        else Dimension("covered", "across", across, lip.right, lip.high),
        Dimension("lies deep", "up", seat, seat + deep if is_float else seat - deep, 0),
        Dimension("recess" if is_float else "holds", "up", seat, body.high if is_float else 0, 0),
    ]  # fmt: skip
    number = len(held.marks) + 1
    return Section(
        (Shape("moulding", outline, 215), *held.shapes),
        (*numbered(own, number), *held.dimensions),
        (*held.marks, Mark(outer.work.profile, middle(body))),
    )


def shifted(drawn: Section, across_um: int, up_um: int) -> Section:
    """A section moved inwards and to the front."""
    moves = {"across": (across_um, up_um), "up": (up_um, across_um)}
    return Section(
        tuple(replace(shape, points=tuple((x + across_um, y + up_um) for x, y in shape.points))
              for shape in drawn.shapes),
        tuple(replace(one, start=one.start + along, end=one.end + along, at=one.at + beside)
              for one in drawn.dimensions for along, beside in [moves[one.way]]),
        tuple(replace(mark, point=(mark.point[0] + across_um, mark.point[1] + up_um))
              for mark in drawn.marks),
    )  # fmt: skip


def block(name: str, left: int, right: int, low: int, high: int, grey: int) -> Shape:
    """A rectangle."""
    return Shape(name, ((left, low), (right, low), (right, high), (left, high)), grey)


def floated(ticket: Ticket) -> Section:
    """An L-shaped moulding: the canvas on its ledge, with a gap inside the wall."""
    wall, ledge = ticket.boxes
    gap = min(ticket.sizes.gap_um or (0,))
    inner = max(ledge.right, wall.right + gap + 10_000) + (ledge.right - ledge.left) // 4
    shapes = [Shape("moulding", ledged(wall, ledge), 215)]
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


def barred(ticket: Ticket) -> Section:
    """A plain bar; a strainer's front falls away from its outer edge."""
    face, height, bevel = ticket.moulding.face_um, ticket.height_um, ticket.bevel_um or 0
    outline = ((0, 0), (face, 0), (face, height - bevel), (0, height))
    told = (Dimension("face", "across", 0, face, height), Dimension("height", "up", 0, height, 0))
    falls = (Dimension("bevel", "up", height - bevel, height, face),) if bevel else ()
    return Section((Shape("moulding", outline, 215),), (*told, *falls))


def rabbeted(ticket: Ticket) -> Section:
    """A rabbeted moulding with its package behind the lip."""
    body, lip = ticket.boxes
    inner = lip.right + max(lip.right - body.right, 6_000)
    shapes = [Shape("moulding", lipped(body, lip), 215)]
    hidden = ticket.sizes.covered_um or (lip.right - body.right,)
    edge, at = lip.right - max(hidden), lip.low
    fillet, marks = ticket.fillet, tuple[Mark, ...]()
    for name, thick, grey in layers(ticket):
        if name == "mat" and fillet is not None:
            window = inner + MAT_SHOWN_UM
            lined, at = lining(fillet, window, edge, at, thick)
            shapes += lined
            marks = (Mark(fillet.work.profile, (window + fillet.work.moulding.face_um // 2, at)),)
            inner = window + 2 * fillet.work.moulding.face_um
            continue
        shapes.append(block(name, edge, inner, at - thick, at, grey))
        at -= thick
    if fillet is not None:  # The sheets before the mat end where those behind it do.
        shapes = [widened(shape, inner) for shape in shapes]
    dimensions: tuple[Dimension, ...] = (
        Dimension("face", "across", 0, lip.right, lip.high),
        Dimension("rabbet", "across", body.right, lip.right, lip.high),
        Dimension("covered", "across", edge, lip.right, lip.high),
        Dimension("height", "up", 0, lip.high, 0),
        Dimension("rabbet depth", "up", 0, lip.low, inner),
        Dimension("package", "up", at, lip.low, inner),
    )
    if not ticket.shape.holds:
        dimensions = tuple(one for one in dimensions if one.name not in ("covered", "package"))
    return Section(tuple(shapes), dimensions, marks)


def lining(fillet: More, window: int, edge: int, front: int, thick: int) -> tuple[list[Shape], int]:
    """A mat from its edge to its window, and the fillet there; gives where the work begins.

    The mat's edge lies in the fillet's step. A fillet whose step is deeper than the mat is thick
    stands out before it.
    """
    flange, face = fillet.boxes
    before = max(0, face.high - flange.high - thick)
    back = front - before - thick
    low, left = back - flange.high, window - flange.right
    outline = (
        (left, low),
        (left + face.right, low),
        (left + face.right, low + face.high),
        (left + face.left, low + face.high),
        (left + face.left, back),
        (left, back),
    )
    return [block("mat", edge, window, back, front - before, 235),
            Shape("fillet", outline, 215)], low  # fmt: skip


def widened(shape: Shape, right: int) -> Shape:
    """The glazing before a mat, as far as what lies behind it."""
    if shape.name not in ("glass", "acrylic"):
        return shape
    left = min(x for x, _ in shape.points)
    low, high = min(y for _, y in shape.points), max(y for _, y in shape.points)
    return block(shape.name, left, right, low, high, shape.grey)


def lipped(body: SectionBox, lip: SectionBox) -> tuple[tuple[int, int], ...]:
    """The outline of a rabbeted moulding."""
    return ((0, 0), (body.right, 0), (body.right, lip.low), (lip.right, lip.low),
            (lip.right, lip.high), (0, lip.high))  # fmt: skip


def ledged(wall: SectionBox, ledge: SectionBox) -> tuple[tuple[int, int], ...]:
    """The outline of a float."""
    return ((0, 0), (ledge.right, 0), (ledge.right, ledge.high), (wall.right, ledge.high),
            (wall.right, wall.high), (0, wall.high))  # fmt: skip


def layers(ticket: Ticket) -> list[tuple[str, int, int]]:
    """The package from front to back: name, thickness, grey; where one is held."""
    if not ticket.shape.holds:
        return []
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
