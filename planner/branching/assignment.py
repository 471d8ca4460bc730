"""The least length of sticks opened, by OR-Tools' CP-SAT: how many of each item on which piece.

Beside the choice of columns this is the plain model: a count for each item and stretch, the same
rows over what all pieces yield.
"""

from collections import Counter
from dataclasses import dataclass, field

import numpy as np

from planner.lp.cp_sat import NO_LIMIT, Answer, WholeProgram
from planner.model.profile_model import Way
from planner.model.subproblem import Chosen, Stage
from planner.stop import Stop

__all__ = ["fewest_opened"]

# Above so many counts the model is too large to be a help.
MOST = 1_500


def fewest_opened(
    stage: Stage, chosen: Chosen, opened: tuple[int, int, int | None], stop: Stop, work: float
) -> tuple[Chosen, int]:
    """The best for the aim of sticks opened between two lengths, and its bound.

    Less than the first of them is proven to be impossible before. The third says what such
    solutions leave at most, all together, if that is known.
    ``work`` limits CP-SAT's deterministic time, so that the clock is only the guard.
    """
    low, high, spare = opened
    model = _Assignment(stage, spare)
    if len(model.program) > MOST or stop.over():
        return chosen, -low
    answer = model.solved(low, high, stop, work)
    if answer is None:
        return chosen, -low
    if not answer.values:
        return chosen, -high - 1
    return model.chosen(answer.values), -low if low == high else -answer.bound


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
