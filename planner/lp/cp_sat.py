"""OR-Tools' CP-SAT: a program of whole numbers, in which what is proven is proven exactly.

The only module of the planner that has OR-Tools, through the part that loads no tables of data. One
worker and limits of work, so that the same question has the same answer every time.
"""

import math
import threading
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from planner.stop import Stop

__all__ = ["NO_LIMIT", "Answer", "WholeProgram"]

NO_LIMIT = 2**60


@dataclass(frozen=True, slots=True)
class Answer:
    """What a solve gave: each variable's value, what they sum to, and what no values go below.

    Without values it is proven that there are none.
    """

    values: list[int]
    value: int
    bound: int


class WholeProgram:
    """The least of a sum of variables under rows."""

    def __init__(self) -> None:
        import ortools.sat.python.cp_model_helper as cp

        self._cp: Any = cp
        self._proto: Any = cp.CpModelProto()

    def __len__(self) -> int:
        return len(self._proto.variables)

    def variable(self, most: int) -> int:
        """The number of a new variable between 0 and ``most``."""
        self._proto.variables.add().domain.extend([0, most])
        return len(self._proto.variables) - 1

    def row(self, terms: Mapping[int, int], low: int, high: int, where: int | None = None) -> None:
        """The sum of so many times each variable is between two, ``where`` a variable is 1."""
        row = self._proto.constraints.add()
        row.linear.vars.extend(list(terms))
        row.linear.coeffs.extend(list(terms.values()))
        row.linear.domain.extend([low, high])
        if where is not None:
            row.enforcement_literal.append(where)

    def one_of(self, variables: Iterable[int]) -> None:
        """One variable at least of some that are 0 or 1 is 1."""
        self._proto.constraints.add().bool_or.literals.extend(list(variables))

    def least(self, terms: Mapping[int, int]) -> None:
        """The sum that is to be least."""
        self._proto.objective.vars.extend(list(terms))
        self._proto.objective.coeffs.extend(list(terms.values()))

    def solved(self, stop: Stop, work: float, by_linear_program: bool = False) -> Answer | None:
        """The best found, or none; ``work`` limits deterministic time, the clock is the guard.

        Without its linear program CP-SAT is many times as quick where all is a matter of fitting.
        """
        limits: Any = self._cp.SatParameters()
        limits.num_workers, limits.catch_sigint_signal = 1, False
        limits.max_deterministic_time = work
        limits.linearization_level = 2 * by_linear_program
        solver: Any = self._cp.SolveWrapper()
        solver.set_parameters(limits)
        response = _run(solver, self._proto, stop)
        if response is not None and response.status == self._cp.INFEASIBLE:
            return Answer([], NO_LIMIT, NO_LIMIT)
        # Values and bounds are read only where there is a solution: else they are garbage.
        if response is None or response.status not in (self._cp.OPTIMAL, self._cp.FEASIBLE):
            return None
        bound = math.ceil(response.best_objective_bound - 0.5)
        return Answer(list(response.solution), round(response.objective_value), bound)


def _run(solver: Any, proto: Any, stop: Stop) -> Any:
    """Solve in a thread of its own, so that the clock and a Ctrl-C are heard meanwhile."""
    found: list[Any] = []
    thread = threading.Thread(target=lambda: found.append(solver.solve(proto)), daemon=True)
    thread.start()
    while thread.is_alive():
        thread.join(0.05)
        if stop.over():
            solver.stop_search()
    return found[0] if found else None
