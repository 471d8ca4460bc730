"""The least length of sticks opened: totals that sticks can have, and none passed over."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from demo.bench import sizes
from planner.branching.assignment import fewest_opened
from planner.branching.tree import Tree
from planner.by_profile import split
from planner.columns.enumeration import pool_of
from planner.columns.pricing import holding, seeded
from planner.heuristics.best_fit import hand_laid
from planner.model.profile_model import model_of
from planner.model.rows import Aim, Held, Rows, rows_of
from planner.model.subproblem import Chosen, Stage
from planner.model.translate import chosen_of
from planner.search.profile import aims_of, plan_profile
from planner.search.stick_totals import (
    best_opened,
    least_opened,
    needed,
    openable,
    opening_no_more,
    spare,
)  # fmt: skip
from planner.stop import Stop
from planner.values import Problem
from tests.planner.independent import best
from tests.planner.rack import MM, day, frame, offcut, random_day, stick

PLENTY = 600.0
"""Seconds that no profile here takes, on a busy machine either."""


def _rows(problem: Problem) -> Rows:
    return rows_of(model_of(problem))


@pytest.mark.parametrize("seed", range(20))
def test_the_least_total_is_of_the_choices_of_sticks_that_have_room_enough(seed: int) -> None:
    rng = np.random.default_rng(seed)
    lengths = rng.choice([1000, 1300, 1450, 2000], size=rng.integers(1, 7)).tolist()
    rows = _rows(day([stick(f"S{n}", length) for n, length in enumerate(lengths)] + [
        offcut("O1", 900)], [frame("F1", 300)]))  # fmt: skip
    low, high, need = *sorted(rng.integers(0, 6000, 2).tolist()), rng.integers(0, 5000).item() * MM
    of = {int(rows.opened[kind]): int(rows.rooms[kind]) for kind in range(len(rows.rooms))}
    most = dict[int, int]()
    for choice in itertools.product([0, 1], repeat=len(lengths)):
        own = [length * MM for n, length in zip(choice, lengths, strict=True) if n]
        most[sum(own)] = max(most.get(sum(own), 0), of[0] + sum(of[length] for length in own))
    some = {total: room for total, room in most.items() if total <= high * MM}
    enough = [total for total, room in some.items() if total >= low * MM and room >= need]
    assert least_opened(rows, need, low * MM, high * MM) == min(enough, default=high * MM)
    assert spare(rows, need, high * MM) == (max(some.values()) - need if need else None)


@pytest.mark.parametrize("seed", range(25))
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
    stage = Stage(rows, seeded(rows, Chosen({}, np.zeros(0, np.int64))), Aim("opened", -1), ())
    assert best_opened(stage, -2500 * MM, -5400 * MM) == -3000 * MM
    assert best_opened(stage, -2400 * MM, -5400 * MM) == -2400 * MM
    assert best_opened(stage, -3001 * MM, -5400 * MM) == -5400 * MM


def _opened_stage(problem: Problem) -> tuple[Stage, Chosen] | None:
    """The aim of sticks opened, the frames as the hand rule cuts them; None where it cuts none."""
    model = model_of(problem)
    rows, start = rows_of(model), chosen_of(rows_of(model), hand_laid(problem))
    *tiers, aim, _ = aims_of(model)
    pool = pool_of(rows, 100_000, Stop(PLENTY))
    held = tuple(Held(tier, Stage(rows, pool, tier, ()).value(start)) for tier in tiers)
    stage = Stage(rows, pool, aim, held)
    return (stage, start) if start.uses else None


def _less(stage: Stage, start: Chosen) -> tuple[int, int, int | None]:
    """Less than a solution opens, and what that leaves."""
    high = -stage.value(start) - 1
    return 0, high, spare(stage.rows, needed(stage.rows, stage.held), high)


def _opening_days(count: int) -> list[int]:
    """Seeds of days of one due date where the hand rule opens sticks."""
    made = ((seed, _opened_stage(_day(seed))) for seed in range(count))
    return [s for s, m in made if m and len(m[0].held) == 1 and m[0].value(m[1])]


def _day(seed: int) -> Problem:
    return replace(random_day(seed, frames=3), aims="ordered")


@pytest.mark.parametrize("seed", _opening_days(150))
def test_the_least_length_opened_equals_that_of_an_independent_model(seed: int) -> None:
    made, (frames, opened, _) = _opened_stage(_day(seed)), best(_day(seed))
    assert made is not None
    stage, start = made
    found, bound = fewest_opened(stage, start, _less(stage, start), Stop(PLENTY), 100.0)
    columns = np.array(stage.pool.numbers(found.uses), np.int64)
    assert stage.fits(columns, np.array([*found.uses.values()], np.int64), found.extras)
    assert stage.value(found) == bound
    # Fewer frames than could be cut never need more.
    assert -bound <= opened
    if stage.held[0].reached == frames:
        assert -bound == opened


def test_time_that_is_over_leaves_the_sticks_as_they_are() -> None:
    made = _opened_stage(_day(_opening_days(40)[0]))
    assert made is not None
    stage, start = made
    stop = Stop(PLENTY)
    stop.told.set()
    assert fewest_opened(stage, start, _less(stage, start), stop, 100.0) == (start, 0)


def test_all_columns_of_the_least_length_are_listed_for_later_aims() -> None:
    listed = 0
    for seed in _opening_days(100):
        made = _opened_stage(_day(seed))
        assert made is not None
        stage, start = made
        called = replace(stage, pool=seeded(stage.rows, start))
        found, bound = fewest_opened(called, start, _less(stage, start), Stop(PLENTY), 100.0)
        pool = opening_no_more(
            replace(called, pool=holding(stage.rows, called.pool, found)), found, Stop(PLENTY)
        )
        assert pool is not None
        held, listed = (*stage.held, Held(stage.aim, bound)), listed + 1
        own, every = (
            _best_worth(Stage(stage.rows, of, Aim("worth", gain=1), held), found)
            for of in (pool, stage.pool)
        )
        assert own == every
    assert listed >= 5


def _best_worth(stage: Stage, start: Chosen) -> int:
    tree = Tree(stage, start, stage.value(start) - 1)
    tree.grow(10_000, Stop(PLENTY))
    assert tree.reached == tree.bound
    return tree.reached


@pytest.mark.parametrize(
    ("seed", "profile"),
    [(15, "A05"), (40, "A01"), (52, "A01"), (261, "A03"), (200, "A00")],
)
def test_sticks_of_a_day_are_proven_that_prices_of_their_length_alone_leave_open(
    seed: int, profile: str
) -> None:
    found = plan_profile(split(sizes.day(seed, PLENTY))[profile], Stop(PLENTY))
    assert found.proof == "optimal"
    assert found.reached == found.bounds


@pytest.mark.parametrize("ties", ["bound", "both"])
def test_a_show_that_leaves_less_than_is_kept_is_proven_in_all_aims(ties: str) -> None:
    found = plan_profile(sizes.show(0, 20, ties, PLENTY), Stop(PLENTY))
    assert found.proof == "optimal"
    assert found.reached == found.bounds
