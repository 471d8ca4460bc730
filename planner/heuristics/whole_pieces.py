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

from collections import Counter

from planner.heuristics.filling import PARTS, Rack, RackFilling, Use
from planner.model.profile_model import Model
from planner.score import Laid
from planner.stop import Stop

__all__ = ["WholePieces"]

# Pieces taken up at once, and unused ones offered.
LEAST, MOST, SPARE = 2, 5, 8
# Moves of one annealing, which begins from the best; how hot it begins (um); what a length of
# stick counts beside worth.
MOVES, HOT, WEIGHT = 2_000, 600_000.0, 2
# How likely pieces come of one batch; of a frame's too; frames change it; offcuts come first.
ALIKE, BY_FRAME, CHANGES, OFFCUTS = 0.6, 0.5, 0.3, 0.7

# All is laid anew so often at first; so full a batch may be, and how likely it has fewer frames.
ANEW, FULL, FEWER = 150, 0.9, 0.5


class WholePieces(Rack):
    """A laid-out plan that gets better; the frames it cuts stay the same."""

    def __init__(
        self, model: Model, laid: Laid, seed: int = 0, moves: int = 0, gather: bool = False
    ) -> None:
        """Goes on as after so many ``moves`` of an earlier search.

        To ``gather`` what is left on few pieces, so that shorter sticks do, is sought in place of
        worth.
        """
        super().__init__(model, laid, seed, gather)
        self.ties = {f: group.batches for group in model.groups for f in group.frames}
        self.of_batch: dict[str, list[int]] = {}
        for n, stock in enumerate(self.stocks):
            self.of_batch.setdefault(stock.batch, []).append(n)
        self.count = Counter(rail.frame for rail in self.rails)
        self.cost = self.total(self.uses.values())
        self.best, self.best_cost = dict(self.uses), self.cost
        self.moves, self.heat = moves, 0.0

    def best_laid(self) -> Laid:
        """Where the rails of the best plan lie."""
        return self.laid(self.best)

    def improve(self, work: int, stop: Stop, least: int = -1) -> None:
        """Make so many sums more, or until no more than the least is opened."""
        most = self.work + work
        while self.work < most and self.uses and self.best_cost[0] > least and not stop.over():
            self.moves += 1
            at = self.moves % MOVES
            if at == 0:
                self.uses, self.cost = dict(self.best), self.best_cost
            self.heat = HOT * (1 - at / MOVES) ** 3
            self._move()

    def _move(self) -> None:
        if self.moves <= ANEW:
            taken, new = list(self.uses), self._rebuilt()
        else:
            taken = self._taken()
            new = self._filled(taken)
        self.work += PARTS
        if new is None:
            return
        gone, come = self.total([self.uses[n] for n in taken]), self.total(new.values())
        rise = WEIGHT * (come[0] - gone[0]) + come[1] - gone[1]
        if rise > 0 and (self.moves <= ANEW or rise >= self.heat * self.rng.expovariate(1.0)):
            return
        for n in taken:
            del self.uses[n]
        self.uses |= new
        self.cost = self.cost[0] - gone[0] + come[0], self.cost[1] - gone[1] + come[1]
        if self.cost < self.best_cost:
            self.best, self.best_cost = dict(self.uses), self.cost

    def _rebuilt(self) -> dict[int, Use] | None:
        """All rails laid anew, batch after batch, each with some of the frames tied to batches."""
        must = self._shared()
        free = [r for r, rail in enumerate(self.rails) if not self.ties[rail.frame]]
        filling = RackFilling(self, free)
        for batch in must:
            if not filling.fill(must[batch], self._order(self.of_batch[batch])):
                return None
        rest = [n for n in range(len(self.stocks)) if n not in filling.found]
        if filling.free and not filling.fill([], self._order(rest)):
            return None
        return filling.found

    def _shared(self) -> dict[str, list[int]]:
        """The rails of frames tied to batches, by batch: each as many as it may hold, or fewer."""
        rng, batches = self.rng, list(self.of_batch)
        rng.shuffle(batches)
        tied: dict[str, list[int]] = {}
        for r, rail in enumerate(self.rails):
            if self.ties[rail.frame]:
                tied.setdefault(rail.frame, []).append(r)
        frames, must = list(tied), dict[str, list[int]]()
        rng.shuffle(frames)
        for batch in batches:
            room = FULL * sum(sum(self.rooms[n]) for n in self.of_batch[batch])
            if rng.random() < FEWER:
                room *= rng.random()
            for frame in list(frames):
                size = sum(self.rails[r].size for r in tied[frame])
                if batch in self.ties[frame] and size <= room:
                    room -= size
                    frames.remove(frame)
                    must.setdefault(batch, []).extend(tied[frame])
        for frame in frames:
            must.setdefault(rng.choice(self.ties[frame]), []).extend(tied[frame])
        return must

    def _order(self, pieces: list[int]) -> list[int]:
        """Pieces at random, offcuts first or not."""
        turns = self.rng.sample(pieces, len(pieces))
        if self.rng.random() < OFFCUTS:
            turns.sort(key=lambda n: self.stocks[n].opened > 0)
        return turns

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
        filling = RackFilling(self, free)
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
            whole = len(ties) > 1 and times == self.count[frame]
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
        turns = self._order(mine + some[: rng.randint(0, 2)])
        return turns + [n for n in some if n not in turns]
