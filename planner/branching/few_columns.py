"""The best of few columns by OR-Tools' CP-SAT, where a tree does not end.

Of few lengths, each asked many times over, columns differ in little but their worth: a tree goes
through tens of thousands of branches that are alike, where CP-SAT with its linear program learns
from each what it can't be.
"""

import numpy as np

from planner.lp.cp_sat import NO_LIMIT, WholeProgram
from planner.model.subproblem import Chosen, Stage
from planner.stop import Stop

__all__ = ["best_of_few"]


def best_of_few(stage: Stage, chosen: Chosen, stop: Stop, work: float) -> tuple[Chosen, int | None]:
    """A better solution than a known one, if there is one, and a bound on what the columns reach.

    The bound is None where nothing could be proven. ``work`` limits CP-SAT's deterministic time.
    """
    rows, pool, program = stage.rows, stage.pool, WholeProgram()
    variables = [program.variable(most) for most in [*rows.most, *rows.caps[pool.kind]]]

    def terms(row: "np.ndarray") -> dict[int, int]:
        return {variables[j]: int(row[j]) for j in np.flatnonzero(row)}

    of_kinds = np.zeros((len(rows.caps), len(rows.most)), np.int64)
    table = np.block([[of_kinds, stage.one_of_kind], [stage.extra_block, stage.block()]])
    limits = np.array([np.append(rows.least, stage.low), np.append(rows.caps, stage.high)])
    for row, low, high in zip(table, *np.clip(limits, -NO_LIMIT, NO_LIMIT), strict=True):
        program.row(terms(row), int(low), int(high))
    reached, gains = stage.value(chosen), np.append(stage.extra_gains, stage.gains)
    program.row(terms(gains), reached + 1, NO_LIMIT)
    program.least(terms(-gains))
    answer = program.solved(stop, work, by_linear_program=True)
    if answer is None:
        return chosen, None
    if not answer.values:
        return chosen, reached
    extras, uses = np.split(np.array(answer.values, np.int64), [len(rows.most)])
    used = np.flatnonzero(uses)
    return stage.chosen(used, uses[used], extras), -answer.bound // stage.step * stage.step
