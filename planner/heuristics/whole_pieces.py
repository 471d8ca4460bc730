"""Large-neighbourhood search: a few pieces are emptied and filled anew, as full as can be.

For profiles whose ways to cut are too many to go through. Pieces in use, and now and then a frame
that is bound to a batch, are taken up; their rails fill pieces one after the other by subset sums;
what is no worse is kept, and a little worse for a while (annealing). Work is counted, so that the
same problem ends alike anywhere.

Source: Shaw, Using constraint programming and local search methods to solve vehicle routing
problems (1998); Kirkpatrick, Gelatt and Vecchi, Optimization by simulated annealing (1983); the
filling is Gupta and Ho's, A new heuristic algorithm for the one-dimensional bin-packing problem
(1999); all from memory.
"""

import random
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from planner.heuristics.subset_sums import fullest
from planner.model.profile_model import Model
from planner.score import Laid
from planner.stop import Stop
from planner.stretches import stretches
from planner.values import Micrometres, Piece
from planner.worth import Worth

__all__ = ["WholePieces"]

# Rooms are counted in at most so many parts, rails rounded up: a few hundredths of a millimetre.
PARTS = 32_000
# Pieces taken up at once, unused ones offered, and rails of any batch offered at once to fill one.
LEAST, MOST, SPARE, OFFERED = 2, 5, 8, 24
# Moves of one annealing, which begins from the best; how hot it begins (um); what a length of
# stick counts beside worth.
MOVES, HOT, WEIGHT = 2_000, 600_000.0, 2
# How likely pieces come of one batch; of a frame's too; frames change their batch; the longest rail
# begins a piece; offcuts come first.
ALIKE, BY_FRAME, CHANGES, LONGEST, OFFCUTS = 0.6, 0.5, 0.3, 0.7, 0.7

Contents = tuple[tuple[int, ...], ...]
Cost = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Stock:
    """One piece: its batch, what using it opens and loses, and the room of each stretch (um)."""

    name: str
    batch: str
    opened: int
    before: int
    rooms: tuple[int, ...]
    worth: Worth


@dataclass(frozen=True, slots=True)
class Rail:
    """One rail to be laid: its frame and number there, what it takes (um), and in parts."""

    frame: str
    number: int
    size: int
    parts: int


@dataclass(frozen=True, slots=True)
class Use:
    """Which rails lie on each stretch of a piece, and what that costs."""

    contents: Contents
    cost: Cost


