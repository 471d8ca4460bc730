"""Pieces filled one after the other with rails that fill them as full as can be."""

import random
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from planner.heuristics.subset_sums import fullest

__all__ = ["Contents", "Cost", "Rack", "RackFilling", "Rail", "Stock", "Use"]

# Rails of any batch offered at once to fill a piece; how likely the longest rail begins it.
OFFERED, LONGEST = 24, 0.7

Contents = tuple[tuple[int, ...], ...]
Cost = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Stock:
    """One piece: its batch, what using it opens and loses, and the room of each stretch (um).

    Items that are ``barred`` are not cut from it.
    """

    name: str
    batch: str
    opened: int
    before: int
    rooms: tuple[int, ...]
    worth: Callable[[int], int]
    barred: frozenset[int]


@dataclass(frozen=True, slots=True)
class Rail:
    """One rail to be laid: its frame, number and item there, what it takes (um), and in parts."""

    frame: str
    number: int
    item: int
    size: int
    parts: int


@dataclass(frozen=True, slots=True)
class Use:
    """Which rails lie on each stretch of a piece, and what that costs."""

    contents: Contents
    cost: Cost


class Rack(Protocol):
    """What a filling works on: pieces and rails, sums of work done, and what contents cost."""

    stocks: list[Stock]
    rails: list[Rail]
    unit: int
    work: int
    rng: random.Random

    def use(self, n: int, contents: Contents) -> Use:
        """A piece with these contents."""


class RackFilling:
    """Pieces filled one after the other; ``free`` rails go wherever there is room."""

    def __init__(self, search: Rack, free: list[int]) -> None:
        self.search, self.free, self.found = search, free, dict[int, Use]()

    def fill(self, must: list[int], turns: list[int]) -> bool:
        """Lay all that must be laid (all free rails, if nothing must); whether it was possible."""
        waiting, left, only_free = [n for n in turns if n not in self.found], list(must), not must
        while waiting and (self.free if only_free else left):
            last = self._cheapest(self.free if only_free else left, waiting)
            n = waiting[0] if last is None else last
            waiting.remove(n)
            parts = []
            for room in self.search.stocks[n].rooms:
                held = self._held(left, room, self.search.stocks[n].barred)
                left = [r for r in left if r not in held]
                self.free = [r for r in self.free if r not in held]
                parts.append(tuple(held))
            if any(parts):
                self.found[n] = self.search.use(n, tuple(parts))
        return not (self.free if only_free else left)

    def _cheapest(self, rest: list[int], waiting: list[int]) -> int | None:
        """The piece that costs least of those whose first stretch takes all that is left."""
        search = self.search
        need = sum(search.rails[r].size for r in rest)
        items = {search.rails[r].item for r in rest}
        fit = [n for n in waiting if search.stocks[n].rooms and search.stocks[n].rooms[0] >= need
               and not items & search.stocks[n].barred]  # fmt: skip
        if not fit:
            return None
        none = {n: [()] * (len(search.stocks[n].rooms) - 1) for n in fit}
        return min(fit, key=lambda n: search.use(n, (tuple(rest), *none[n])).cost)

    def _held(self, must: list[int], room: int, barred: frozenset[int]) -> list[int]:
        """Rails for one stretch: all that must be laid and more, or those that fill it best."""
        rails, free = self.search.rails, self.free
        if barred:
            must, free = ([r for r in held if rails[r].item not in barred]
                          for held in (must, free))  # fmt: skip
        need = sum(rails[r].size for r in must)
        if need <= room:
            return must + self._fullest(free, room - need)
        first = []
        fit = [r for r in must if rails[r].size <= room]
        if fit and self.search.rng.random() < LONGEST:
            first = [max(fit, key=lambda r: rails[r].size)]
            room -= rails[first[0]].size
        return first + self._fullest([r for r in must + free if r not in first], room)

    def _fullest(self, offered: list[int], room: int) -> list[int]:
        search = self.search
        size = room // search.unit
        some = [r for r in offered if search.rails[r].parts <= size]
        search.rng.shuffle(some)
        del some[OFFERED:]
        search.work += size * (len(some) + 1)
        return [some[k] for k in fullest([search.rails[r].parts for r in some], size)]
