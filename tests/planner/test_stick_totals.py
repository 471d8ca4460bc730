"""The least length of sticks opened: totals that sticks can have, and none passed over."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from demo.bench import sizes
from planner.branching.tree import Tree
from planner.columns.enumeration import LISTED, Near, likely
from planner.columns.pricing import seeded
from planner.columns.restricted_master import scarce_prices
from planner.heuristics.best_fit import hand_laid
from planner.labels.sweep import Sweep
from planner.lp.dual_bound import proven_bound
from planner.model.pool import Pool, pool_of
from planner.model.profile_model import model_of
from planner.model.rows import Aim, Held, Rows, rows_of
from planner.model.subproblem import Chosen, Stage
from planner.model.translate import chosen_of
from planner.search.profile import aims_of, plan_profile
from planner.search.stick_totals import best_opened, fewest_opened, openable, totals
from planner.solve import split
from planner.stop import Stop
from planner.values import Problem
from tests.planner.independent import best
from tests.planner.rack import MM, day, frame, offcut, random_day, stick


def _rows(problem: Problem) -> Rows:
    return rows_of(model_of(problem))


@pytest.mark.parametrize("seed", range(40))
def test_totals_are_those_of_every_choice_of_sticks(seed: int) -> None:
    rng = np.random.default_rng(seed)
    lengths = rng.choice([1000, 1300, 1450, 2000], size=rng.integers(1, 7)).tolist()
    rows = _rows(day([stick(f"S{n}", length) for n, length in enumerate(lengths)] + [
        offcut("O1", 900)], [frame("F1", 300)]))  # fmt: skip
    choices = itertools.product([0, 1], repeat=len(lengths))
    sums = {sum(n * length for n, length in zip(c, lengths, strict=True)) * MM for c in choices}
    low, high = sorted(rng.integers(0, 6000, 2).tolist())
    expected = sorted(total for total in sums if low * MM <= total <= high * MM)
    assert totals(rows, low * MM, high * MM) == expected


@pytest.mark.parametrize("seed", range(60))
def test_of_each_kind_so_many_sticks_are_in_a_choice_of_the_total_as_said(seed: int) -> None:
    rng = np.random.default_rng(seed)
    lengths = rng.choice([1000, 1300, 1450, 1700, 2000], size=rng.integers(1, 7)).tolist()
    rows = _rows(day([stick(f"S{n}", length) for n, length in enumerate(lengths)] + [
        offcut("O1", 900)], [frame("F1", 300)]))  # fmt: skip
    low, high = sorted((rng.integers(0, 120, 2) * 50).tolist())
    most = dict.fromkeys(lengths, 0)
    for choice in itertools.product([0, 1], repeat=len(lengths)):
        own = [length for n, length in zip(choice, lengths, strict=True) if n]
        for length in own if low <= sum(own) <= high else ():
            most[length] = max(most[length], own.count(length))
    found = openable(rows, low * MM, high * MM)
    assert {int(rows.opened[kind]) // MM: n for kind, n in found.items()} == most


def test_a_bound_is_rounded_to_what_sticks_can_open() -> None:
    rows = _rows(day([stick("S1", 2400), stick("S2", 3000)], [frame("F1", 300)]))
    assert best_opened(rows, -2500 * MM, -5400 * MM) == -3000 * MM
    assert best_opened(rows, -2400 * MM, -5400 * MM) == -2400 * MM
    assert best_opened(rows, -3001 * MM, -5400 * MM) == -5400 * MM


def _opened_stage(problem: Problem) -> tuple[Stage, Chosen] | None:
    """The aim of sticks opened, the frames as the hand rule cuts them; None where it cuts none."""
    model = model_of(problem)
    rows, start = rows_of(model), chosen_of(rows_of(model), hand_laid(problem))
    *tiers, aim, _ = aims_of(model)
    pool = pool_of(model, 100_000, Stop(60))
    held = tuple(Held(tier, Stage(rows, pool, tier, ()).value(start)) for tier in tiers)
    stage = Stage(rows, pool, aim, held)
    return (stage, start) if start.uses else None


def _opening_days(count: int) -> list[int]:
    """Seeds of days of one due date where the hand rule opens sticks."""
    made = ((seed, _opened_stage(_day(seed))) for seed in range(count))
    return [s for s, m in made if m and len(m[0].held) == 1 and m[0].value(m[1])]


def _day(seed: int) -> Problem:
    return replace(random_day(seed, frames=3), aims="ordered")


@pytest.mark.parametrize("seed", _opening_days(400))
def test_the_least_length_opened_equals_that_of_an_independent_model(seed: int) -> None:
    made, (frames, opened, _) = _opened_stage(_day(seed)), best(_day(seed))
    assert made is not None
    stage, start = made
    found = fewest_opened(stage, start, 0, Stop(60))
    assert found.whole
    assert replace(stage, pool=found.pool).value(found.chosen) == found.bound
    # Fewer frames than could be cut never need more.
    assert -found.bound <= opened
    if stage.held[0].reached == frames:
        assert -found.bound == opened


@pytest.mark.parametrize("seed", _opening_days(400))
def test_a_tree_finds_the_least_length_from_a_bar_that_no_total_meets(seed: int) -> None:
    made = _opened_stage(_day(seed))
    assert made is not None
    stage, start = made
    least = fewest_opened(stage, start, 0, Stop(60)).bound
    for way in range(3):
        tree = Tree(stage, start, least - 1, way)
        tree.grow(10_000, Stop(60))
        assert tree.reached == tree.bound == least


def _possible(seed: int) -> tuple[Stage, Chosen, int]:
    """What can be cut of a day without more sticks than the hand rule opens, and that length."""
    made = _opened_stage(_day(seed))
    assert made is not None
    stage, start = made
    opened = -stage.value(start)
    held = (*stage.held, Held(stage.aim, -opened))
    return replace(stage, aim=Aim("possible"), held=held), start, opened


@pytest.mark.parametrize("seed", _opening_days(200))
def test_no_known_solution_loses_more_than_the_budget_at_prices_of_what_is_scarce(
    seed: int,
) -> None:
    stage, start, opened = _possible(seed)
    prices, _ = scarce_prices(stage, start, opened, Stop(60))
    sweep = Sweep(stage, prices, 0, (10_000, 10**7, Stop(60)), False)
    used = stage.pool.numbers(start.uses)
    assert max(sweep.losses.columns[used]) <= sweep.losses.budget
    assert sweep.best() is not None
    near = Near(stage, prices, 100_000).pool(0, Stop(60))
    assert len(near.numbers(start.uses)) == len(used)


def test_where_all_columns_of_the_least_length_were_listed_later_aims_need_no_others() -> None:
    listed = 0
    for seed in _opening_days(200):
        made = _opened_stage(_day(seed))
        assert made is not None
        stage, start = made
        called = replace(stage, pool=seeded(stage.rows, start))
        found = fewest_opened(called, start, 0, Stop(60))
        assert found.whole
        if found.pool.complete:
            held, listed = (*stage.held, Held(stage.aim, found.bound)), listed + 1
            own, every = (
                _best_worth(Stage(stage.rows, pool, Aim("worth", gain=1), held), found.chosen)
                for pool in (found.pool, stage.pool)
            )
            assert own == every
    assert listed >= 5


def _best_worth(stage: Stage, start: Chosen) -> int:
    tree = Tree(stage, start, stage.value(start) - 1)
    tree.grow(10_000, Stop(60))
    assert tree.reached == tree.bound
    return tree.reached


@pytest.mark.parametrize("seed", _opening_days(100))
def test_likely_columns_are_those_called_for_and_of_those_listed_the_ones_that_lose_least(
    seed: int,
) -> None:
    stage, start, opened = _possible(seed)
    called = replace(stage, pool=seeded(stage.rows, start))
    prices, called = scarce_prices(called, start, opened, Stop(60))
    found = _keys(likely(called, prices, 10, Stop(60)))
    assert found[: len(called.pool)] == _keys(called.pool)
    loss = proven_bound(stage, prices).loss
    listed = stage.pool.numbers(_keys(Near(called, prices, LISTED).nearest(Stop(60))))
    for column in listed:
        if (loss[listed] >= loss[column]).sum() <= 10:
            assert stage.pool.key(column) in found


def _keys(pool: Pool) -> list[tuple[int, tuple[int, ...]]]:
    return [pool.key(column) for column in range(len(pool))]


@pytest.mark.parametrize(
    ("seed", "profile"),
    [(15, "A05"), (45, "A08"), (40, "A01"), (52, "A01"), (261, "A03"), (200, "A00")],
)
def test_sticks_of_a_day_are_proven_that_prices_of_their_length_alone_leave_open(
    seed: int, profile: str
) -> None:
    found = plan_profile(split(sizes.day(seed, 60.0))[profile], Stop(60))
    assert found.proof == "optimal"
    assert found.reached == found.bounds
