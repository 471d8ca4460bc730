"""From an artwork to the four rails of its frame. Lengths are whole micrometres throughout."""

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from stockroom.frame.notices import Notice, notices
from stockroom.frame.shapes import FRAME, JobShape
from stockroom.refusals import Unfit
from stockroom.units.lengths import Micrometres, exact_length, on_step

__all__ = [
    "FrameSizes",
    "Mat",
    "Moulding",
    "Readings",
    "Stop",
    "covered",
    "frame_sizes",
    "glass_size",
    "plus",
    "window_size",
]

Kind = Literal["rabbeted", "float", "plain"]
Pair = tuple[Micrometres, Micrometres]
Stop = Literal["long point", "inside", "sight"]
"""What the stop of a machine reads: along the back edge, of the opening, or of the sight edge."""

NEEDED = {"rabbeted": ("rabbet_width_um", "rabbet_depth_um"),
          "float": ("wall_um", "recess_depth_um"), "plain": ()}  # fmt: skip
USUAL_COVER = (Micrometres(3_175), Micrometres(6_350))
"""1/8 to 1/4 in: what a rabbeted frame usually covers of each edge (common practice)."""


@dataclass(frozen=True, slots=True)
class Moulding:
    """A moulding's section: rabbeted (face, rabbet width, depth), float (wall, recess depth), or
    plain: a bar, batten or spacer of its face alone.

    Raises:
        Unfit: the section makes no sense.
    """

    kind: Kind
    face_um: Micrometres
    rabbet_width_um: Micrometres | None = None
    rabbet_depth_um: Micrometres | None = None
    wall_um: Micrometres | None = None
    recess_depth_um: Micrometres | None = None

    def __post_init__(self) -> None:
        if self.kind not in ("rabbeted", "float", "plain"):
            raise Unfit("kind_of_moulding", kind=self.kind)
        if self.face_um <= 0:
            raise Unfit("face_without_width", face_um=self.face_um)
        for name in NEEDED[self.kind]:
            value = getattr(self, name)
            if value is None or value <= 0:
                raise Unfit("moulding_lacks", kind=self.kind, part=spoken(name))
        if self.kind == "float" and (self.wall_um or 0) > self.face_um:
            raise Unfit("wall_wider_than_face", wall_um=self.wall_um or 0, face_um=self.face_um)
        if self.rabbet_width_um is not None and self.rabbet_width_um >= self.face_um:
            raise Unfit("rabbet_wide_as_face", rabbet_um=self.rabbet_width_um, face_um=self.face_um)

    @property
    def rim_um(self) -> int:
        """How far a rail's long point lies beyond the opening at each end: W - R, or the wall."""
        if self.kind == "float":
            return self.wall_um or 0
        return self.face_um - (self.rabbet_width_um or 0)

    def hidden(self, stop: Stop) -> int:
        """How far inside the back edge what a machine's stop reads of a rail lies, um."""
        if stop == "long point":
            return 0
        covered = 0 if stop == "inside" or self.kind == "float" else self.rabbet_width_um or 0
        return self.rim_um + covered

    def beyond(self, stop: Stop) -> int:
        """How much longer a rail's long point is than what a machine's stop reads of it.

        Inside + 2 (W - R) = long point; sight + 2 W = long point. A float shows all its opening.
        """
        return 2 * self.hidden(stop)


def mm(um: Micrometres) -> str:
    """Micrometres as millimetres, exactly, for messages about a section."""
    return f"{'-' if um < 0 else ''}{exact_length(abs(um), 'mm')}"


def spoken(name: str) -> str:
    """A field's name as it is said."""
    return name.removesuffix("_um").replace("_", " ")


@dataclass(frozen=True, slots=True)
class Readings:
    """An artwork as measured: one to three widths and heights, of which the largest count.

    Raises:
        Unfit: there are none, too many, or one is not positive.
    """

    widths: tuple[int, ...]
    heights: tuple[int, ...]

    def __post_init__(self) -> None:
        for what, values in (("width", self.widths), ("height", self.heights)):
            if not 1 <= len(values) <= 3:
                raise Unfit("too_many_readings", readings=len(values), what=what)
            if min(values) <= 0:
                raise Unfit("not_above_nothing", what=what, value_um=min(values))

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
    overlap: Micrometres

    def __post_init__(self) -> None:
        for name in ("left", "right", "top", "bottom", "overlap"):
            if getattr(self, name) < 0:
                raise Unfit("mat_below_nothing", name=name, value_um=getattr(self, name))


@dataclass(frozen=True, slots=True)
class FrameSizes:
    """All sizes of a frame, each (across, upright): micrometres.

    ``artwork`` is what was measured, and ``package`` what the opening takes: the artwork, or a
    matted work's glass, which is as large as its mat; ``window`` is the mat's. ``rails`` are long
    points; ``play`` is what the opening is larger than the package, in all; ``covered`` is what a
    rabbet hides of each edge and ``gap`` what a float shows on each side; ``depth`` is the
    package's; ``drop`` is how far a floated canvas sits below the front, negative where it stands
    proud; ``stop`` is what the rails' machine reads; ``moulding`` is the four rails together;
    ``united`` is the package's width plus height. ``each`` are all rails of another ``shape``.
    """

    kind: Kind | Literal["fillet"]
    artwork_um: Pair
    package_um: Pair
    window_um: Pair | None
    opening_um: Pair
    rails_um: Pair
    sight_um: Pair
    outside_um: Pair
    play_um: Pair
    covered_um: Pair | None
    gap_um: Pair | None
    depth_um: Micrometres | None
    drop_um: Micrometres | None
    stop: Stop
    moulding_um: Micrometres
    united_um: Micrometres
    notices: tuple[Notice, ...]
    shape: JobShape = FRAME
    each_um: tuple[Micrometres, ...] = ()

    @property
    def lengths_um(self) -> tuple[Micrometres, ...]:
        """All its rails in their order: two equal pairs unless its shape has others."""
        return self.each_um or self.rails_um * 2


