"""OR-Tools' CP-SAT, which computes in whole numbers: asked where branching of our own is not done.

The only module of the planner that has it. One worker, so that the same question has the same
answer every time.
"""

import threading
from typing import Any

import numpy as np

from planner.model.subproblem import Chosen, Stage
from planner.stop import Stop

__all__ = ["confirmed"]


def confirmed(
    stage: Stage, chosen: Chosen, reached: int, stop: Stop, work: float
) -> tuple[Chosen, int | None]:
    """The best above ``reached``, else ``chosen``; and a proven bound where there is one.

    ``work`` limits CP-SAT's deterministic time, so that the clock is only the guard.
    """
    from ortools.sat.python import cp_model

    model: Any = cp_model.CpModel()
    caps = stage.rows.caps[stage.pool.kind]
    most = [*stage.rows.most.tolist(), *caps.tolist()]
    names = [model.new_int_var(0, high, f"v{n}") for n, high in enumerate(most)]
    _rows(model, cp_model.LinearExpr.weighted_sum, stage, names)
    gains = np.concatenate([stage.extra_gains, stage.gains])
    model.maximize(cp_model.LinearExpr.weighted_sum(names, gains.tolist()))
    _hint(model, stage, chosen, names)
    solver: Any = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.catch_sigint_signal = False
    solver.parameters.max_deterministic_time = work
    solver.parameters.max_time_in_seconds = max(0.01, stop.left())
    status = _run(solver, model, stop)
    if status == cp_model.INFEASIBLE:
        return chosen, reached
    # Values and bounds are read only where there is a solution: else they are garbage.
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return chosen, None
    values = np.array([solver.value(name) for name in names], np.int64)
    found = _solution(stage, values)
    if found is None:
        return chosen, None
    value, best = stage.value(found), int(np.floor(solver.best_objective_bound + 0.5))
    if status == cp_model.OPTIMAL:
        best = value
    return found if value > reached else chosen, max(best, reached)


def _rows(model: Any, total: Any, stage: Stage, names: list[Any]) -> None:
    """Every row between its bounds; no more pieces of a kind than there are."""
    table = np.hstack([stage.extra_block, stage.block()])
    top = 2**60
    for row, low, high in zip(table, stage.low, stage.high, strict=True):
        at = np.flatnonzero(row)
        terms = total([names[n] for n in at], row[at].tolist())
        model.add_linear_constraint(
            terms, -top if low is None else low, top if high is None else high
        )
    first = len(stage.rows.most)
    for kind, cap in enumerate(stage.rows.caps.tolist()):
        mine = np.flatnonzero(stage.pool.kind == kind)
        if len(mine):
            model.add(sum(names[first + n] for n in mine) <= cap)


def _hint(model: Any, stage: Stage, chosen: Chosen, names: list[Any]) -> None:
    values = [0] * len(names)
    values[: len(chosen.extras)] = chosen.extras.tolist()
    for key, times in chosen.uses.items():
        column = stage.pool.number(key)
        if column is not None:
            values[len(chosen.extras) + column] = times
    for name, value in zip(names, values, strict=True):
        model.add_hint(name, value)


def _solution(stage: Stage, values: "np.ndarray[Any, np.dtype[np.int64]]") -> Chosen | None:
    extras, uses = values[: len(stage.rows.most)], values[len(stage.rows.most) :]
    used = np.flatnonzero(uses)
    if not stage.fits(used, uses[used], extras):
        return None
    return stage.chosen(used, uses[used], extras)


def _run(solver: Any, model: Any, stop: Stop) -> Any:
    """Solve in a thread of its own, so that a Ctrl-C is heard while the solver works."""
    status: list[Any] = []
    thread = threading.Thread(target=lambda: status.append(solver.solve(model)), daemon=True)
    thread.start()
    while thread.is_alive():
        thread.join(0.05)
        if stop.told.is_set():
            solver.stop_search()
    return status[0] if status else None
