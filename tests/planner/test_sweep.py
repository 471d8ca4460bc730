"""What the sweep is made of: counts packed in words, pieces taken one by one, columns near."""

import itertools
from concurrent.futures import Executor, Future
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from planner import plan
from planner.columns.enumeration import Near
from planner.columns.pricing import priced_bound
from planner.heuristics.best_fit import hand_laid
from planner.labels.meet_in_middle import Choice, both_halves
from planner.labels.packed_counts import Packing
from planner.labels.sweep import Sweep
from planner.model.pool import pool_of
from planner.model.profile_model import model_of
from planner.model.rows import rows_of
from planner.model.subproblem import Stage
from planner.model.translate import chosen_of
from planner.search.profile import aims_of
from planner.stop import Stop
from planner.values import Limits
from tests.planner.rack import day, frame, random_day, stick
from tests.planner.stages import last_stage


@pytest.mark.parametrize("seed", range(20))
def test_packed_counts_add_and_compare_as_counts_do(seed: int) -> None:
    rng = np.random.default_rng(seed)
    most = rng.integers(0, 9, 18)
    packing = Packing(tuple(most.tolist()))
    one, two = rng.integers(0, most + 1, (40, 18)), rng.integers(0, most + 1, (40, 18))
    both = packing.packed(one).plus(packing.packed(two))
    fits = packing.within(both.words, packing.full)
    assert fits.tolist() == (one + two <= most).all(axis=1).tolist()


def test_counts_of_too_many_items_have_no_keys_but_are_compared() -> None:
    packing = Packing((2,) * 60)
    assert not packing.fits_a_key
    none, two = packing.packed(np.zeros((1, 60), np.int64)), packing.packed(np.full((1, 60), 2))
    assert packing.within(two.words, packing.full).all()
    assert not packing.within(two.words, none.words).any()


def test_sets_of_counts_have_keys_of_their_own() -> None:
    every = np.array(list(itertools.product(range(3), range(1), range(4), range(2))))
    packed = Packing((2, 0, 3, 1)).packed(every)
    assert sorted(packed.key.tolist()) == list(range(24))
    assert len(set(map(tuple, packed.words.T.tolist()))) == 24


@pytest.mark.parametrize("seed", range(20))
def test_two_halves_lose_as_little_as_any_choice_of_all_pieces(seed: int) -> None:
    rng = np.random.default_rng(seed)
    packing, budget = Packing((2, 2, 3)), 60
    ways = [rng.integers(0, 2, (4, 3)) for _ in range(5)]
    losses = [np.sort(rng.integers(0, 30, 4)) for _ in ways]
    choices = [
        Choice(packing.packed(table), loss, loss, np.arange(4))
        for table, loss in zip(ways, losses, strict=True)
    ]
    one, two = both_halves(packing, choices, (budget, budget), (1000, 10**7, Stop(60)))
    assert one.whole
    assert two.whole
    least: dict[int, int] = {}
    for a, b in itertools.product(range(len(one)), range(len(two))):
        both = one.yields.words[:, a] + two.yields.words[:, b]
        if packing.within(both[:, None], packing.full).all():
            key, loss = int(one.yields.key[a] + two.yields.key[b]), int(one.loss[a] + two.loss[b])
            least[key] = min(loss, least.get(key, loss))
    known: dict[int, int] = {}
    for chosen in itertools.product(range(4), repeat=5):
        total = sum(table[n] for table, n in zip(ways, chosen, strict=True))
        if (total <= packing.most).all():
            key = int(packing.packed(total[None]).key[0])
            loss = sum(int(each[n]) for each, n in zip(losses, chosen, strict=True))
            known[key] = min(loss, known.get(key, loss))
    assert {k: v for k, v in least.items() if v <= budget} == {
        k: v for k, v in known.items() if v <= budget
    }