def window_size(artwork: Pair, mat: Mat) -> Pair:
    """A mat's window: the artwork less the mat's overlap of each edge.

    Raises:
        Unfit: the overlap leaves no window.
    """
    window = plus(artwork, -2 * mat.overlap)
    if min(window) <= 0:
        raise Unfit("overlap_leaves_no_window", overlap_um=mat.overlap)
    return window


def glass_size(window: Pair, mat: Mat) -> Pair:
    """The glass of a work on paper, as large as its mat: the window and the borders."""
    width, height = window
    return (
        Micrometres(width + mat.left + mat.right),
        Micrometres(height + mat.top + mat.bottom),
    )


def frame_sizes(
    readings: Readings, moulding: Moulding, slack: int, *, depth: Micrometres | None = None,
    mat: Mat | None = None, step: Fraction | None = None, stop: Stop = "long point",
    rails: Pair | None = None, usual_cover: Pair = USUAL_COVER, window: Pair | None = None,
    around: bool = False,
) -> FrameSizes:  # fmt: skip
    """The sizes of the frame for an artwork.

    ``slack`` is the gap on each side of a float, or the allowance per dimension of a rabbet (um).
    ``depth`` is the canvas's, or the package's. Float: opening = artwork + 2 gap, rail = opening +
    2 wall. Rabbeted: opening = artwork + allowance, rail = opening + 2 (face - rabbet). A matted
    work's package is its glass. A rail is rounded up so that what the machine's ``stop`` reads is
    on ``step``, or is what ``rails`` says where it is on the record; opening, sight, outside and
    play follow from it. ``usual_cover`` is the least and the most that the shop's lips cover.
    ``window`` is the mat's where a fillet lines it; ``around`` says that the artwork is a frame.

    Raises:
        Unfit: the slack or the depth is negative, a mat is asked for in a float, or nothing
            would show.
    """
    for what, value in (("gap or allowance", slack), ("depth", depth or 0)):
        if value < 0:
            raise Unfit("below_nothing", what=what, value_um=value)
    if mat is not None and moulding.kind == "float":
        raise Unfit("float_with_mat")
    if mat is not None and window is None:
        window = window_size(readings.size, mat)
    package = readings.size if mat is None or window is None else glass_size(window, mat)
    if rails is None:
        wanted = plus(package, 2 * slack if moulding.kind == "float" else slack)
        rails = settable(plus(wanted, 2 * moulding.rim_um), step, moulding.beyond(stop))
    found = sizes_of_rails(rails, package, readings, moulding, depth, mat, usual_cover, around)
    return replace(found, stop=stop, window_um=window)


def settable(rails: Pair, step: Fraction | None, beyond: int) -> Pair:
    """Rails rounded up to what can be set, where the stop reads so much less than the long point;
    without a step as they are."""
    if step is None:
        return rails
    across, upright = (on_step(rail - beyond, step, "up") + beyond for rail in rails)
    return Micrometres(across), Micrometres(upright)


def sizes_of_rails(
    rails: Pair, package: Pair, readings: Readings, moulding: Moulding, depth: Micrometres | None,
    mat: Mat | None, usual_cover: Pair, around: bool,
) -> FrameSizes:  # fmt: skip
    """All sizes that follow from a frame's rails and what it takes."""
    opening = plus(rails, -moulding.beyond("inside"))
    sight = plus(rails, -moulding.beyond("sight"))
    if min(sight) <= 0:
        raise Unfit("rabbet_hides_artwork")
    play = Micrometres(opening[0] - package[0]), Micrometres(opening[1] - package[1])
    cover = gap = drop = None
    if moulding.kind == "float":
        gap = Micrometres(play[0] // 2), Micrometres(play[1] // 2)
        drop = None if depth is None else Micrometres((moulding.recess_depth_um or 0) - depth)
    elif moulding.kind == "rabbeted":
        rabbet = moulding.rabbet_width_um or 0
        cover = covered(rabbet, play[0]), covered(rabbet, play[1])
    said = notices(
        out_of_square=readings.out_of_square, forgives=mat.overlap if mat else min(gap or play),
        drop=drop, depth=depth, rabbet_depth=moulding.rabbet_depth_um, cover=cover,
        usual_cover=usual_cover, painting=mat is None and depth is not None and not around,
    )  # fmt: skip
    return FrameSizes(
        kind=moulding.kind, artwork_um=readings.size, package_um=package,
        window_um=None, opening_um=opening,
        rails_um=rails, sight_um=sight, outside_um=rails, play_um=play, covered_um=cover,
        gap_um=gap, depth_um=None if depth is None else Micrometres(depth), drop_um=drop,
        stop="long point", moulding_um=Micrometres(2 * sum(rails)),
        united_um=Micrometres(sum(package)), notices=said,
    )  # fmt: skip


def plus(pair: Pair, more: int) -> Pair:
    """Both sizes, larger by ``more``."""
    return Micrometres(pair[0] + more), Micrometres(pair[1] + more)


def covered(rabbet_width: int, allowance: Micrometres) -> Micrometres:
    """What a rabbet hides of each edge: its width less half the allowance, rounded up."""
    return Micrometres(max(0, rabbet_width - allowance // 2))
