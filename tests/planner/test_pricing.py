"""Columns made as called for: never a bound that is wrong, whatever the prices."""

from dataclasses import replace
from unittest.mock import patch

import numpy as np
import pytest

from planner import faults, plan
from planner.columns.enumeration import Near, pool_of
from planner.columns.pricing import called_for, price_bound, priced_bound, seeded
from planner.heuristics.best_fit import hand_laid
from planner.lp.dual_bound import proven_bound
from planner.model.profile_model import Model, model_of
from planner.model.rows import rows_of
from planner.model.subproblem import Stage
from planner.model.translate import chosen_of
from planner.search.aims import MOST_COLUMNS
from planner.search.profile import aims_of
from planner.stop import Stop
from planner.values import Limits
from tests.planner.rack import day, frame, offcut, random_day, random_grades

BRIEFLY = 0.7
"""Seconds: what is left unproven uses all that it is given."""


@pytest.mark.parametrize("seed", range(15))
def test_with_columns_called_for_no_bound_is_beaten_and_what_is_proven_is_true(seed: int) -> None:
    problem = random_grades(seed) if seed % 3 == 0 else random_day(seed)
    listed = plan(problem)
    with patch("planner.search.aims.MOST_COLUMNS", 0):
        called = plan(replace(problem, limits=Limits(BRIEFLY)))
    assert faults(problem, called) == ()
    assert called.bounds.frames_cut >= listed.reached.frames_cut
    if called.proof == "optimal":
        assert called.reached == listed.reached
    if problem.aims == "weighed" or called.reached.frames_cut < listed.reached.frames_cut:
        return
    assert called.bounds.stick_opened <= listed.reached.stick_opened <= called.reached.stick_opened
    if called.reached.stick_opened == listed.reached.stick_opened:
        assert called.bounds.worth >= listed.reached.worth


@pytest.mark.parametrize("seed", range(100, 130))
def test_any_prices_prove_no_less_than_when_every_way_to_cut_is_listed(seed: int) -> None:
    model = model_of(random_day(seed))
    rows = rows_of(model)
    pool = pool_of(rows, MOST_COLUMNS, Stop(60))
    rng = np.random.default_rng(seed)
    for aim in aims_of(model):
        stage = Stage(rows, pool, aim, ())
        prices = rng.normal(0, 10.0 ** rng.integers(0, 6), len(stage.low))
        listed, all_ways = proven_bound(stage, prices).whole, price_bound(stage, prices)
        assert listed is not None
        assert all_ways is not None
        assert all_ways >= listed


@pytest.mark.parametrize("seed", range(200, 220))
def test_a_column_called_for_is_one_of_all_ways_to_cut_and_gains_the_same(seed: int) -> None:
    problem = random_day(seed)
    model = model_of(problem)
    rows = rows_of(model)
    pool = pool_of(rows, MOST_COLUMNS, Stop(60))
    start = seeded(rows, chosen_of(rows, hand_laid(problem)))
    stage = Stage(rows, start, aims_of(model)[-1], ())
    prices = -np.random.default_rng(seed).uniform(0, 1e6, len(stage.low))
    made = called_for(stage, prices, np.zeros(len(rows.caps))).pool
    for j in range(len(made)):
        assert pool.gain[pool.number(made.key(j))] >= made.gain[j]


@pytest.mark.parametrize("seed", range(400, 420))
def test_no_column_within_the_gap_is_missing_from_those_listed(seed: int) -> None:
    problem = random_day(seed)
    model = model_of(problem)
    rows = rows_of(model)
    every = pool_of(rows, 100_000, Stop(60))
    stage = Stage(rows, every, aims_of(model)[-1], ())
    prices = -np.random.default_rng(seed).uniform(0, 4e5, len(stage.low))
    priced = priced_bound(stage, prices)
    assert priced is not None
    reached = stage.value(chosen_of(rows, hand_laid(problem)))
    near = Near(stage, prices, 100_000).pool(reached, Stop(60))
    listed = {near.key(j): int(near.gain[j]) for j in range(len(near))}
    spare = priced.total - priced.scale * reached
    whole = np.rint(prices * priced.scale).astype(np.int64)
    left = priced.scale * stage.gains - whole @ stage.block()
    lost = np.maximum(0, priced.best)[every.kind] - left
    for j in np.flatnonzero(lost <= spare).tolist():
        assert listed[every.key(j)] == every.gain[j]


def test_a_laid_out_piece_of_three_stretches_is_taken_as_it_lies() -> None:
    """Not by trying all placements of its rails, which ran for ever on five frames."""
    sides = [(150 + 5 * n, 152 + 5 * n) for n in range(5)]
    piece = offcut("O1", 3700, flaws=((1200_000, 1210_000), (2400_000, 2410_000)))
    problem = day([piece], [frame(f"F{n}", *two) for n, two in enumerate(sides)])
    rows = rows_of(model_of(problem))
    chosen = chosen_of(rows, hand_laid(problem))
    with patch.object(Model, "left", autospec=True, side_effect=Model.left) as worked:
        pool = seeded(rows, chosen)
    assert worked.call_count == len(pool)
    (key,) = chosen.uses
    assert pool.number(key) is not None
    assert tuple(map(sum, zip(*rows.model.splits[key], strict=True))) == key[1]
