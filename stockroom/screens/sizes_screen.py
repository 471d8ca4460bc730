"""The sizes of a frame, as the counter needs them."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from stockroom.facts import Fact
from stockroom.frame.shapes import FRAME
from stockroom.frame.sizes import FrameSizes
from stockroom.screens.console import folded, print_spans, width
from stockroom.views.size_rows import size_rows
from stockroom.words.language import Voice, word

if TYPE_CHECKING:
    from stockroom.screens.console import Span
    from stockroom.settings.shop_settings import Settings

__all__ = ["show_layers", "show_sizes", "size_lines"]


def show_sizes(sizes: FrameSizes, settings: "Settings", quantity: int = 1) -> None:
    """Prints a frame's sizes and what should be said about them."""
    print_spans(size_lines(sizes, settings, width(), quantity))


def show_layers(
    layers: Sequence[tuple[Fact, FrameSizes]], settings: "Settings", quantity: int
) -> None:
    """Prints the sizes of a job; of several mouldings each under its name."""
    for name, sizes in layers:
        if len(layers) > 1:
            print_spans([[(word(name), "bold")]])
        show_sizes(sizes, settings, quantity)


def size_lines(
    sizes: FrameSizes, settings: "Settings", columns: int, quantity: int = 1
) -> "Iterator[list[Span]]":
    """The sizes in lines: across by upright, in the shop's unit; moulding of all frames."""
    show = settings.length
    one_way = sizes.shape.listed or sizes.shape.kind == "sides"
    across, upright = ("", "") if one_way else (word("across"), word("upright"))
    rows = [(word(code), pair, reads) for code, pair, reads in size_rows(sizes)]
    wide = max(18, *(len(name) for name, *_ in rows))
    cut_as = "" if sizes.shape == FRAME else word(sizes.shape.said)
    yield [(f"{cut_as:<{wide}}{across:>12}   {upright:<12}{settings.unit}", "dim")]
    for name, pair, reads in rows:
        mark = word("the stop") if reads else ""
        beside = f" x {show(pair[1]):<12}" if len(pair) > 1 else " " * 15
        line = f"{name:<{wide}}{show(pair[0]):>12}{beside}{mark}".rstrip()
        yield [(line, "bold" if reads else "")]
    for name, length in single_sizes(sizes, settings, quantity):
        yield [(f"{word(name):<{wide}}{show(length):>12}", "")]
    for notice in sizes.notices:
        told = Voice("at_the_command_line", settings).say(notice)
        text = f"! {told}"
        for number, line in enumerate(folded(text, columns - 2)):
            yield [(f"{'  ' if number else ''}{line}", "bold")]


def single_sizes(
    sizes: FrameSizes, settings: "Settings", quantity: int
) -> Iterator[tuple[str, int]]:
    """The sizes that are one length; united inches where the shop measures in inches."""
    if sizes.depth_um is not None:
        yield "canvas, depth" if sizes.kind == "float" else "package, depth", sizes.depth_um
    if sizes.drop_um is not None:
        yield "below the front", sizes.drop_um
    many = word("moulding, {frames:frame}", frames=quantity)
    yield many if quantity > 1 else "moulding in all", quantity * sizes.moulding_um
    if settings.measure.inches and sizes.shape == FRAME:
        yield "united inches", sizes.united_um
