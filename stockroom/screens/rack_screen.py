"""The rack on the screen: every piece to one scale, by its place."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from stockroom.screens.console import clean, folded, print_spans, width
from stockroom.screens.piece_line import LABEL_END, bar

if TYPE_CHECKING:
    from stockroom.screens.console import Span
    from stockroom.settings.shop_settings import Settings
    from stockroom.views.rack_row import RackRow

__all__ = ["rack_lines", "show_rack"]


def show_rack(rows: "Sequence[RackRow]", settings: "Settings") -> None:
    """Prints the rack."""
    print_spans(rack_lines(rows, settings, width()))


def rack_lines(
    rows: "Sequence[RackRow]", settings: "Settings", columns: int
) -> "Iterator[list[Span]]":
    """The rack in lines of at most this many columns: a piece's label above its drawing."""
    from stockroom.views.rack_row import placed

    longest = max((row.length for row in rows), default=1)
    for row in placed(rows):
        held = f", held by plan {row.plan}" if row.plan is not None else ""
        label = (f"{clean(row.spot, 12) or '?':<5} {row.number}   {clean(row.profile, 24)}   "
                 f"batch {clean(row.batch, 24)}   {row.kind} {settings.stock(row.length)}"
                 f"{held}")  # fmt: skip
        for line in folded(label, columns):
            yield [(line, "")]
        room = columns - len(LABEL_END)
        drawn = bar(row, settings, max(1, row.length * room // longest))
        yield [(LABEL_END, "bold"), *drawn]
