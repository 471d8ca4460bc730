"""From an artwork to the four rails of its frame. Lengths are whole micrometres throughout."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from stockroom.units.lengths import Micrometres, exact_length

__all__ = [
    "FrameSizes",
    "Mat",
    "Moulding",
    "Notice",
    "Readings",
    "covered",
    "frame_sizes",
    "glass_size",
    "notice_text",
]

Kind = Literal["rabbeted", "float"]
Pair = tuple[Micrometres, Micrometres]

USUAL_COVER = (3_175, 4_763)
"""1/8 to 3/16 in: what a rabbeted frame usually covers of each edge (common practice)."""
USUAL_DROP = (3_000, 10_000)
"""A floated canvas sits about 1/4 in below the front (common practice); beyond this it is said."""


@dataclass(frozen=True, slots=True)
class Moulding:
    """A moulding's section: rabbeted (face, rabbet width, depth) or float (wall, recess depth).

    Raises:
        ValueError: the section makes no sense.
    """

    kind: Kind
    face_um: Micrometres
    rabbet_width_um: Micrometres | None = None
    rabbet_depth_um: Micrometres | None = None
    wall_um: Micrometres | None = None
    recess_depth_um: Micrometres | None = None

    def __post_init__(self) -> None:
        if self.kind not in ("rabbeted", "float"):
            raise ValueError(f"its kind is {self.kind!r}; a moulding is rabbeted or float")
        if self.face_um <= 0:
            raise ValueError(f"its face is {mm(self.face_um)}; it must have a width")
        wanted = ("rabbet_width_um", "rabbet_depth_um")
        if self.kind == "float":
            wanted = ("wall_um", "recess_depth_um")
        for name in wanted:
            value = getattr(self, name)
            if value is None or value <= 0:
                raise ValueError(f"a {self.kind} moulding needs its {spoken(name)}")
        if self.kind == "float" and (self.wall_um or 0) > self.face_um:
            raise ValueError(
                f"its wall of {mm(self.wall_um or 0)} is wider than its face of "
                f"{mm(self.face_um)}; the wall is the part of the face seen from the front"
            )
        if self.rabbet_width_um is not None and self.rabbet_width_um >= self.face_um:
            raise ValueError(
                f"its rabbet of {mm(self.rabbet_width_um)} is as wide as its face of "
                f"{mm(self.face_um)}; the rabbet is narrower"
            )


def mm(um: int) -> str:
    """Micrometres as millimetres, exactly, for messages about a section."""
    return f"{'-' if um < 0 else ''}{exact_length(abs(um), 'mm')}"


def spoken(name: str) -> str:
    """A field's name as it is said."""
    return name.removesuffix("_um").replace("_", " ")


@dataclass(frozen=True, slots=True)
class Readings:
    """An artwork as measured: one to three widths and heights, of which the largest count.

    Raises:
        ValueError: there are none, too many, or one is not positive.
    """

    widths: tuple[int, ...]
    heights: tuple[int, ...]

    def __post_init__(self) -> None:
        for what, values in (("width", self.widths), ("height", self.heights)):
            if not 1 <= len(values) <= 3:
                raise ValueError(f"{len(values)} readings of the {what}; take one to three")
            if min(values) <= 0:
                raise ValueError(f"a {what} of {mm(min(values))}; it must be more than nothing")

    @property
    def size(self) -> Pair:
        """The width and height that count: the largest of each."""
        return Micrometres(max(self.widths)), Micrometres(max(self.heights))

    @property
    def out_of_square(self) -> Pair:
        """How far the widths differ, and the heights."""
        return (
            Micrometres(max(self.widths) - min(self.widths)),
            Micrometres(max(self.heights) - min(self.heights)),
        )


@dataclass(frozen=True, slots=True)
class Mat:
    """A mat's borders (a deeper bottom is usual) and how far it overlaps the artwork's edges."""

    left: int
    right: int
    top: int
    bottom: int
    overlap: int

    def __post_init__(self) -> None:
        for name in ("left", "right", "top", "bottom", "overlap"):
            if getattr(self, name) < 0:
                raise ValueError(
                    f"the mat's {name} is {mm(getattr(self, name))}; not below nothing"
                )


@dataclass(frozen=True, slots=True)
class Notice:
    """Something that the counter should say: what it is, and the lengths it is about."""

    code: Literal["out of square", "proud", "drop unusual", "cover unusual", "package deep"]
    amounts: tuple[Micrometres, ...]
    which: str = ""


@dataclass(frozen=True, slots=True)
class FrameSizes:
    """All sizes of a frame, each (across, upright): micrometres.

    ``opening`` takes the artwork; ``rails`` are long points; ``covered`` is what a rabbet hides
    of each edge and ``gap`` what a float shows around it; ``drop`` is how far a floated canvas
    sits below the front, negative where it stands proud; ``moulding`` is the four rails together;
    ``united`` is the artwork's width plus height.
    """

    kind: Kind
    artwork_um: Pair
    opening_um: Pair
    rails_um: Pair
    sight_um: Pair
    outside_um: Pair
    covered_um: Micrometres | None
    gap_um: Micrometres | None
    drop_um: Micrometres | None
    moulding_um: Micrometres
    united_um: Micrometres
    notices: tuple[Notice, ...]


