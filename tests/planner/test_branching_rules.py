"""Every whole solution is in one of the two branches of a split, the fractional one in neither."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest

from planner.branching.rules import by_extras, by_lengths, by_one_column, by_pieces
from planner.columns.restricted_master import RestrictedMaster
from planner.model.rows import Aim
from planner.model.subproblem import Box, Chosen, Stage
from planner.stop import Stop
from tests.planner.stages import best_of, last_stage

Floats = npt.NDArray[np.float64]
Split = Callable[[Stage, Box, Floats, Floats], tuple[Box, Box] | None]
SPLITS: dict[str, Split] = {
    "extras": lambda _, box, extras, __: by_extras(box, extras),
    "pieces": lambda stage, box, _, columns: by_pieces(stage, box, columns),
    "lengths": lambda stage, box, _, columns: by_lengths(stage, box, columns),
    "one column": lambda _, box, __, columns: by_one_column(box, columns),
}


def _within(stage: Stage, box: Box, columns: Floats, extras: Floats) -> bool:
    """Whether uses of columns and extras are those of a branch."""
    kinds = np.bincount(stage.pool.kind, columns, minlength=len(stage.rows.caps))
    small = 1e-6
    return (
        bool((kinds >= box.kind_low - small).all() and (kinds <= box.kind_high + small).all())
        and bool((extras >= box.extra_low - small).all())
        and bool((extras <= box.extra_high + small).all())
        and not (columns[box.barred] > small).any()
        and all(columns[at] >= least - small for at, least in box.used.items())
    )


def _uses(stage: Stage, chosen: Chosen) -> Floats:
    uses = np.zeros(len(stage.pool))
    uses[stage.pool.numbers(chosen.uses)] = list(chosen.uses.values())
    return uses


def _made(seed: int) -> list[tuple[str, Stage, tuple[Box, Box], Floats, list[Chosen]]]:
    """The splits of fractional optima of a day, for its own aim and for lengths of its frames."""
    stage, _, start, _ = last_stage(seed)
    known, found = [start, best_of(seed)[0]], []
    for aim in (stage.aim, Aim("kept", gain=1), Aim("opened", opened=-1)):
        other = replace(stage, aim=aim)
        values = (
            RestrictedMaster(other, np.arange(len(other.pool))).solved(Stop(60), other.whole).values
        )
        extras = len(stage.rows.most)
        for name, split in SPLITS.items():
            parts = split(other, other.whole, values[:extras], values[extras:])
            if parts is not None:
                found.append((name, other, parts, values, known))
    return found


@pytest.mark.parametrize("seed", range(30))
def test_whole_solutions_are_in_one_branch_and_the_fractional_optimum_in_none(seed: int) -> None:
    for name, stage, parts, values, known in _made(seed):
        extras = len(stage.rows.most)
        for part in parts:
            assert not _within(stage, part, values[extras:], values[:extras]), name
        for chosen in known:
            uses = _uses(stage, chosen)
            assert (
                sum(_within(stage, part, uses, chosen.extras.astype(float)) for part in parts) == 1
            ), name


def test_days_have_splits_of_every_kind() -> None:
    assert {name for seed in range(30) for name, *_ in _made(seed)} == set(SPLITS)
