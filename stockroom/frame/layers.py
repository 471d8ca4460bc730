"""Frames of several mouldings: a fillet in the mat's window, and mouldings round one another.

The outside of each, and its play, is what the next one round it takes; depths add up. All lengths
are whole micrometres.
"""

from fractions import Fraction

from stockroom.frame.sizes import FrameSizes, Moulding, Pair, Stop, plus
from stockroom.refusals import Unfit
from stockroom.units.lengths import Micrometres, on_step

__all__ = ["FILLET", "MOST_AROUND", "behind_mat", "fillet_sizes", "layer_letter", "stack_depth"]

MOST_AROUND = 4
"""Mouldings that may go round the one in which the artwork lies."""
FILLET = MOST_AROUND + 1
"""The fillet's number among the layers: 0 is the moulding in which the artwork or its package lies,
then come those round it, outward."""


def layer_letter(number: int) -> str:
    """What a layer's frames are told apart by: nothing where the artwork lies, then b, c, and so
    on outward; f is the fillet."""
    return "" if number == 0 else "abcdef"[number]


def stack_depth(moulding: Moulding, height_um: int | None, depth_um: int | None) -> Micrometres:
    """How deep a frame with what it holds lies in the rabbet or recess of the next one, um.

    Rabbeted: its lip and what is behind it, the rabbet or a deeper package. A float: its height. Of
    a moulding whose height nobody told, it is that much at least.
    """
    if moulding.kind == "float":
        return Micrometres(height_um or moulding.recess_depth_um or 0)
    rabbet = moulding.rabbet_depth_um or 0
    lip = 0 if height_um is None else max(0, height_um - rabbet)
    return Micrometres(lip + max(rabbet, depth_um or 0))


def behind_mat(fillet: Moulding, height_um: int | None) -> Micrometres:
    """How much deeper a fillet makes a package: what of it lies behind the mat, um."""
    return Micrometres(max(0, (height_um or 0) - (fillet.rabbet_depth_um or 0)))


def fillet_sizes(
    artwork: Pair, overlap: Micrometres, fillet: Moulding, slack: int, *,
    step: Fraction | None = None, stop: Stop = "long point", rails: Pair | None = None,
) -> FrameSizes:  # fmt: skip
    """The sizes of a fillet that lines a mat's window: its ``opening`` is that window.

    The mat's edge lies in the fillet's step, so window = long point - 2 R + ``slack``, the play in
    all. The fillet's sight edge overlaps the artwork where the mat's else would: long point =
    artwork - 2 overlap + 2 W, rounded down, since a smaller one still holds the artwork.

    Raises:
        Unfit: the fillet is a float, the slack is negative, or nothing would show.
    """
    if fillet.kind == "float":
        raise Unfit("fillet_is_float")
    if slack < 0:
        raise Unfit("below_nothing", what="allowance", value_um=slack)
    if rails is None:
        rails = plus(artwork, 2 * (fillet.face_um - overlap))
        if step is not None:
            beyond = fillet.beyond(stop)
            across, upright = (on_step(rail - beyond, step, "down") + beyond for rail in rails)
            rails = Micrometres(across), Micrometres(upright)
    sight = plus(rails, -2 * fillet.face_um)
    if min(sight) <= 0:
        raise Unfit("overlap_leaves_no_window", overlap_um=overlap)
    window = plus(rails, slack - 2 * (fillet.rabbet_width_um or 0))
    covers = tuple(Micrometres((art - shows) // 2)
                   for art, shows in zip(artwork, sight, strict=True))  # fmt: skip
    return FrameSizes(
        kind="fillet", artwork_um=artwork, package_um=artwork, window_um=None, opening_um=window,
        rails_um=rails, sight_um=sight, outside_um=rails,
        play_um=(Micrometres(slack), Micrometres(slack)), covered_um=(covers[0], covers[1]),
        gap_um=None, depth_um=None, drop_um=None, stop=stop,
        moulding_um=Micrometres(2 * sum(rails)), united_um=Micrometres(sum(artwork)), notices=(),
    )  # fmt: skip
