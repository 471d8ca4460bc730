"""The planner's four aims against all ways to cut a small day, gone through."""

import random
from datetime import date

import pytest

from planner import plan
from planner.values import Plan, Problem, Rules
from tests.planner.enumerated import ages_of, best_of_all
from tests.planner.independent import due_of
from tests.planner.rack import (
    MM,
    day,
    frame,
    offcut,
    random_day,
    random_grades,
    random_links,
    random_truth,
    stick,
)  # fmt: skip


def reached(problem: Problem, answer: Plan) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """What a plan reaches in all four aims, as the enumeration says it."""
    short = {entry.frame for entry in answer.short}
    days = sorted({due_of(problem, frame) for frame in problem.frames})
    cut = [due_of(problem, frame) for frame in problem.frames if frame.id not in short]
    ages = ages_of(problem)
    fetched = {cut.piece for cut in answer.cuts}
    opened, worth = answer.reached.stick_opened, answer.reached.worth
    aims = (worth - opened, 0) if problem.aims == "weighed" else (-opened, worth)
    pieces = -len(fetched), -sum(ages[name] for name in fetched)
    return tuple(cut.count(day) for day in days), (*aims, *pieces)


@pytest.mark.parametrize("seed", range(10))
def test_of_all_ways_to_cut_linked_frames_none_is_better_in_any_aim(seed: int) -> None:
    problem = random_links(seed, frames=2)
    answer = plan(problem)
    assert answer.proof == "optimal"
    assert reached(problem, answer) == best_of_all(problem)


@pytest.mark.parametrize("seed", range(18))
def test_of_all_ways_to_cut_a_small_day_none_is_better_in_any_aim(seed: int) -> None:
    draw = (random_truth, random_grades, random_day)[seed % 3]
    problem = draw(seed, frames=2)
    answer = plan(problem)
    assert answer.proof == "optimal"
    assert reached(problem, answer) == best_of_all(problem)


@pytest.mark.parametrize("seed", range(12))
def test_of_plans_as_good_the_fewest_and_oldest_pieces_are_fetched(seed: int) -> None:
    # Worth in proportion to length and cuts that lose nothing: where rails lie is all the same.
    rng = random.Random(seed)
    rack = [offcut(f"O{n}", rng.randrange(400, 1300, 100), batch=rng.choice(["b1", "b2"]),
                   since=date(2026, 11, rng.randint(1, 20))) for n in range(6)]  # fmt: skip
    frames = [frame(f"F{n}", *[rng.randrange(200, 500, 100) for _ in range(2)] * 2,
                    one_batch=rng.random() < 0.3) for n in range(2)]  # fmt: skip
    even = {"A": ((MM, MM),)}
    problem = day([*rack, stick("S")], frames, rules=Rules(0, 0, 0), worth=even)
    assert reached(problem, plan(problem)) == best_of_all(problem)
