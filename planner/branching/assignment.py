"""The least of sticks opened, and then worth, by OR-Tools' CP-SAT.

Beside the choice of columns this is the plain model: a count for each item on each stretch, the
same rows over what all pieces yield.
"""

from collections import Counter
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from planner.lp.cp_sat import NO_LIMIT, Answer, WholeProgram
from planner.model.profile_model import Way
from planner.model.rows import Rows
from planner.model.subproblem import Chosen, Stage
from planner.stop import Stop
from planner.values import Micrometres
from planner.worth import Worth

__all__ = ["countable", "fewest_opened", "worth_over"]

# Above so many counts of items on pieces the model is too large to be a help.
MOST = 1_300
# What a leftover is worth at most is told by so many straight lines, found over so many points.
LINES, POINTS, MILLE = 16, 4_000, 1_000
# A length and what it is worth.
Point = tuple[int, int]


def countable(rows: Rows) -> bool:
    """Whether items on pieces are few enough to be counted by CP-SAT."""
    caps, model = rows.caps.tolist(), rows.model
    return bool(sum(n * len(model.items_of(t)) for t, n in enumerate(caps)) <= MOST)


def fewest_opened(
    stage: Stage, chosen: Chosen, opened: tuple[int, int, int | None], stop: Stop, work: float
) -> tuple[Chosen, int]:
    """The best for the aim of sticks opened between two lengths, and its bound.

    Less than the first of them is proven to be impossible before. The third says what such
    solutions leave at most, all together, if that is known.
    ``work`` limits CP-SAT's deterministic time, so that the clock is only the guard.
    """
    low, high, spare = opened
    if stop.over() or not countable(stage.rows):
        return chosen, -low
    model = _Assignment(stage, spare)
    answer = model.solved(low, high, stop, work)
    if answer is None:
        return chosen, -low
    if not answer.values:
        return chosen, -high - 1
    return model.chosen(answer.values), -low if low == high else -answer.bound


def worth_over(
    stage: Stage, chosen: Chosen, floor: int, stop: Stop, work: float
) -> tuple[Chosen, bool]:
    """A solution of a worth of ``floor`` or hardly less, if one is found, or that there is none.

    What stages like this leave at most is to be known (``spare``).
    """
    if stop.over() or not countable(stage.rows):
        return chosen, False
    model = _Assignment(stage, stage.rows.spare)
    model.worth(floor)
    answer = model.program.solved(stop, work)
    if answer is None or not answer.values:
        return chosen, answer is not None
    return model.chosen(answer.values), False


@dataclass(frozen=True, slots=True)
class _Copy:
    """One piece of a kind: if it is used, what it leaves, its variables by item and stretch."""

    kind: int
    used: int
    left: int
    items: dict[int, int]
    placed: list[dict[int, int]] = field(default_factory=list)


