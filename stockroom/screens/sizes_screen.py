"""The sizes of a frame, as the counter needs them."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from stockroom.frame.sizes import FrameSizes, notice_text
from stockroom.screens.console import folded, print_spans, width

if TYPE_CHECKING:
    from stockroom.screens.console import Span
    from stockroom.settings.shop_settings import Settings

__all__ = ["show_sizes", "size_lines"]


def show_sizes(sizes: FrameSizes, settings: "Settings") -> None:
    """Prints a frame's sizes and what should be said about them."""
    print_spans(size_lines(sizes, settings, width()))


def size_lines(sizes: FrameSizes, settings: "Settings", columns: int) -> "Iterator[list[Span]]":
    """The sizes in lines: across by upright, in the shop's unit."""
    show = settings.length
    yield [(f"{'':<18}{'across':>12}   {'upright':<12}{settings.unit}", "dim")]
    for name, pair in (
        ("artwork", sizes.artwork_um), ("opening", sizes.opening_um), ("sight", sizes.sight_um),
        ("rails, long point", sizes.rails_um), ("outside", sizes.outside_um),
    ):  # fmt: skip
        style = "bold" if name.startswith("rails") else ""
        yield [(f"{name:<18}{show(pair[0]):>12} x {show(pair[1]):<12}", style)]
    for name, length in single_sizes(sizes):
        yield [(f"{name:<18}{show(length):>12}", "")]
    for notice in sizes.notices:
        text = f"! {notice_text(notice, settings.length_with_unit)}"
        for number, line in enumerate(folded(text, columns - 2)):
            yield [(f"{'  ' if number else ''}{line}", "bold")]


def single_sizes(sizes: FrameSizes) -> Iterator[tuple[str, int]]:
    """The sizes that are one length."""
    if sizes.covered_um is not None:
        yield "covers, each edge", sizes.covered_um
    if sizes.gap_um is not None:
        yield "gap, each side", sizes.gap_um
    if sizes.drop_um is not None:
        yield "below the front", sizes.drop_um
    yield "moulding in all", sizes.moulding_um
    yield "united", sizes.united_um
