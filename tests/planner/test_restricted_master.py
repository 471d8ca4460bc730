"""The restricted master over few columns has the optimum of all of them."""

import numpy as np
import pytest

from planner.columns import restricted_master
from planner.columns.restricted_master import RestrictedMaster
from planner.lp.highs import LinearProgram
from planner.model.subproblem import Box, Stage
from planner.stop import Stop
from tests.planner.stages import last_stage


def _branch(stage: Stage, rng: np.random.Generator) -> Box:
    """A branch of some columns barred and of one kind or another used or left."""
    whole = stage.whole
    high, low = whole.kind_high.copy(), whole.kind_low.copy()
    kind = rng.integers(len(high))
    high[kind] = rng.integers(high[kind] + 1)
    low[kind] = rng.integers(high[kind] + 1)
    barred = rng.uniform(size=len(stage.pool)) < rng.choice([0.0, 0.3, 0.8])
    return Box(low, high, whole.extra_low, whole.extra_high, {}, barred)


def _every_column(stage: Stage, box: Box) -> tuple[str, float]:
    """How a program of all columns at once ends, and its optimum."""
    program = LinearProgram([*stage.low, *box.kind_low], [*stage.high, *box.kind_high])
    count, kinds = len(stage.pool), np.arange(len(stage.rows.caps))[:, None]
    rows = np.vstack([stage.block(), (stage.pool.kind == kinds).astype(np.int64)])
    extra = np.vstack([stage.extra_block, np.zeros((len(kinds), len(stage.rows.most)), np.int64)])
    program.add(stage.extra_gains, stage.rows.most, extra)
    program.add(stage.gains, np.full(count, np.inf), rows)
    program.bound_columns(
        np.concatenate([box.extra_low, np.zeros(count)]),
        np.concatenate([box.extra_high, np.where(box.barred, 0.0, np.inf)]),
    )
    found = program.solve(Stop(60))
    return found.status, found.value


@pytest.mark.parametrize("seed", range(30))
def test_few_columns_end_as_all_do(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(restricted_master, "FIRST", 5)
    monkeypatch.setattr(restricted_master, "MORE", 3)
    stage, _, _, _ = last_stage(seed)
    few, rng = RestrictedMaster(stage, np.arange(len(stage.pool))), np.random.default_rng(seed)
    for _ in range(6):
        box = _branch(stage, rng)
        found, (status, value) = few.solved(Stop(60), box), _every_column(stage, box)
        assert found.status == status
        if status == "optimal":
            assert found.value == pytest.approx(value, abs=1.0)
            used = np.flatnonzero(found.values[len(stage.rows.most) :] > 1e-9)
            assert not box.barred[used].any()


@pytest.mark.parametrize("seed", range(20))
def test_a_branch_is_gone_back_to_though_columns_came_in_since(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(restricted_master, "FIRST", 5)
    monkeypatch.setattr(restricted_master, "MORE", 3)
    stage, _, _, _ = last_stage(seed)
    few, rng = RestrictedMaster(stage, np.arange(len(stage.pool))), np.random.default_rng(seed)
    first, basis = few.solved(Stop(60), stage.whole), few.program.basis()
    columns, rows = list(basis.col_status), list(basis.row_status)
    for _ in range(3):
        few.solved(Stop(60), _branch(stage, rng))
    few.program.go_back(basis)
    there = few.program.basis()
    assert list(there.col_status)[: len(columns)] == columns
    assert list(there.row_status) == rows
    again = few.solved(Stop(60), stage.whole)
    assert again.status == first.status == "optimal"
    assert again.value == pytest.approx(first.value, abs=1.0)
