"""What a cut sheet says in words and totals, as plain values for screen and paper."""

from collections.abc import Callable, Iterator, Sequence

from stockroom.settings.shop_settings import Settings
from stockroom.views.sheet import Sheet, SheetPiece, Tally

__all__ = ["cut_on", "measured", "sayings", "tally_rows"]


def measured(sheet: Sheet, settings: Settings) -> str:
    """How the lengths on a sheet are to be read: of a rail, first what the stop reads."""
    stops = sorted({piece.stop for piece in sheet.pieces} or {"long point"})
    read = "rails: first what the stop reads"
    if stops == ["long point"]:
        read = "rails: long points"
    elif len(stops) == 1:
        read = f"rails: first {stops[0]}, as the stop reads"
    return (f"lengths in {settings.measure.plural}; {read}; leftovers: back edge; "
            "left: the label's end")  # fmt: skip


def cut_on(piece: SheetPiece) -> str:
    """Which machine cuts a piece and what its stop reads; nothing where there is no choice."""
    reads = "" if piece.stop == "long point" and not piece.machine else f"stop reads {piece.stop}"
    return ", ".join(filter(None, (piece.machine and f"on {piece.machine}", reads)))


def sayings(piece: SheetPiece) -> Iterator[str]:
    """What is to be known of a piece before its first cut."""
    if piece.backwards:
        numbers = ", ".join(f"{rail.turn}" for rail in piece.backwards)
        yield f"from the far end towards the label: rail {numbers}"
    if piece.tight:
        yield "tight: measure this offcut before the first cut"


def tally_rows(settings: Settings) -> Sequence[tuple[str, Callable[[Tally], str]]]:
    """What is counted, and how it is shown."""

    def length(name: str) -> Callable[[Tally], str]:
        return lambda tally: settings.length(getattr(tally, name))

    return (
        ("frames cut", lambda tally: str(tally.frames)),
        ("pieces fetched", lambda tally: str(tally.pieces)),
        ("offcuts used", lambda tally: str(tally.offcuts)),
        ("sticks opened", lambda tally: str(tally.sticks)),
        (f"length opened, {settings.unit}", length("stick_length")),
        (f"rails, {settings.unit}", length("rail_length")),
        (f"cutting loss, {settings.unit}", length("saw")),
        (f"scrap, {settings.unit}", length("scrap")),
        (f"back to the rack, {settings.unit}", length("leftover")),
    )