def glass_size(artwork: Pair, mat: Mat) -> Pair:
    """The glass of a work on paper: the mat's window, which overlaps the artwork, plus borders.

    Raises:
        ValueError: the overlap leaves no window.
    """
    width, height = (side - 2 * mat.overlap for side in artwork)
    if min(width, height) <= 0:
        raise ValueError(f"an overlap of {mm(mat.overlap)} leaves no window")
    return (
        Micrometres(width + mat.left + mat.right),
        Micrometres(height + mat.top + mat.bottom),
    )


def frame_sizes(
    readings: Readings, moulding: Moulding, slack: int, *, depth: int | None = None,
    mat: Mat | None = None,
) -> FrameSizes:  # fmt: skip
    """The sizes of the frame for an artwork.

    ``slack`` is the gap on each side of a float, or the allowance per dimension of a rabbet (um).
    ``depth`` is the canvas's, or the package's. Float: opening = artwork + 2 gap, rail = opening +
    2 wall. Rabbeted: opening = artwork + allowance, rail = opening + 2 (face - rabbet), sight =
    opening - 2 rabbet. A matted work's artwork is its glass.

    Raises:
        ValueError: the slack or the depth is negative, a mat is asked for in a float, or nothing
            would show.
    """
    for what, value in (("gap or allowance", slack), ("depth", depth or 0)):
        if value < 0:
            raise ValueError(f"a {what} of {mm(value)}; it cannot be negative")
    if mat is not None and moulding.kind == "float":
        raise ValueError("a float takes no matted work; choose a rabbeted profile")
    size = readings.size if mat is None else glass_size(readings.size, mat)
    is_float = moulding.kind == "float"
    rim = (
        (moulding.wall_um or 0) if is_float else moulding.face_um - (moulding.rabbet_width_um or 0)
    )
    opening = plus(size, 2 * slack if is_float else slack)
    rails = plus(opening, 2 * rim)
    sight = opening if is_float else plus(opening, -2 * (moulding.rabbet_width_um or 0))
    if min(sight) <= 0:
        raise ValueError("the rabbet would hide the whole artwork; choose a narrower one")
    drop = None
    if is_float and depth is not None:
        drop = Micrometres((moulding.recess_depth_um or 0) - depth)
    cover = None if is_float else covered(moulding.rabbet_width_um or 0, slack)
    return FrameSizes(
        kind=moulding.kind, artwork_um=size, opening_um=opening, rails_um=rails, sight_um=sight,
        outside_um=rails, covered_um=cover, gap_um=Micrometres(slack) if is_float else None,
        drop_um=drop, moulding_um=Micrometres(2 * sum(rails)),
        united_um=Micrometres(sum(readings.size)),
        notices=notices(readings, moulding, mat.overlap if mat else slack, depth, drop, cover),
    )  # fmt: skip


def plus(pair: Pair, more: int) -> Pair:
    """Both sizes, larger by ``more``."""
    return Micrometres(pair[0] + more), Micrometres(pair[1] + more)


def covered(rabbet_width: int, allowance: int) -> Micrometres:
    """What a rabbet hides of each edge: its width less half the allowance, rounded up."""
    return Micrometres(max(0, rabbet_width - allowance // 2))


def notices(
    readings: Readings, moulding: Moulding, play: int, depth: int | None,
    drop: Micrometres | None, cover: Micrometres | None,
) -> tuple[Notice, ...]:  # fmt: skip
    """What the counter should say before the frame is agreed.

    ``play`` is what forgives a work out of square: the gap, the allowance, or the mat's overlap.
    """
    said: list[Notice] = []
    for which, off in zip(("widths", "heights"), readings.out_of_square, strict=True):
        if off > play + 1:  # A micrometre is the rounding of what was typed.
            said.append(Notice("out of square", (off, Micrometres(play)), which))
    if drop is not None and drop < 0:
        said.append(Notice("proud", (Micrometres(-drop),)))
    elif drop is not None and not USUAL_DROP[0] <= drop <= USUAL_DROP[1]:
        said.append(Notice("drop unusual", (drop,)))
    if cover is not None and not USUAL_COVER[0] <= cover <= USUAL_COVER[1]:
        said.append(Notice("cover unusual", (cover,)))
    deep = moulding.rabbet_depth_um
    if deep is not None and depth is not None and depth > deep:
        said.append(Notice("package deep", (Micrometres(depth), deep)))
    return tuple(said)


def notice_text(notice: Notice, show: Callable[[int], str]) -> str:
    """A notice as a sentence, its lengths as the shop shows them."""
    shown = [show(amount) for amount in notice.amounts]
    if notice.code == "out of square":
        return (f"Out of square: the {notice.which} differ by {shown[0]}, more than the "
                f"{shown[1]} of play forgives; the largest counts.")  # fmt: skip
    if notice.code == "proud":
        return f"The canvas stands {shown[0]} proud of the frame's front."
    if notice.code == "drop unusual":
        return f"The canvas sits {shown[0]} below the front; about 1/4 in (6 mm) is usual."
    if notice.code == "cover unusual" and notice.amounts[0] < USUAL_COVER[0]:
        return (f"The frame holds {shown[0]} of each edge; 1/8 to 3/16 in (3 to 5 mm) is usual. "
                "See that the artwork cannot slip through.")  # fmt: skip
    if notice.code == "cover unusual":
        return (f"The frame covers {shown[0]} of each edge; 1/8 to 3/16 in (3 to 5 mm) is usual. "
                "Look for a signature near the edge.")  # fmt: skip
    return (f"The package is {shown[0]} deep and the rabbet {shown[1]}: it stands out behind; "
            "build the back up or choose a deeper rabbet.")  # fmt: skip
