"""The exact solver: OR-Tools' CP-SAT, which computes in whole numbers. The only module that has it.

One worker, so that the same question has the same answer every time.
"""

import threading
from typing import Any

from planner.program import Aim, Answer, Program, Terms
from planner.stop import Stop

__all__ = ["solve"]

# Work allowed for one aim, in CP-SAT's deterministic seconds, for each second of the limit: the
# work unit ends a search first, the clock is only the guard.
WORK_PER_SECOND = 0.5


def solve(program: Program, hint: tuple[int, ...], stop: Stop, workers: int = 1) -> Answer:
    """The best values for the aims in order, starting from a solution ``hint``.

    Each aim is held at what it reached while the next is sought.
    """
    values, bounds = hint, []
    held: list[tuple[Terms, int]] = []
    for aim in program.aims:
        reached = _sum(aim.terms, values)
        if reached == aim.known:
            bound: int | None = reached
        elif stop.over():
            bound = aim.known
        else:
            values, bound = _one(program, held, aim, values, stop, workers)
            reached = _sum(aim.terms, values)
        bounds.append(bound)
        held.append((aim.terms, reached))
    return Answer(values, tuple(bounds))


def _sum(terms: Terms, values: tuple[int, ...]) -> int:
    return sum(c * values[v] for v, c in terms.items())


def _one(
    program: Program, held: list[tuple[Terms, int]], aim: Aim, hint: tuple[int, ...],
    stop: Stop, workers: int,
) -> tuple[tuple[int, ...], int | None]:  # fmt: skip
    from ortools.sat.python import cp_model

    model: Any = cp_model.CpModel()
    names = [model.new_int_var(0, most, f"v{i}") for i, most in enumerate(program.most)]

    def total(terms: Terms) -> Any:
        return cp_model.LinearExpr.weighted_sum([names[v] for v in terms], list(terms.values()))

    for terms, low, high in program.rows:
        model.add_linear_constraint(total(terms), low, high)
    for terms, reached in held:
        model.add(total(terms) >= reached)
    model.maximize(total(aim.terms))
    for name, value in zip(names, hint, strict=True):
        model.add_hint(name, value)
    solver: Any = cp_model.CpSolver()
    solver.parameters.num_workers = workers
    solver.parameters.catch_sigint_signal = False
    solver.parameters.max_time_in_seconds = max(0.01, stop.left())
    status = _run(solver, model, stop)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return hint, aim.known
    found = tuple(int(solver.value(name)) for name in names)
    if status == cp_model.OPTIMAL:
        return found, _sum(aim.terms, found)
    bound = int(solver.best_objective_bound)
    return found, bound if aim.known is None else min(bound, aim.known)


def _run(solver: Any, model: Any, stop: Stop) -> Any:
    """Solve in a thread of its own, so that a Ctrl-C is heard while the solver works."""
    status: list[Any] = []
    thread = threading.Thread(target=lambda: status.append(solver.solve(model)), daemon=True)
    thread.start()
    while thread.is_alive():
        thread.join(0.05)
        if stop.told.is_set():
            solver.stop_search()
    return status[0]
