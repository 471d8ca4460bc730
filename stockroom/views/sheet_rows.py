"""What a cut sheet says in words and totals, as plain values for screen and paper."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from stockroom.facts import Fact
from stockroom.frame.shapes import ends_said
from stockroom.settings.shop_settings import Settings
from stockroom.views.collating import called, equal_rails
from stockroom.views.sheet import Part, Sheet, SheetPiece, Tally

__all__ = ["RailRow", "also_read", "cut_on", "measured", "rail_rows", "sayings", "tally_rows"]


@dataclass(frozen=True, slots=True)
class RailRow:
    """Equal rails cut one after another: how many, what the machine's stop reads of them, of which
    frames, what else there is to measure, and whether they are too short to be held clear."""

    many: int
    read: str
    whose: str | Fact
    also: tuple[Fact, ...]
    held: bool


def rail_rows(piece: SheetPiece, settings: Settings) -> Iterator[RailRow]:
    """A piece's rails in cutting order, equal ones of a job together."""
    for group in equal_rails(piece):
        labels = [*dict.fromkeys(rail.frame for rail in group)]
        read = piece.measures(group[0])[0][1]
        yield RailRow(len(group), settings.length(read), called(labels),
                      tuple(also_read(piece, group[0], settings)),
                      group[0].hard_to_hold)  # fmt: skip


def measured(sheet: Sheet, settings: Settings) -> Fact:
    """How the lengths on a sheet are to be read: of a rail, first what the stop reads."""
    stops = sorted({piece.stop for piece in sheet.pieces} or {"long point"})
    read = Fact("read_as_stop")
    if stops == ["long point"]:
        read = Fact("read_long_points")
    elif len(stops) == 1:
        read = Fact("read_as_one_stop", {"stop": Fact(stops[0])})
    return Fact("lengths_measured", {"unit": Fact(settings.measure.plural), "read": read})


def cut_on(piece: SheetPiece) -> Fact | None:
    """Which machine cuts a piece and what its stop reads; nothing where there is no choice."""
    on = {"machine": piece.machine, "stop": Fact(piece.stop)}
    if piece.stop == "long point":
        return Fact("on_machine", on) if piece.machine else None
    return Fact("on_machine_stop" if piece.machine else "stop_reads", on)


def also_read(piece: SheetPiece, rail: Part, settings: Settings) -> list[Fact]:
    """What else of a rail there is to measure, and its ends where they are not a frame's."""
    _, *others = piece.measures(rail)
    read = [Fact("measure_read", {"what": Fact(name), "length": settings.length(um)})
            for name, um in others]  # fmt: skip
    ends = ends_said(rail.angles)
    return read if ends is None else [*read, ends]


def sayings(piece: SheetPiece) -> Iterator[Fact]:
    """What is to be known of a piece before its first cut."""
    if piece.backwards:
        yield Fact("cut_backwards", {"rails": tuple(rail.turn for rail in piece.backwards)})
    for angles in dict.fromkeys(rail.angles for rail in piece.rails):
        if ends := ends_said(angles):
            turns = tuple(rail.turn for rail in piece.rails if rail.angles == angles)
            yield Fact("not_at_45", {"rails": turns, "ends": ends})
    if piece.round:
        yield Fact("goes_round", {"frames": called(piece.round)})
    if piece.tight:
        yield Fact("measure_tight")


def tally_rows(settings: Settings) -> Sequence[tuple[Fact, Callable[[Tally], str]]]:
    """What is counted, and how it is shown."""

    def counts(name: str, field: str) -> tuple[Fact, Callable[[Tally], str]]:
        return Fact(name), lambda tally: str(getattr(tally, field))

    def length(name: str, field: str) -> tuple[Fact, Callable[[Tally], str]]:
        named = Fact("in_unit", {"what": Fact(name), "unit": settings.unit})
        return named, lambda tally: settings.length(getattr(tally, field))

    return (
        counts("frames cut", "frames"),
        counts("pieces fetched", "pieces"),
        counts("offcuts used", "offcuts"),
        counts("sticks opened", "sticks"),
        length("length opened", "stick_length"),
        length("rails", "rail_length"),
        length("cutting loss", "saw"),
        length("scrap", "scrap"),
        length("back to the rack", "leftover"),
    )
