"""How sticks come to a replayed shop: invented deliveries, or those that its record tells of."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Protocol

from planner.values import Piece
from stockroom.replay.asked_frames import FIRST_DAY, ShopDemand, stick_lengths

__all__ = ["Arriving", "Invented", "RecordedSupply", "Supply"]


class Supply(Protocol):
    """What decides which pieces come to the rack."""

    def come(self, day: int, whole: int, minimum: int) -> Iterable[Piece]:
        """The pieces that come on a day, where ``whole`` sticks lie and ``minimum`` are wanted."""


class Invented:
    """Deliveries of one batch each, of random real lengths, whenever sticks run low."""

    def __init__(self, demand: ShopDemand, seed: int) -> None:
        self.demand, self.luck, self.batches = demand, stick_lengths(demand, seed), 0

    def come(self, day: int, whole: int, minimum: int) -> Iterable[Piece]:
        """A delivery where fewer whole sticks lie on the rack than are wanted."""
        if whole >= minimum:
            return []
        self.batches += 1
        low, high = self.demand.sticks
        return [
            Piece("", self.demand.profile, f"B{self.batches:04d}", "stick",
                  self.luck.randint(low // 1000, high // 1000) * 1000, FIRST_DAY + timedelta(day))
            for _ in range(self.demand.delivery)
        ]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Arriving:
    """Pieces of one entry of the record, and the day, counted from 0, on which they came."""

    day: int
    pieces: tuple[Piece, ...]


class RecordedSupply:
    """The pieces that a shop really got: the first arrival's day is 0 for what lay there already.

    ``as_needed`` says that whole sticks come when they are wanted, delivery by delivery in their
    order, and not on their days; when all have come, sticks of the catalogue's length follow.
    """

    def __init__(
        self, arrivals: Sequence[Arriving], demand: ShopDemand, *, as_needed: bool
    ) -> None:
        self.coming = sorted(arrivals, key=lambda one: one.day)
        self.demand, self.as_needed, self.made_up = demand, as_needed, 0

    def come(self, day: int, whole: int, minimum: int) -> Iterable[Piece]:
        """What came by this day; as needed, the next delivery where a frame asks for more."""
        came = [one for one in self.coming if one.day <= day and not self.waits(one)]
        if not came and self.as_needed and whole < minimum:
            came = [one for one in self.coming if self.waits(one)][:1] or [self.next_stick(day)]
        self.coming = [one for one in self.coming if one not in came]
        return [piece for one in came for piece in one.pieces]

    def waits(self, arrival: Arriving) -> bool:
        """True where an arrival is of sticks that come only as they are needed."""
        sticks = any(piece.kind == "stick" for piece in arrival.pieces)
        return self.as_needed and arrival.day > 0 and sticks

    def next_stick(self, day: int) -> Arriving:
        """A stick of the catalogue's length, for what the record's sticks do not yield."""
        self.made_up += 1
        stick = Piece("", self.demand.profile, f"next {self.made_up}", "stick",
                      self.demand.sticks[0], FIRST_DAY + timedelta(day))  # fmt: skip
        return Arriving(day, (stick,) * self.demand.delivery)
