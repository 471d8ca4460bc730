"""The sizes of what is no frame of two pairs around an artwork. Lengths are micrometres."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from stockroom.frame.notices import notices
from stockroom.frame.shapes import JobShape, beyond_ends
from stockroom.frame.sizes import (
    USUAL_COVER,
    FrameSizes,
    Moulding,
    Pair,
    Readings,
    Stop,
    covered,
    plus,
)
from stockroom.refusals import Unfit
from stockroom.units.lengths import Micrometres, Rounding, on_step

__all__ = ["ShapeTold", "shape_sizes"]


@dataclass(frozen=True, slots=True)
class ShapeTold:
    """What is told of a shape: its readings, or its ``lengths``; ``slack`` is the play in all of
    its opening, each way; ``depth`` the canvas's or the package's, um.

    Raises:
        Unfit: the slack or the depth is negative, or nothing is told.
    """

    shape: JobShape
    widths: tuple[int, ...]
    heights: tuple[int, ...]
    lengths: tuple[Micrometres, ...] = ()
    slack: int = 0
    depth: Micrometres | None = None

    def __post_init__(self) -> None:
        for what, value in (("gap or allowance", self.slack), ("depth", self.depth or 0)):
            if value < 0:
                raise Unfit("below_nothing", what=what, value_um=value)
        if self.shape.listed and min(self.lengths, default=0) <= 0:
            raise Unfit("lengths_needed", shape=self.shape.words)


@dataclass(frozen=True, slots=True)
class RailStop:
    """How rails are set: the moulding, the step, what the stop reads, and what lips cover."""

    moulding: Moulding
    step: Fraction | None = None
    stop: Stop = "long point"
    usual_cover: Pair = USUAL_COVER

    def beyond(self, shape: JobShape, rail: int, stop: Stop | None = None) -> int:
        """How much longer a rail's long point is than what the stop reads of it."""
        return beyond_ends(self.moulding.hidden(stop or self.stop), shape.angles(rail))

    def set(
        self, shape: JobShape, rail: int, wanted: int, rounding: Rounding = "up"
    ) -> Micrometres:
        """A rail's long point, rounded so that what the stop reads of it is on the step."""
        if self.step is None:
            return Micrometres(wanted)
        beyond = self.beyond(shape, rail)
        return Micrometres(on_step(Micrometres(wanted - beyond), self.step, rounding) + beyond)


def shape_sizes(
    told: ShapeTold, setting: RailStop, rails: Sequence[Micrometres] | None = None
) -> FrameSizes:
    """The sizes of a shape; ``rails`` are those on the record, which the other sizes follow from.

    Raises:
        Unfit: the lengths make no such shape.
    """
    wanted, sized = SHAPES[told.shape.kind]
    each = tuple(rails or wanted(told, setting))
    if min(each) <= 0:
        raise Unfit("nothing_left_between_sides")
    pair = (each[0], each[min(1, len(each) - 1)])
    boxed = told.shape.kind == "sides"
    return replace(sized(told, setting, each), rails_um=pair, stop=setting.stop,
                   outside_um=box(each[0], told.shape.sides) if boxed else pair,
                   moulding_um=Micrometres(sum(each)), shape=told.shape, each_um=each)  # fmt: skip