@pytest.mark.parametrize("seed", range(20))
def test_a_set_is_let_go_only_where_the_least_loss_of_it_spends_too_much(seed: int) -> None:
    rng = np.random.default_rng(seed)
    packing, budget = Packing((2, 2, 3)), (100, 90)
    some = np.array([[0], [1], [1], [1]], np.int64)
    ways = [rng.integers(0, 2, (4, 3)) * some for _ in range(5)]
    losses = [rng.integers(0, 30, 4) for _ in ways]
    spent = [np.sort(rng.integers(0, 30, 4)) for _ in ways]
    choices = [
        Choice(packing.packed(table), loss, of, np.arange(4))
        for table, loss, of in zip(ways, losses, spent, strict=True)
    ]
    one, two = both_halves(packing, choices, budget, (1000, 10**7, Stop(60)))
    found: dict[int, int] = {}
    for a, b in itertools.product(range(len(one)), range(len(two))):
        both = one.yields.words[:, a] + two.yields.words[:, b]
        if packing.within(both[:, None], packing.full).all():
            key, loss = int(one.yields.key[a] + two.yields.key[b]), int(one.loss[a] + two.loss[b])
            if one.spent[a] + two.spent[b] <= budget[1]:
                found[key] = min(loss, found.get(key, loss))
    known: dict[int, tuple[int, int]] = {}
    for chosen in itertools.product(range(4), repeat=5):
        total = sum(table[n] for table, n in zip(ways, chosen, strict=True))
        if (total <= packing.most).all():
            key = int(packing.packed(total[None]).key[0])
            lost, used = (
                sum(int(each[n]) for each, n in zip(kind, chosen, strict=True))
                for kind in (losses, spent)
            )
            known[key] = min((lost, used), known.get(key, (lost, used)))
    kept = {key for key, (loss, of) in known.items() if loss <= budget[0] and of <= budget[1]}
    assert kept
    assert all(found[key] == known[key][0] for key in kept)


def test_a_half_with_too_many_states_says_so() -> None:
    packing = Packing((9,))
    loss = np.array([0, 1])
    choice = Choice(packing.packed(np.array([[0], [1]])), loss, loss, np.array([-1, 0]))
    one, two = both_halves(packing, [choice] * 8, (100, 100), (2, 10**7, Stop(60)))
    assert not (one.whole and two.whole)


def test_a_sweep_that_runs_out_of_sums_says_so_and_counts_them() -> None:
    stage, prices, start, _ = last_stage(0)
    sweep = Sweep(stage, prices, stage.value(start), (10_000, 1, Stop(60)), False)
    assert sweep.best() is None
    assert not sweep.whole
    assert sweep.sums == 1


@pytest.mark.parametrize("seed", range(400, 420))
def test_no_column_within_the_gap_is_missing_from_those_listed(seed: int) -> None:
    problem = random_day(seed)
    model = model_of(problem)
    rows, every = rows_of(model), pool_of(model, 100_000, Stop(60))
    stage = Stage(rows, every, aims_of(model)[-1], ())
    prices = -np.random.default_rng(seed).uniform(0, 4e5, len(stage.low))
    priced = priced_bound(stage, prices)
    assert priced is not None
    reached = stage.value(chosen_of(rows, hand_laid(problem)))
    near = Near(stage, prices, 100_000).pool(reached, Stop(60))
    listed = {near.key(j): int(near.gain[j]) for j in range(len(near))}
    spare = priced.total - priced.scale * reached
    whole = np.rint(prices * priced.scale).astype(np.int64)
    left = priced.scale * stage.gains - stage.priced(whole)
    lost = np.maximum(0, priced.best)[every.kind] - left
    for j in np.flatnonzero(lost <= spare).tolist():
        assert listed[every.key(j)] == every.gain[j]


class _Inline(Executor):
    """Runs what is submitted at once; says of profile B's first plan that its time ran out."""

    def __init__(self, sticks_proven: bool) -> None:
        self.given: list[tuple[str, float]] = []
        self.sticks_proven = sticks_proven

    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        part = args[0]
        name = part.frames[0].profile
        done: Future[Any] = Future()
        found = fn(part)
        if name == "B" and all(before != "B" for before, _ in self.given):
            sticks = found.bounds.stick_opened if self.sticks_proven else 0
            bounds = replace(found.bounds, stick_opened=sticks)
            found = replace(found, proof="feasible", bounds=bounds, seconds=part.limits.seconds)
        self.given.append((name, part.limits.seconds))
        done.set_result(found)
        return done


@pytest.mark.parametrize("sticks_proven", [False, True])
def test_what_time_others_left_is_for_a_profile_whose_sticks_are_not_proven(
    sticks_proven: bool,
) -> None:
    rack = [stick("S1"), stick("S2", profile="B")]
    frames = [frame("F1", 600, 500, 600, 500), frame("F2", 600, 500, 600, 500, profile="B")]
    inline = _Inline(sticks_proven)
    answer = plan(day(rack, frames, limits=Limits(60.0)), executor=inline)
    first, *again = (seconds for name, seconds in inline.given if name == "B")
    if sticks_proven:
        assert again == []
        assert answer.proof == "feasible"
    else:
        assert len(again) == 1
        assert again[0] > first
        assert answer.proof == "optimal"
