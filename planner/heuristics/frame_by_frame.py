"""Worth alone, one frame after another: quick enough for years, exact for each frame by itself."""

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import product

from planner.score import Laid
from planner.sorting import by_due, fetch_order
from planner.stretches import stretches
from planner.values import Frame, Piece, Problem
from planner.worth import Worth, worth_of

__all__ = ["groups", "laid_stepwise"]

Place = tuple[str, int]
Counts = tuple[int, ...]
Taken = dict[Place, Counts]


def laid_stepwise(problem: Problem) -> Laid:
    """Where the rails go, frame by frame."""
    laid: Laid = {}
    racks = {code: _Rack(problem, code) for code in sorted({f.profile for f in problem.frames})}
    for frame in sorted(problem.frames, key=by_due):
        for place, rail in racks[frame.profile].cut(frame):
            laid.setdefault(place, []).append((frame.id, rail))
    return laid


def groups(frame: Frame, pieces: Sequence[Piece]) -> Iterator[list[Piece]]:
    """The sets of pieces this frame may come from together, in the order of the pieces."""
    fits = [p for p in pieces if frame.pin in (None, p.id) and frame.batch in (None, p.batch)]
    if frame.one_piece:
        yield from ([p] for p in fits)
    elif frame.one_batch:
        for batch in dict.fromkeys(p.batch for p in fits):
            yield [p for p in fits if p.batch == batch]
    else:
        yield fits


class _Rack:
    """The stretches of one profile while frames are laid on them."""

    def __init__(self, problem: Problem, profile: str) -> None:
        self.rules, worth = problem.rules_of(profile), worth_of(problem, profile)
        self.pieces = sorted((p for p in problem.pieces if p.profile == profile), key=fetch_order)
        self.room: dict[Place, int] = {}
        self.cost: dict[Place, int] = {}
        self.worth: dict[Place, Worth] = {}
        for piece in self.pieces:
            for number, stretch in enumerate(stretches(piece, self.rules)):
                place = piece.id, number
                self.room[place], self.worth[place] = stretch.length, worth.over(stretch.margin)
                self.cost[place] = held(piece, stretch.length, self.worth[place])

    def cut(self, frame: Frame) -> list[tuple[Place, int]]:
        """Lays one frame whole where that costs the least; nothing where it can't be."""
        lengths = tuple(sorted(set(frame.rails), reverse=True))
        asked = tuple(Counter(frame.rails)[length] for length in lengths)
        found = [best for group in groups(frame, self.pieces)
                 if (best := self.cheapest(group, lengths, asked)) is not None]  # fmt: skip
        if not found:
            return []
        taken = min(found, key=lambda option: option[0])[1]
        waiting = {length: [i for i, r in enumerate(frame.rails) if r == length]
                   for length in lengths}  # fmt: skip
        places = []
        for place, counts in sorted(taken.items()):
            self.room[place] = self.left(place, lengths, counts)
            self.cost[place] = self.worth[place](self.room[place])
            for length, count in zip(lengths, counts, strict=True):
                places += [(place, waiting[length].pop(0)) for _ in range(count)]
        return places

    def cheapest(
        self, group: Sequence[Piece], lengths: Counts, asked: Counts
    ) -> tuple[int, Taken] | None:
        """The least that the rails cost on these pieces, by dynamic programming over stretches."""
        names = {piece.id for piece in group}
        best: dict[Counts, tuple[int, Taken]] = {tuple(0 for _ in asked): (0, {})}
        for place in [place for place in self.room if place[0] in names]:
            options = self.options(place, lengths, asked)
            for done, (cost, taken) in list(best.items()):
                for counts, more in options:
                    then = tuple(a + b for a, b in zip(done, counts, strict=True))
                    if any(a > b for a, b in zip(then, asked, strict=True)):
                        continue
                    if then not in best or cost + more < best[then][0]:
                        best[then] = (cost + more, {**taken, place: counts})
        return best.get(asked)

    def options(self, place: Place, lengths: Counts, asked: Counts) -> list[tuple[Counts, int]]:
        """What may be cut from a stretch, and what that costs: worth before, less worth after."""
        found = []
        for counts in product(*(range(count + 1) for count in asked)):
            if any(counts) and (left := self.left(place, lengths, counts)) >= 0:
                found.append((counts, self.cost[place] - self.worth[place](left)))
        return found

    def left(self, place: Place, lengths: Counts, counts: Counts) -> int:
        """What a stretch leaves after these rails; below nothing where they do not fit."""
        rails = sum(a * b for a, b in zip(lengths, counts, strict=True))
        over = self.room[place] - rails - self.rules.cut_allowance * sum(counts)
        return 0 if -self.rules.cut_allowance <= over < 0 else over


def held(piece: Piece, usable: int, worth: Worth) -> int:
    """What it costs to take a piece: a stick its whole length, an offcut its worth."""
    return piece.length if piece.kind == "stick" else worth(usable)
