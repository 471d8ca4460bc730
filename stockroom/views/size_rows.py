"""A frame's sizes as rows for screen and paper: a name, across and upright, what a stop reads."""

from collections.abc import Iterator

from stockroom.frame.sizes import FrameSizes, Pair

__all__ = ["pair_rows"]


def pair_rows(sizes: FrameSizes) -> Iterator[tuple[str, Pair, bool]]:
    """Each size that goes both ways, and whether it is the one that the machine's stop reads."""
    yield "artwork", sizes.artwork_um, False
    if sizes.window_um is not None:
        yield "window", sizes.window_um, False
        yield "mat and glass", sizes.package_um, False
    yield "opening, inside", sizes.opening_um, sizes.stop == "inside"
    yield "sight", sizes.sight_um, sizes.stop == "sight"
    yield "rails, long point", sizes.rails_um, sizes.stop == "long point"
    yield "outside", sizes.outside_um, False
    if sizes.covered_um is not None:
        yield "play in all", sizes.play_um, False
        yield "covers, each edge", sizes.covered_um, False
    if sizes.gap_um is not None:
        yield "gap, each side", sizes.gap_um, False
