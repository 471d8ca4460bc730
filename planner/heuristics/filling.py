"""Pieces filled one after the other with rails that fill them as full as can be."""

import random
from collections.abc import Iterable
from dataclasses import dataclass, replace

from planner.heuristics.subset_sums import fullest
from planner.model.profile_model import Model, PieceType
from planner.score import Laid
from planner.values import Micrometres

__all__ = ["PARTS", "Cost", "Rack", "RackFilling", "Use"]

# Rooms are counted in at most so many parts, rails rounded up: a few hundredths of a millimetre.
PARTS = 32_000
# Rails of any batch offered at once to fill a piece; how likely the longest rail begins it.
OFFERED, LONGEST = 24, 0.7
# What is left on a piece counts by its square, so long (um) for itself.
GATHERED = 9_000_000

Contents = tuple[tuple[int, ...], ...]
Cost = tuple[int, int]


def _gathered(left: Micrometres) -> int:
    return left * left // GATHERED


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


class Rack:
    """Pieces, each a type with one piece, the rails that lie on them, and what that costs.

    Pieces that hold frames of one piece are left out and stay as they are laid.
    """

    def __init__(self, model: Model, laid: Laid, seed: int, gather: bool) -> None:
        """To ``gather`` what is left on few pieces is sought in place of worth."""
        self.model, self.rng, self.gather, self.work = model, random.Random(seed), gather, 0
        whole = {f for group in model.groups if group.link == "piece" for f in group.frames}
        fixed = {piece for (piece, _), rails in laid.items() if any(f in whole for f, _ in rails)}
        self.fixed: Laid = {place: rails for place, rails in laid.items() if place[0] in fixed}
        self.worths = {kind.margin: _gathered if gather else model.worth.over(kind.margin)
                       for kind in model.types}  # fmt: skip
        self.stocks = [self._stock(kind, name) for kind in model.types for name in kind.pieces
                       if name not in fixed]  # fmt: skip
        # What each stretch holds of rails and their cuts, um.
        self.rooms = [tuple(run + model.allowance for run in s.stretches) for s in self.stocks]
        self.longest = max((room for rooms in self.rooms for room in rooms), default=1)
        self.unit = max(1, -(-self.longest // PARTS))
        self.rails: list[Rail] = []
        self.uses = self._read(laid)
        self.longest_rail = max((rail.parts for rail in self.rails), default=0)

    def _stock(self, kind: PieceType, name: str) -> PieceType:
        before = kind.before
        if self.gather:
            before = 0 if kind.stick else sum(map(_gathered, kind.stretches))
        return replace(kind, pieces=(name,), before=before)

    def _read(self, laid: Laid) -> dict[int, Use]:
        frames = {f.id: f for f in self.model.problem.frames}
        found: dict[int, Use] = {}
        for n, stock in enumerate(self.stocks):
            contents = []
            for stretch in range(len(stock.stretches)):
                first = len(self.rails)
                for name, number in laid.get((stock.pieces[0], stretch), ()):
                    item = self.model.length_of(frames[name], number)
                    size = self.model.item_sizes[item]
                    self.rails.append(Rail(name, number, item, size, -(-size // self.unit)))
                contents.append(tuple(range(first, len(self.rails))))
            if any(contents):
                found[n] = self.use(n, tuple(contents))
        return found

    def laid(self, uses: dict[int, Use]) -> Laid:
        """Where the rails lie."""
        found = {place: list(rails) for place, rails in self.fixed.items()}
        for n, use in uses.items():
            for stretch, held in enumerate(use.contents):
                if held:
                    rails = [self.rails[r] for r in held]
                    found[self.stocks[n].pieces[0], stretch] = [(r.frame, r.number) for r in rails]
        return found

    def use(self, n: int, contents: Contents) -> Use:
        """A piece with these contents: stick opened, then what the rack loses in worth.

        Both in one where they are weighed.
        """
        stock = self.stocks[n]
        lost, worth = stock.before, self.worths[stock.margin]
        for stretch, held in zip(stock.stretches, contents, strict=True):
            lost -= worth(max(0, stretch - sum(self.rails[r].size for r in held)))
        weighed = self.model.problem.aims == "weighed"
        return Use(contents, (stock.opened + lost, 0) if weighed else (stock.opened, lost))

    def total(self, uses: Iterable[Use]) -> Cost:
        """What these uses cost together."""
        costs = [use.cost for use in uses]
        return sum(c[0] for c in costs), sum(c[1] for c in costs)


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
            for room in self.search.rooms[n]:
                held = self._held(left, room, self.search.stocks[n].barred)
                for r in held:
                    (left if r in left else self.free).remove(r)
                parts.append(tuple(held))
            if any(parts):
                self.found[n] = self.search.use(n, tuple(parts))
        return not (self.free if only_free else left)

    def _cheapest(self, rest: list[int], waiting: list[int]) -> int | None:
        """The piece that costs least of those whose first stretch takes all that is left."""
        search = self.search
        need = 0
        for r in rest:
            need += search.rails[r].size
            if need > search.longest:
                return None
        items = {search.rails[r].item for r in rest}
        fit = [n for n in waiting if search.rooms[n] and search.rooms[n][0] >= need
               and not items & search.stocks[n].barred]  # fmt: skip
        if not fit:
            return None
        none = {n: [()] * (len(search.stocks[n].stretches) - 1) for n in fit}
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
        some = offered
        if search.longest_rail > size:
            some = [r for r in offered if search.rails[r].parts <= size]
        some = search.rng.sample(some, min(OFFERED, len(some)))
        search.work += size * (len(some) + 1)
        return [some[k] for k in fullest([search.rails[r].parts for r in some], size)]
