"""What a patient framer with a calculator does: fill piece after piece as full as can be, again.

Frames take batches at random, pieces come at random, and each is filled with rails whose sum is
the most that it takes; the best of many tries is kept. It shares nothing with the planner's own
search but the values and the reckoning of what a laid-out plan reaches.
"""

import random
import time
from collections import Counter
from collections.abc import Iterable

from planner.score import Laid, cuts_of, score_of
from planner.stretches import stretches
from planner.values import Frame, Piece, Problem, Score

__all__ = ["Try", "best_filled"]

# Lengths are counted so fine (um), rails rounded up and pieces down.
GRID = 100

Rail = tuple[Frame, int]


def best_filled(problem: Problem, processor: float, seed: int = 0) -> tuple[Score | None, int]:
    """The best of as many tries as so many seconds of the processor allow, and how many.

    None where no try cut all frames. Pins and frames of one piece are not looked at.
    """
    rng, best, tries = random.Random(seed), None, 0
    ends = time.process_time() + processor
    while time.process_time() < ends:
        tries += 1
        laid = Try(problem, rng).laid()
        if laid is None:
            continue
        score = score_of(problem, cuts_of(problem, laid))
        if best is None or (-score.stick_opened, score.worth) > (-best.stick_opened, best.worth):
            best = score
    return best, tries


class Try:
    """One way to lay out all frames: batch after batch, piece after piece."""

    def __init__(self, problem: Problem, rng: random.Random) -> None:
        self.problem, self.rng = problem, rng
        self.rules = problem.rules
        self.free = [(f, n) for f in problem.frames if not f.one_batch for n in range(len(f.rails))]
        self.bound = [f for f in problem.frames if f.one_batch]
        rng.shuffle(self.bound)
        self.found: Laid = {}
        self.failed = False
        self.pieces = list(problem.pieces)
        rng.shuffle(self.pieces)
        self.pieces.sort(key=lambda p: p.kind == "stick")

    def laid(self) -> Laid | None:
        """Where the rails lie; None where not all frames found a place."""
        batches = sorted({piece.batch for piece in self.pieces})
        self.rng.shuffle(batches)
        for batch in batches:
            rack = [p for p in self.pieces if p.batch == batch]
            must, self.bound = self._share(rack)
            self._fill(rack, [(f, n) for f in must for n in range(len(f.rails))])
        used = {piece for piece, _ in self.found}
        self._fill([p for p in self.pieces if p.id not in used], [])
        return None if self.failed or self.bound or self.free else self.found

    def _share(self, rack: list[Piece]) -> tuple[list[Frame], list[Frame]]:
        """The bound frames that this batch takes, and the others: some, or as many as it holds."""
        room = 0.9 * sum(p.length for p in rack)
        count = len(self.bound) if self.rng.random() < 0.5 else self.rng.randint(0, len(self.bound))
        must: list[Frame] = []
        for frame in self.bound[:count]:
            room -= sum(frame.rails)
            if room < 0:
                break
            must.append(frame)
        return must, self.bound[len(must) :]

    def _fill(self, rack: Iterable[Piece], must: list[Rail]) -> None:
        """Fill pieces while rails are left that must come from them; free ones fill them up."""
        final = not must and not self.bound
        for piece in rack:
            if not must and not (final and self.free):
                break
            for number, stretch in enumerate(stretches(piece, self.rules)):
                room = stretch.length + self.rules.cut_allowance
                taken = self._fullest(must + self.free, room)
                if taken:
                    self.found[piece.id, number] = [(frame.id, n) for frame, n in taken]
                gone = Counter(id(rail) for rail in taken)
                must = [rail for rail in must if id(rail) not in gone]
                self.free = [rail for rail in self.free if id(rail) not in gone]
        self.failed = self.failed or bool(must)

    def _fullest(self, rails: list[Rail], room: int) -> list[Rail]:
        """Rails whose lengths come nearest to the room; the longest that fits among them."""
        size = room // GRID
        needs = {id(r): -(-(r[0].rails[r[1]] + self.rules.cut_allowance) // GRID) for r in rails}
        some = [rail for rail in rails if needs[id(rail)] <= size]
        if not some:
            return []
        self.rng.shuffle(some)
        first = max(some, key=lambda rail: needs[id(rail)])
        rest, left = [rail for rail in some if rail is not first], size - needs[id(first)]
        sums = [1]
        for rail in rest:
            sums.append(sums[-1] | (sums[-1] << needs[id(rail)] & (1 << left + 1) - 1))
        at, taken = sums[-1].bit_length() - 1, [first]
        for rail, before in zip(reversed(rest), reversed(sums[:-1]), strict=True):
            if not before >> at & 1:
                taken.append(rail)
                at -= needs[id(rail)]
        return taken
