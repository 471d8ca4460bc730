"""A frame's sizes as rows for screen and paper: a name, across and upright, what a stop reads.

What is no frame of two pairs has rows of its own, a size or two each.
"""

from collections.abc import Iterator

from stockroom.facts import Fact
from stockroom.frame.sizes import FrameSizes
from stockroom.units.lengths import Micrometres

__all__ = ["SizeRow", "size_rows"]

SizeRow = tuple[str | Fact, tuple[Micrometres, ...], bool]


def size_rows(sizes: FrameSizes) -> Iterator[SizeRow]:
    """Each size, most both ways, and whether it is the one that the machine's stop reads."""
    match sizes.shape.kind:
        case "sides":
            yield from side_rows(sizes)
        case "repair" | "straight":
            yield from listed_rows(sizes)
        case kind:
            given = ("artwork", "play in all") if sizes.shape.given_outside else ()
            hidden = (*given, "sight") if kind == "strainer" else given
            yield from (row for row in frame_rows(sizes) if row[0] not in hidden)
            yield from bar_rows(sizes)


def side_rows(sizes: FrameSizes) -> Iterator[SizeRow]:
    """A regular frame's sizes, a side each; its play and what its lips cover are at each flat."""
    named = {"a side of the artwork": (sizes.artwork_um, ""), "of the opening, inside":
             (sizes.opening_um, "inside"), "of the sight": (sizes.sight_um, "sight"),
             "each rail, long point": (sizes.rails_um, "long point")}  # fmt: skip
    for name, (pair, stop) in named.items():
        yield name, pair[:1], sizes.stop == stop
    yield "outside, over all", sizes.outside_um, False
    if sizes.covered_um is not None:
        yield "covers, each edge", sizes.covered_um[:1], False
    if sizes.gap_um is not None:
        yield "gap, each side", sizes.gap_um[:1], False


def listed_rows(sizes: FrameSizes) -> Iterator[SizeRow]:
    """Lengths that are given themselves, equal ones together, the longest first."""
    code = "so_many_long_point" if sizes.shape.kind == "repair" else "so_many_square"
    for length in sorted(set(sizes.each_um), reverse=True):
        many = Fact(code, {"many": sizes.each_um.count(length)})
        yield many, (length,), sizes.stop == "long point"


def bar_rows(sizes: FrameSizes) -> Iterator[SizeRow]:
    """The bars of a strainer, cut square between its sides."""
    across = sizes.shape.bars[0]
    for way, bars in (("across", sizes.each_um[4 : 4 + across]),
                      ("upright", sizes.each_um[4 + across :])):  # fmt: skip
        if sizes.shape.kind == "strainer" and bars:
            yield Fact(f"bars_{way}", {"many": len(bars)}), bars[:1], False


def frame_rows(sizes: FrameSizes) -> Iterator[SizeRow]:
    """The sizes of a frame across and upright."""
    yield "artwork", sizes.artwork_um, False
    if sizes.window_um is not None:
        yield "window", sizes.window_um, False
        yield "mat and glass", sizes.package_um, False
    opening = "mat's window" if sizes.kind == "fillet" else "opening, inside"
    yield opening, sizes.opening_um, sizes.stop == "inside"
    yield "sight", sizes.sight_um, sizes.stop == "sight"
    yield "rails, long point", sizes.rails_um, sizes.stop == "long point"
    yield "outside", sizes.outside_um, False
    if sizes.covered_um is not None:
        yield "play in all", sizes.play_um, False
        yield "covers, each edge", sizes.covered_um, False
    if sizes.gap_um is not None:
        yield "gap, each side", sizes.gap_um, False
