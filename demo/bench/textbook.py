"""The model that textbooks write down first: which rail comes from which stretch, for CP-SAT.

It stands beside the planner to be compared with. It has the first three aims of a plan in their
strict order, one worker, and no ideas of its own but that pieces alike are used in turn.
"""

import time
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from demo.bench.runs import BenchRun
from planner.stretches import stretches
from planner.values import Frame, Piece, Problem
from planner.worth import worth_of

__all__ = ["TooManySums", "textbook"]

MOST_SUMS = 20_000
Place = tuple[str, int]


class TooManySums(Exception):
    """The rails fill a stretch in too many lengths to tell the worth of each leftover."""


def textbook(name: str, problem: Problem, seconds: float) -> BenchRun:
    """The best plan of a one-profile problem that the model finds in this time.

    ``proof`` is "optimal" where all three aims are proven, "feasible" where some plan was found,
    else "none". ``bound`` is given for the aims proven, and repeats the value for the others.

    Raises:
        ValueError: the aims of the problem are weighed.
    """
    from ortools.sat.python import cp_model

    begun = time.monotonic()
    if problem.aims != "ordered":
        raise ValueError("the textbook model has its aims in strict order")
    try:
        made = _Assignment(problem, cp_model.CpModel())
    except TooManySums:
        return BenchRun(name, (), (), "none", time.monotonic() - begun)
    values, proof = _in_order(made, begun + seconds)
    return BenchRun(name, values, values, proof, time.monotonic() - begun)


def _in_order(made: "_Assignment", until: float) -> tuple[tuple[int, ...], str]:
    """Each aim in turn, the earlier ones held; (values, proof)."""
    from ortools.sat.python import cp_model

    values: list[int] = []
    aims = list(made.aims())
    for aim in aims:
        solver: Any = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_time_in_seconds = max(0.01, until - time.monotonic())
        made.model.maximize(aim)
        status = solver.solve(made.model)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return (), "none"
        reached = [int(solver.value(each)) for each in aims]
        if status != cp_model.OPTIMAL:
            return _three(reached), "feasible"
        values.append(reached[len(values)])
        made.model.add(aim == values[-1])
        made.hint(solver)
    return _three(values), "optimal"


def _three(values: list[int]) -> tuple[int, int, int]:
    """Frames over all due dates, stick opened, worth."""
    *frames, opened, worth = values
    return sum(frames), -opened, worth


@dataclass
class _Assignment:
    """Variables and rules of the model, named after what they stand for."""

    problem: Problem
    model: Any
    cut: dict[str, Any] = field(default_factory=dict)
    used: dict[str, Any] = field(default_factory=dict)
    comes: dict[tuple[str, int, Place], Any] = field(default_factory=dict)
    worths: list[Any] = field(default_factory=list)

    def __post_init__(self) -> None:
        for piece in self.problem.pieces:
            self.used[piece.id] = self.model.new_bool_var(f"used {piece.id}")
        for frame in self.problem.frames:
            self._frame(frame)
        for piece in self.problem.pieces:
            self._piece(piece)
        self._in_turn()

    def aims(self) -> Iterator[Any]:
        """Frames of each due date, earliest first; stick opened (less is more); worth gained."""
        problem = self.problem
        for due in sorted({str(f.due or "~") for f in problem.frames}):
            yield sum(self.cut[f.id] for f in problem.frames if str(f.due or "~") == due)
        yield sum(-p.length * self.used[p.id] for p in problem.pieces if p.kind == "stick")
        yield sum(self.worths)

    def hint(self, solver: Any) -> None:
        """Begin the next search where the last one ended."""
        self.model.clear_hints()
        for variable in (*self.cut.values(), *self.used.values(), *self.comes.values()):
            self.model.add_hint(variable, solver.value(variable))

    def _frame(self, frame: Frame) -> None:
        cut = self.cut[frame.id] = self.model.new_bool_var(f"cut {frame.id}")
        by: dict[str, list[list[Any]]] = defaultdict(lambda: [[] for _ in frame.rails])
        together = frame.one_piece or frame.pin is not None
        for piece in self.problem.pieces:
            if frame.pin not in (None, piece.id) or frame.batch not in (None, piece.batch):
                continue
            where = piece.id if together else piece.batch if frame.one_batch else ""
            for number, stretch in enumerate(stretches(piece, self._rules(piece))):
                for rail, length in enumerate(frame.rails):
                    if length <= stretch.length:
                        key = frame.id, rail, (piece.id, number)
                        self.comes[key] = self.model.new_bool_var(f"comes {key}")
                        by[where][rail].append(self.comes[key])
        # A frame that is cut is cut in one place: a piece, a batch or the whole rack.
        places = {where: self.model.new_bool_var(f"{frame.id} {where}") for where in by}
        self.model.add(sum(places.values()) == cut)
        # Every rail comes from exactly one stretch there.
        for where, rails in by.items():
            for choices in rails:
                self.model.add(sum(choices) == places[where])

    def _piece(self, piece: Piece) -> None:
        rules, worth = self._rules(piece), worth_of(self.problem, piece.profile)
        used, whole = self.used[piece.id], 0
        for number, stretch in enumerate(stretches(piece, rules)):
            taken = {key: v for key, v in self.comes.items() if key[2] == (piece.id, number)}
            for variable in taken.values():
                self.model.add_implication(variable, used)
            sizes = [self._size(frame, rail) for frame, rail, _ in taken]
            room = stretch.length + rules.cut_allowance
            load = self.model.new_int_var(0, room, f"load {piece.id} {number}")
            # No stretch gives more than it has.
            self.model.add(
                load == sum(s * v for s, v in zip(sizes, taken.values(), strict=True))
            )  # fmt: skip
            rows = [(0, 0, 0)] + [
                (at, 1, worth(max(0, stretch.length - at))) for at in _sums(sizes, room)
            ]
            left = self.model.new_int_var(0, max(w for _, _, w in rows), f"worth {piece.id}")
            # What a leftover is worth goes with its length.
            self.model.add_allowed_assignments([load, used, left], rows)
            self.worths.append(left)
            whole += worth(stretch.length) if piece.kind == "offcut" else 0
        self.worths.append(-whole * used)

    def _in_turn(self) -> None:
        """Of pieces alike the first is used before the second."""
        pinned = {f.pin for f in self.problem.frames}
        before: dict[tuple[object, ...], str] = {}
        for piece in self.problem.pieces:
            if piece.id not in pinned:
                alike = piece.kind, piece.length, piece.batch, piece.flaws
                if alike in before:
                    self.model.add_implication(self.used[piece.id], self.used[before[alike]])
                before[alike] = piece.id

    def _rules(self, piece: Piece) -> Any:
        return self.problem.rules_of(piece.profile)

    def _size(self, frame: str, rail: int) -> int:
        found = next(f for f in self.problem.frames if f.id == frame)
        return found.rails[rail] + self.problem.rules_of(found.profile).cut_allowance


def _sums(sizes: list[int], room: int) -> list[int]:
    """Every length that some of the rails take of a stretch.

    Raises:
        TooManySums: there are more than the model can hold.
    """
    sums = {0}
    for size in sizes:
        sums |= {at + size for at in sums if at + size <= room}
        if len(sums) > MOST_SUMS:
            raise TooManySums
    return sorted(sums)