class _Assignment:
    """The model of a stage: extras, then each piece with its counts; rows as of the columns."""

    def __init__(self, stage: Stage, spare: int | None) -> None:
        self.stage, self.rows, self.model = stage, stage.rows, stage.rows.model
        self.spare = NO_LIMIT if spare is None else spare
        self.program = WholeProgram()
        self._variable, self._row = self.program.variable, self.program.row
        self.extras = [self._variable(int(most)) for most in self.rows.most]
        kinds = [t for t, kind in enumerate(self.model.types) if kind.stretches]
        self.copies = [copy for t in kinds for copy in self._kind(t)]
        self._rows()
        self._left()

    def _kind(self, kind: int) -> list[_Copy]:
        """The pieces of a kind, used in turn."""
        found: list[_Copy] = []
        for _ in range(int(self.rows.caps[kind])):
            found.append(self._piece(kind))
            if len(found) > 1:
                self._row({found[-2].used: 1, found[-1].used: -1}, 0, NO_LIMIT)
        return found

    def _piece(self, kind: int) -> _Copy:
        model, piece = self.model, self.model.types[kind]
        sizes, used = model.item_sizes, self._variable(1)
        rooms = [stretch + model.allowance for stretch in piece.stretches]
        most = {i: min(model.item_asked[i], sum(rooms) // sizes[i]) for i in model.items_of(kind)}
        items = {item: self._variable(times) for item, times in most.items() if times}
        copy = _Copy(kind, used, self._variable(max(0, min(sum(rooms), self.spare))), items)
        self._row({v: sizes[i] for i, v in items.items()} | {used: -sum(rooms), copy.left: 1}, 0, 0)
        if len(rooms) > 1:
            self._stretches(copy, rooms)
        return copy

    def _stretches(self, copy: _Copy, rooms: list[int]) -> None:
        """Every rail of a piece lies on one of its stretches."""
        model, lengths = self.model, len(self.model.lengths)
        for room in rooms:
            own = {
                i: self._variable(min(model.asked[i], room // model.item_sizes[i]))
                for i in range(lengths)
            }
            self._row(
                {v: model.item_sizes[i] for i, v in own.items()} | {copy.used: -room}, -NO_LIMIT, 0
            )
            copy.placed.append(own)
        for i in range(lengths):
            terms = {own[i]: 1 for own in copy.placed}
            terms |= {v: -int(model.contents[item, i]) for item, v in copy.items.items()}
            self._row(terms, 0, 0)

    def _rows(self) -> None:
        """The rows of the stage, over what all pieces yield."""
        stage, rows = self.stage, self.rows
        block, count = stage.extra_block, len(rows.high)
        terms = [{v: int(n) for v, n in zip(self.extras, row, strict=True) if n} for row in block]
        for copy in self.copies:
            at = rows.item_rows(int(rows.batch_of[copy.kind]))
            for item, v in copy.items.items():
                terms[at[item]][v] = 1
            opened = self.model.types[copy.kind].opened
            for n, held in enumerate(stage.held):
                if adds := held.aim.opened * opened:
                    terms[count + n][copy.used] = adds
        limits = np.clip([stage.low, stage.high], -NO_LIMIT, NO_LIMIT).astype(np.int64)
        for own, low, high in zip(terms, *limits.tolist(), strict=True):
            self._row(own, low, high)

    def _left(self) -> None:
        """What the pieces of each batch leave beside its extras, and all together.

        Rows that follow from the others, but CP-SAT is many times as quick with them.
        """
        sizes, lengths = np.array(self.model.item_sizes, np.int64), len(self.model.lengths)
        for batch in range(len(self.rows.batches)):
            loose = self.rows.item_rows(batch)[:lengths]
            taken = sizes[:lengths] @ self.rows.extras[loose]
            terms = {v: int(-n) for v, n in zip(self.extras, taken, strict=True) if n}
            for copy in self.copies:
                if self.rows.batch_of[copy.kind] == batch:
                    terms |= {copy.used: -int(self.rows.rooms[copy.kind]), copy.left: 1}
                    terms |= {v: int(sizes[i]) for i, v in copy.items.items() if i >= lengths}
            self._row(terms, 0, 0)
        if self.spare < NO_LIMIT:
            offcuts = {c.used: int(self.rows.rooms[c.kind]) for c in self.copies
                       if not self.rows.opened[c.kind]}  # fmt: skip
            unused = {used: -room for used, room in offcuts.items()}
            left = {copy.left: 1 for copy in self.copies}
            self._row(left | unused, -NO_LIMIT, self.spare - sum(offcuts.values()))

    def worth(self, floor: int) -> None:
        """What is left is worth so much, less what the offcuts in use were."""
        gained, lines = dict[int, int](), dict[int, list[tuple[int, int]]]()
        for copy in self.copies:
            kind = self.model.types[copy.kind]
            if kind.before:
                gained[copy.used] = -kind.before
            if kind.margin not in lines:
                lines[kind.margin] = _lines(self.model.worth_left(copy.kind), self.spare)
            if lines[kind.margin]:
                gained |= {self._kept(left, copy, lines[kind.margin]): 1
                           for left in self._rests(copy)}  # fmt: skip
        self._row(gained, floor, NO_LIMIT)

    def _rests(self, copy: _Copy) -> list[int]:
        """What is left of each stretch of a piece."""
        if not copy.placed:
            return [copy.left]
        found = []
        for room, own in zip(self.model.types[copy.kind].stretches, copy.placed, strict=True):
            found.append(self._variable(room + self.model.allowance))
            takes = {v: self.model.item_sizes[i] for i, v in own.items()}
            self._row(takes | {found[-1]: 1, copy.used: -room - self.model.allowance}, 0, 0)
        return found

    def _kept(self, left: int, copy: _Copy, lines: list[tuple[int, int]]) -> int:
        """What a leftover is worth at most: nothing, or what is below some straight lines."""
        allowance, most = self.model.allowance, lines[0][1] // MILLE
        kept, gain = self._variable(1), self._variable(most)
        least = _shortest(self.model.worth_left(copy.kind)) + allowance
        self._row({left: 1}, least, NO_LIMIT, where=kept)
        self._row({gain: 1, kept: -most}, -NO_LIMIT, 0)
        for slope, high in lines[1:]:
            self._row({gain: MILLE, left: -slope}, -NO_LIMIT, high - slope * allowance, where=kept)
        return gain

    def solved(self, low: int, high: int, stop: Stop, work: float) -> Answer | None:
        """CP-SAT's answer for a length opened between two; None: it has none."""
        opened = {c.used: self.model.types[c.kind].opened for c in self.copies}
        opened = {v: length for v, length in opened.items() if length}
        self._row(opened, low, high)
        if low < high:
            self.program.least(opened)
        return self.program.solved(stop, work)

    def chosen(self, values: list[int]) -> Chosen:
        """A solution of the model as columns and extras."""
        width, uses = len(self.model.item_sizes), Counter[Way]()
        for copy in self.copies:
            counts = tuple(values[copy.items[i]] if i in copy.items else 0 for i in range(width))
            if any(counts):
                key = copy.kind, counts
                uses[key] += 1
                if copy.placed:
                    parts = [tuple(values[v] for v in own.values()) for own in copy.placed]
                    self.model.told(key, parts)
        return Chosen(dict(uses), np.array([values[v] for v in self.extras], np.int64))


def _shortest(worth: Worth) -> int:
    """The shortest leftover that may be worth anything, um."""
    return max(1, worth.keep - worth.margin)


def _lines(worth: Worth, longest: Micrometres) -> list[tuple[int, int]]:
    """Lines above the worth of leftovers that are worth anything: slopes in thousandths, heights.

    They run along the edges of the upper hull of points none of which is below the curve.
    """
    if longest < _shortest(worth):
        return []
    at = np.rint(np.geomspace(_shortest(worth), longest, POINTS)).astype(np.int64)
    values = np.maximum.accumulate(worth.many(at))
    # A worth holds from the point before on, so that it is over all up to its own.
    points = dict(zip(at[:-1].tolist(), values[1:].tolist(), strict=True))
    hull: list[tuple[int, int]] = []
    for x, y in points.items():
        while len(hull) > 1 and _hollow(hull[-2], hull[-1], (x, y)):
            hull.pop()
        hull.append((x, y))
    edges = list(pairwise(hull))[:: max(1, len(hull) // LINES)]
    slopes = [0, *((up - y) * MILLE // (right - x) for (x, y), (right, up) in edges)]
    return [(slope, max(MILLE * y - slope * x for x, y in hull)) for slope in slopes]


def _hollow(left: Point, middle: Point, right: Point) -> bool:
    """The middle one of three points is not above the line between the others."""
    (x0, y0), (x1, y1), (x2, y2) = left, middle, right
    return (y1 - y0) * (x2 - x1) <= (y2 - y1) * (x1 - x0)
