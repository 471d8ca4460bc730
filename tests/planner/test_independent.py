"""The planner against an independent model of its aims, solved by HiGHS."""

import pytest

from planner import plan
from planner.values import Problem
from tests.planner.independent import best
from tests.planner.rack import random_day, random_grades, random_links, random_truth


@pytest.mark.parametrize("seed", range(64))
def test_the_three_aims_equal_those_of_an_independent_model(seed: int) -> None:
    draw = (random_truth, random_grades, random_day, random_grades)[seed % 4]
    problem = draw(seed, frames=4 if seed < 20 else 3)
    answer = plan(problem)
    assert answer.proof == "optimal"
    assert _score(problem, answer.reached) == best(problem)


@pytest.mark.parametrize("seed", range(24))
def test_linked_frames_equal_those_of_an_independent_model(seed: int) -> None:
    problem = random_links(seed, frames=3)
    answer = plan(problem)
    assert answer.proof == "optimal"
    assert _score(problem, answer.reached) == best(problem)


def _score(problem: Problem, reached: object) -> tuple[int, int, int]:
    frames, opened, worth = reached.frames_cut, reached.stick_opened, reached.worth  # type: ignore[attr-defined]
    return (frames, 0, worth - opened) if problem.aims == "weighed" else (frames, opened, worth)
