"""A piece as it lies on the rack, in plain values for screen and paper."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from stockroom.facts import Fact
from stockroom.units.lengths import Micrometres
from stockroom.units.places import place_order
from stockroom.views.sheet import Part

__all__ = ["RackRow", "placed"]


@dataclass(frozen=True, slots=True)
class RackRow:
    """A piece as it lies on the rack; ``flaws`` from its label's end, micrometres.

    ``marks`` are what else is to be known of it: bowed, a second, whose it is, its first motif.
    """

    number: int
    profile: str
    batch: str
    kind: str
    spot: str
    length: Micrometres
    flaws: tuple[tuple[int, int], ...]
    plan: int | None
    marks: tuple[Fact, ...] = ()

    @property
    def parts(self) -> tuple[Part, ...]:
        """Its clear stretches and its flaws, from its label's end."""
        return tuple(rack_parts(self))


def rack_parts(row: RackRow) -> Iterator[Part]:
    """A piece's clear stretches and its flaws."""
    at = 0
    for start, end in sorted(row.flaws):
        if start > at:
            yield Part("leftover", at, start - at)
        if end > max(at, start):
            yield Part("flaw", max(at, start), end - max(at, start))
        at = max(at, end)
    if at < row.length:
        yield Part("leftover", at, row.length - at)


def placed(rows: Iterable[RackRow]) -> list[RackRow]:
    """The pieces by their places, those without one last."""
    return sorted(rows, key=lambda row: (place_order(row.spot), row.number))