def box(side: int, sides: int) -> Pair:
    """How wide and high a regular frame of this side is that stands on one of its sides, um."""
    turn = math.pi / sides
    round_it = side / (2 * math.sin(turn))
    if sides % 2:
        wide, high = 2 * round_it * math.sin(sides // 2 * turn), round_it * (1 + math.cos(turn))
    else:
        high = 2 * round_it * math.cos(turn)
        wide = 2 * round_it if sides % 4 else high
    return Micrometres(math.ceil(wide)), Micrometres(math.ceil(high))


def rails_of_sides(told: ShapeTold, setting: RailStop) -> list[Micrometres]:
    """A regular frame's rails: the artwork's side, longer by allowance tan(180/n), then by what
    its corners take."""
    shape, side = told.shape, max(checked(told.widths, "side"))
    opening = side + half_up(beyond_ends(told.slack, shape.angles(0)))
    rail = opening + setting.beyond(shape, 0, "inside")
    return [setting.set(shape, 0, rail)] * shape.sides


def half_up(twice: int) -> int:
    """Half of a length, rounded up."""
    return -(-twice // 2)


def sizes_of_sides(told: ShapeTold, setting: RailStop, each: Sequence[Micrometres]) -> FrameSizes:
    """All sizes of a regular frame, a side each; its play is across its flats."""
    side, corner = max(told.widths), math.tan(math.pi / told.shape.sides)
    opening = each[0] - setting.beyond(told.shape, 0, "inside")
    sight = each[0] - setting.beyond(told.shape, 0, "sight")
    play = Micrometres(math.floor((opening - side) / corner))
    off = max(told.widths) - min(told.widths)
    found = basic(told, setting, (side, side), (opening, opening), (sight, sight),
                  (play, play), (off, 0))  # fmt: skip
    return replace(found, package_um=box(side, told.shape.sides))


def rails_of_arch(told: ShapeTold, setting: RailStop) -> list[Micrometres]:
    """The sill of an arched frame and its two upright rails, which end square where the arch
    begins: one mitre each, so half of the play and one rim."""
    shape = told.shape
    width, height = Readings(told.widths, told.heights).size
    sill = width + told.slack + setting.beyond(shape, 0, "inside")
    side = height + half_up(told.slack) + setting.beyond(shape, 1, "inside")
    upright = setting.set(shape, 1, side)
    return [setting.set(shape, 0, sill), upright, upright]


def sizes_of_arch(told: ShapeTold, setting: RailStop, each: Sequence[Micrometres]) -> FrameSizes:
    """All sizes of the straight sides of an arch; upright ones from sill to where it begins."""
    readings = Readings(told.widths, told.heights)

    def less(stop: Stop) -> tuple[int, int]:
        beyond = (setting.beyond(told.shape, rail, stop) for rail in (0, 1))
        across, upright = (rail - more for rail, more in zip(each, beyond, strict=False))
        return across, upright

    opening, sight = less("inside"), less("sight")
    play = opening[0] - readings.size[0], 2 * (opening[1] - readings.size[1])
    return basic(told, setting, readings.size, opening, sight, play, readings.out_of_square)


def rails_given_outside(told: ShapeTold, setting: RailStop) -> list[Micrometres]:
    """Rails whose long points are the given outside, rounded down so that it goes where it is to
    go; of several readings the least counts. Bars are cut square between the sides, rounded up."""
    shape, face = told.shape, setting.moulding.face_um
    Readings(told.widths, told.heights)
    across, upright = (setting.set(shape, 0, min(told.widths), "down"),
                       setting.set(shape, 1, min(told.heights), "down"))  # fmt: skip
    bars = [across - 2 * face] * shape.bars[0] + [upright - 2 * face] * shape.bars[1]
    return [across, upright] * 2 + [setting.set(shape, 4, bar) for bar in bars]


def sizes_given_outside(
    told: ShapeTold, setting: RailStop, each: Sequence[Micrometres]
) -> FrameSizes:
    """All sizes of what is told by its outside: the opening follows, and what it takes is so much
    less as it plays."""
    opening = plus((each[0], each[1]), -setting.moulding.beyond("inside"))
    sight = plus((each[0], each[1]), -setting.moulding.beyond("sight"))
    readings = Readings(told.widths, told.heights)
    given = Micrometres(min(told.widths)), Micrometres(min(told.heights))
    return replace(basic(told, setting, opening, opening, sight, (0, 0), readings.out_of_square),
                   artwork_um=given, package_um=plus(opening, -told.slack), covered_um=None,
                   gap_um=None)  # fmt: skip


def rails_listed(told: ShapeTold, setting: RailStop) -> list[Micrometres]:
    """Rails whose lengths are given themselves."""
    return [setting.set(told.shape, 0, length) for length in told.lengths]


def sizes_listed(told: ShapeTold, setting: RailStop, each: Sequence[Micrometres]) -> FrameSizes:
    """Lengths have no opening: what can be read of them is their own."""
    pair = (each[0], each[min(1, len(each) - 1)])
    return FrameSizes(
        setting.moulding.kind, pair, pair, None, pair, pair, pair, pair, plus((0, 0), 0), None,
        None, None, None, setting.stop, Micrometres(0), Micrometres(sum(pair)), (),
    )  # fmt: skip


def basic(
    told: ShapeTold, setting: RailStop, artwork: Sequence[int], opening: Sequence[int],
    sight: Sequence[int], play: Sequence[int], off: tuple[int, int],
) -> FrameSizes:  # fmt: skip
    """Sizes that all shapes around something have, and what is to be said of them."""
    moulding, depth = setting.moulding, told.depth
    if min(sight) <= 0:
        raise Unfit("rabbet_hides_artwork")
    cover = gap = drop = None
    if moulding.kind == "float":
        gap = pair_of(one // 2 for one in play)
        drop = None if depth is None else Micrometres((moulding.recess_depth_um or 0) - depth)
    elif moulding.kind == "rabbeted" and not told.shape.given_outside:
        rabbet = moulding.rabbet_width_um or 0
        cover = pair_of(covered(rabbet, Micrometres(one)) for one in play)
    said = notices(
        out_of_square=off, forgives=min(gap or play), drop=drop, depth=depth,
        rabbet_depth=moulding.rabbet_depth_um, cover=cover, usual_cover=setting.usual_cover,
        painting=depth is not None,
    )  # fmt: skip
    inside = pair_of(artwork)
    return FrameSizes(
        moulding.kind, inside, inside, None, pair_of(opening), inside, pair_of(sight), inside,
        pair_of(play), cover, gap, depth, drop, setting.stop, Micrometres(0),
        Micrometres(sum(inside)), said,
    )  # fmt: skip


def pair_of(sides: "Sequence[int] | object") -> Pair:
    """Two lengths, across and upright."""
    across, upright = sides  # type: ignore[misc]
    return Micrometres(across), Micrometres(upright)


Wanted = Callable[[ShapeTold, RailStop], list[Micrometres]]
Sized = Callable[[ShapeTold, RailStop, Sequence[Micrometres]], FrameSizes]
SHAPES: dict[str, tuple[Wanted, Sized]] = {
    "sides": (rails_of_sides, sizes_of_sides),
    "arch": (rails_of_arch, sizes_of_arch),
    "strainer": (rails_given_outside, sizes_given_outside),
    "outside": (rails_given_outside, sizes_given_outside),
    "repair": (rails_listed, sizes_listed),
    "straight": (rails_listed, sizes_listed),
}
"""By shape: the rails that it wants, and its sizes from its rails."""


def checked(readings: tuple[int, ...], what: str) -> tuple[int, ...]:
    """One to three readings of a side, all above nothing.

    Raises:
        Unfit: they are not.
    """
    if not 1 <= len(readings) <= 3:
        raise Unfit("too_many_readings", readings=len(readings), what=what)
    if min(readings) <= 0:
        raise Unfit("not_above_nothing", what=what, value_um=min(readings))
    return readings