class WholePieces:
    """A laid-out plan that gets better; the frames it cuts stay the same."""

    def __init__(self, model: Model, laid: Laid, seed: int = 0) -> None:
        """Pieces that hold frames of one piece stay as they are laid."""
        self.model, self.rng = model, random.Random(seed)
        self.weighed = model.problem.aims == "weighed"
        self.ties = {f: group.batches for group in model.groups for f in group.frames}
        whole = {f for group in model.groups if group.link == "piece" for f in group.frames}
        fixed = {piece for (piece, _), rails in laid.items() if any(f in whole for f, _ in rails)}
        self.fixed: Laid = {place: rails for place, rails in laid.items() if place[0] in fixed}
        self.stocks = [self._stock(p) for p in model.problem.pieces if p.id not in fixed]
        longest = max((room for s in self.stocks for room in s.rooms), default=1)
        self.unit = max(1, -(-longest // PARTS))
        self.of_batch: dict[str, list[int]] = {}
        for n, stock in enumerate(self.stocks):
            self.of_batch.setdefault(stock.batch, []).append(n)
        self.rails: list[Rail] = []
        self.uses = self._read(laid)
        self.laid_of = Counter(rail.frame for rail in self.rails)
        self.cost = self._total(self.uses.values())
        self.best, self.best_cost = dict(self.uses), self.cost
        self.work, self.moves, self.heat = 0, 0, 0.0

    def _stock(self, piece: Piece) -> Stock:
        rules, stick = self.model.problem.rules_of(piece.profile), piece.kind == "stick"
        runs = [stretch.length for stretch in stretches(piece, rules)]
        worth = self.model.worth.over(0 if stick else rules.margin)
        before = 0 if stick else sum(map(worth, runs))
        rooms = tuple(run + self.model.allowance for run in runs)
        batch = piece.batch if self.model.batched else ""
        return Stock(piece.id, batch, piece.length if stick else 0, before, rooms, worth)

    def _read(self, laid: Laid) -> dict[int, Use]:
        frames = {f.id: f for f in self.model.problem.frames}
        number = {stock.name: n for n, stock in enumerate(self.stocks)}
        held: dict[int, dict[int, list[int]]] = {}
        for (piece, stretch), rails in laid.items():
            for name, n in rails if piece in number else ():
                size = frames[name].rails[n] + self.model.allowance
                held.setdefault(number[piece], {}).setdefault(stretch, []).append(len(self.rails))
                self.rails.append(Rail(name, n, size, -(-size // self.unit)))
        runs = {n: range(len(self.stocks[n].rooms)) for n in held}
        return {
            n: self.use(n, tuple(tuple(parts.get(k, ())) for k in runs[n]))
            for n, parts in held.items()
        }

    def laid(self) -> Laid:
        """Where the rails of the best plan lie."""
        found = {place: list(rails) for place, rails in self.fixed.items()}
        for n, use in self.best.items():
            for stretch, held in enumerate(use.contents):
                if held:
                    rails = [self.rails[r] for r in held]
                    found[self.stocks[n].name, stretch] = [(r.frame, r.number) for r in rails]
        return found

    def use(self, n: int, contents: Contents) -> Use:
        """A piece with these contents: stick opened, then what the rack loses in worth.

        Both in one where they are weighed.
        """
        stock, allowance, lost = self.stocks[n], self.model.allowance, self.stocks[n].before
        for room, held in zip(stock.rooms, contents, strict=True):
            left = room - sum(self.rails[r].size for r in held) - allowance
            lost -= stock.worth(max(0, left))
        cost = (stock.opened + lost, 0) if self.weighed else (stock.opened, lost)
        return Use(contents, cost)

    def _total(self, uses: Iterable[Use]) -> Cost:
        costs = [use.cost for use in uses]
        return sum(c[0] for c in costs), sum(c[1] for c in costs)

    def improve(self, work: int, stop: Stop) -> bool:
        """Make so many sums more; whether the best plan got better."""
        before, most = self.best_cost, self.work + work
        while self.work < most and self.uses and not stop.over():
            self.moves += 1
            at = self.moves % MOVES
            if at == 0:
                self.uses, self.cost = dict(self.best), self.best_cost
            self.heat = HOT * (1 - at / MOVES) ** 3
            self._move()
        return self.best_cost < before

    def _move(self) -> None:
        taken = self._taken()
        new = self._filled(taken)
        self.work += PARTS
        if new is None:
            return
        gone, come = self._total([self.uses[n] for n in taken]), self._total(new.values())
        rise = WEIGHT * (come[0] - gone[0]) + come[1] - gone[1]
        if rise > 0 and rise >= self.heat * self.rng.expovariate(1.0):
            return
        for n in taken:
            del self.uses[n]
        self.uses |= new
        self.cost = self.cost[0] - gone[0] + come[0], self.cost[1] - gone[1] + come[1]
        if self.cost < self.best_cost:
            self.best, self.best_cost = dict(self.uses), self.cost

    def _taken(self) -> list[int]:
        """The pieces to be emptied: some of one batch or of any, and those of a frame's rails."""
        rng, used = self.rng, list(self.uses)
        first, several = rng.choice(used), len(self.of_batch) > 1
        if several and rng.random() < ALIKE:
            used = [n for n in used if self.stocks[n].batch == self.stocks[first].batch]
        taken = [first, *rng.sample(used, min(rng.randint(LEAST, MOST), len(used)))]
        if several and rng.random() < BY_FRAME:
            held = [r for part in self.uses[first].contents for r in part]
            frame = self.rails[rng.choice(held)].frame
            taken += [n for n, use in self.uses.items() if self._has(use, frame)]
        return list(dict.fromkeys(taken))

    def _has(self, use: Use, frame: str) -> bool:
        return any(self.rails[r].frame == frame for part in use.contents for r in part)

    def _filled(self, taken: list[int]) -> dict[int, Use] | None:
        """The rails of these pieces laid anew, on them or on unused ones; None where that fails."""
        must, free = self._dealt(taken)
        batches = list(must)
        self.rng.shuffle(batches)
        filling = _Filling(self, free)
        for batch in batches:
            mine = [n for n in taken if self.stocks[n].batch == batch]
            if not filling.fill(must[batch], self._turns(mine, batch)):
                return None
        rest = [n for n in taken if n not in filling.found]
        if filling.free and not filling.fill([], self._turns(rest, *self.of_batch)):
            return None
        return filling.found

    def _dealt(self, taken: list[int]) -> tuple[dict[str, list[int]], list[int]]:
        """The rails by the batch they must come from, and those that may come from any.

        A frame of a batch that is taken up whole may change it.
        """
        held = [(n, r) for n in taken for part in self.uses[n].contents for r in part]
        where = {self.rails[r].frame: self.stocks[n].batch for n, r in held}
        count = Counter(self.rails[r].frame for _, r in held)
        for frame, times in count.items():
            ties = self.ties[frame]
            whole = len(ties) > 1 and times == self.laid_of[frame]
            if whole and self.rng.random() < CHANGES:
                where[frame] = self.rng.choice(ties)
        must: dict[str, list[int]] = {}
        for _, r in held:
            frame = self.rails[r].frame
            if self.ties[frame]:
                must.setdefault(where[frame], []).append(r)
        return must, [r for _, r in held if not self.ties[self.rails[r].frame]]

    def _turns(self, mine: list[int], *batches: str) -> list[int]:
        """Pieces in the order they are filled: those taken up and a few unused ones at random."""
        rng = self.rng
        spare = [n for b in batches for n in self.of_batch.get(b, ()) if n not in self.uses]
        some = rng.sample(spare, min(len(spare), SPARE))
        turns = mine + some[: rng.randint(0, 2)]
        rng.shuffle(turns)
        if rng.random() < OFFCUTS:
            turns.sort(key=lambda n: self.stocks[n].opened > 0)
        return turns + [n for n in some if n not in turns]


class _Filling:
    """Pieces filled one after the other; ``free`` rails go wherever there is room."""

    def __init__(self, search: WholePieces, free: list[int]) -> None:
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
                held = self._held(left, room)
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
        fit = [n for n in waiting if search.stocks[n].rooms and search.stocks[n].rooms[0] >= need]
        if not fit:
            return None
        none = {n: [()] * (len(search.stocks[n].rooms) - 1) for n in fit}
        return min(fit, key=lambda n: search.use(n, (tuple(rest), *none[n])).cost)

    def _held(self, must: list[int], room: int) -> list[int]:
        """Rails for one stretch: all that must be laid and more, or those that fill it best."""
        rails = self.search.rails
        need = sum(rails[r].size for r in must)
        if need <= room:
            return must + self._fullest(self.free, room - need)
        first = []
        fit = [r for r in must if rails[r].size <= room]
        if fit and self.search.rng.random() < LONGEST:
            first = [max(fit, key=lambda r: rails[r].size)]
            room -= rails[first[0]].size
        return first + self._fullest([r for r in must + self.free if r not in first], room)

    def _fullest(self, rails: list[Micrometres], room: int) -> list[int]:
        search = self.search
        size = room // search.unit
        some = [r for r in rails if search.rails[r].parts <= size]
        search.rng.shuffle(some)
        del some[OFFERED:]
        search.work += size * (len(some) + 1)
        return [some[k] for k in fullest([search.rails[r].parts for r in some], size)]
