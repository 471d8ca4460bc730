"""The least length of sticks opened, by OR-Tools' CP-SAT: how many of each item on which piece.

Beside the choice of columns this is the plain model: a count for each item and stretch, the same
rows over what all pieces yield. Whole numbers throughout, so that what CP-SAT proves is proven. The
only module of the planner that has OR-Tools, through the part that loads no tables of data. One
worker, so that the same question has the same answer every time.
"""

import threading
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from planner.model.rows import Aim
from planner.model.subproblem import Chosen, Counts, Stage
from planner.stop import Stop

__all__ = ["fewest_opened"]

NO_LIMIT = 2**60
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
    if len(model.proto.variables) > MOST or stop.over():
        return chosen, -low
    response = model.solved(low, high, stop, work)
    if response is None:
        return chosen, -low
    if response.status == model.nothing:
        return chosen, -high - 1
    bound = -low if low == high else -int(np.ceil(response.best_objective_bound - 0.5))
    return model.chosen(list(response.solution)), bound


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
        import ortools.sat.python.cp_model_helper as cp

        self.stage, self.rows, self.model = stage, stage.rows, stage.rows.model
        self.spare = NO_LIMIT if spare is None else spare
        self._cp: Any = cp
        self.proto: Any = cp.CpModelProto()
        self.extras = [self._count(int(most)) for most in self.rows.most]
        self.nothing = cp.INFEASIBLE
        kinds = [t for t, kind in enumerate(self.model.types) if kind.stretches]
        self.copies = [copy for t in kinds for copy in self._kind(t)]
        self._rows()
        self._left()

    def _count(self, most: int) -> int:
        self.proto.variables.add().domain.extend([0, most])
        return len(self.proto.variables) - 1

    def _sum(self, terms: dict[int, int], low: int, high: int) -> None:
        row = self.proto.constraints.add().linear
        row.vars.extend(list(terms))
        row.coeffs.extend(list(terms.values()))
        row.domain.extend([low, high])

    def _kind(self, kind: int) -> list[_Copy]:
        """The pieces of a kind, used in turn."""
        found: list[_Copy] = []
        for _ in range(int(self.rows.caps[kind])):
            found.append(self._piece(kind))
            if len(found) > 1:
                self._sum({found[-2].used: 1, found[-1].used: -1}, 0, NO_LIMIT)
        return found

    def _piece(self, kind: int) -> _Copy:
        model, piece = self.model, self.model.types[kind]
        sizes, lengths = model.item_sizes, len(model.lengths)
        used = self._count(1)
        rooms = [stretch + model.allowance for stretch in piece.stretches]
        items = {}
        for item, asked in enumerate(model.item_asked):
            whole = item >= lengths
            if not model.may(kind, item):
                continue
            fits = (
                sum(room // sizes[item] for room in rooms)
                if not whole
                else sum(rooms) // sizes[item]
            )
            if min(asked, fits):
                items[item] = self._count(min(asked, fits))
        copy = _Copy(kind, used, self._count(max(0, min(sum(rooms), self.spare))), items)
        self._sum({v: sizes[i] for i, v in items.items()} | {used: -sum(rooms), copy.left: 1}, 0, 0)
        if len(rooms) > 1:
            self._stretches(copy, rooms)
        return copy

    def _stretches(self, copy: _Copy, rooms: list[int]) -> None:
        """Every rail of a piece lies on one of its stretches."""
        model, lengths = self.model, len(self.model.lengths)
        for room in rooms:
            own = {
                i: self._count(min(model.asked[i], room // model.item_sizes[i]))
                for i in range(lengths)
            }
            self._sum(
                {v: model.item_sizes[i] for i, v in own.items()} | {copy.used: -room}, -NO_LIMIT, 0
            )
            copy.placed.append(own)
        for i in range(lengths):
            terms = {own[i]: 1 for own in copy.placed}
            for item, v in copy.items.items():
                rails = (
                    int(item == i)
                    if item < lengths
                    else model.groups[model.bundles[item - lengths]].rails[i]
                )
                if rails:
                    terms[v] = -rails
            self._sum(terms, 0, 0)

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
                aim = held.aim
                adds = aim.opened * opened if isinstance(aim, Aim) else 0
                if adds:
                    terms[count + n][copy.used] = adds
        for own, low, high in zip(terms, stage.low, stage.high, strict=True):
            self._sum(own, -NO_LIMIT if low is None else low, NO_LIMIT if high is None else high)

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
            self._sum(terms, 0, 0)
        if self.spare < NO_LIMIT:
            offcuts = {c.used: int(self.rows.rooms[c.kind]) for c in self.copies
                       if not self.rows.opened[c.kind]}  # fmt: skip
            unused = {used: -room for used, room in offcuts.items()}
            left = {copy.left: 1 for copy in self.copies}
            self._sum(left | unused, -NO_LIMIT, self.spare - sum(offcuts.values()))

    def solved(self, low: int, high: int, stop: Stop, work: float) -> Any:
        """CP-SAT's answer for a length opened between two, "nothing" too; None: it has none."""
        opened = {c.used: self.model.types[c.kind].opened for c in self.copies}
        opened = {v: length for v, length in opened.items() if length}
        self._sum(opened, low, high)
        if low < high:
            self.proto.objective.vars.extend(list(opened))
            self.proto.objective.coeffs.extend(list(opened.values()))
        limits: Any = self._cp.SatParameters()
        limits.num_workers, limits.catch_sigint_signal = 1, False
        limits.max_deterministic_time, limits.max_time_in_seconds = work, max(0.01, stop.left())
        solver: Any = self._cp.SolveWrapper()
        solver.set_parameters(limits)
        response = _run(solver, self.proto, stop)
        # Values and bounds are read only where there is a solution: else they are garbage.
        known = (self._cp.OPTIMAL, self._cp.FEASIBLE, self.nothing)
        return response if response is not None and response.status in known else None

    def chosen(self, values: list[int]) -> Chosen:
        """A solution of the model as columns and extras."""
        width, uses = len(self.model.item_sizes), Counter[tuple[int, Counts]]()
        splits: dict[tuple[int, Counts], tuple[Counts, ...]] = {}
        for copy in self.copies:
            counts = tuple(values[copy.items[i]] if i in copy.items else 0 for i in range(width))
            if any(counts):
                key = copy.kind, counts
                uses[key] += 1
                if copy.placed:
                    splits[key] = tuple(
                        tuple(values[v] for v in own.values()) for own in copy.placed
                    )
        return Chosen(dict(uses), np.array([values[v] for v in self.extras], np.int64), splits)


def _run(solver: Any, proto: Any, stop: Stop) -> Any:
    """Solve in a thread of its own, so that a Ctrl-C is heard while the solver works."""
    found: list[Any] = []
    thread = threading.Thread(target=lambda: found.append(solver.solve(proto)), daemon=True)
    thread.start()
    while thread.is_alive():
        thread.join(0.05)
        if stop.told.is_set():
            solver.stop_search()
    return found[0] if found else None
