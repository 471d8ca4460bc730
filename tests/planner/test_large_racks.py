"""A rack of very many pieces: no frame goes through all of it again, and time is asked for."""

import sys
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

import pytest

from planner.explain.reasons import why_short
from planner.heuristics.best_fit import hand_laid, hand_plan
from planner.judge import faults
from planner.model.profile_model import model_of
from planner.search.profile import plan_profile
from planner.stop import OutOfTime, Stop
from planner.values import Frame, Piece, Problem, Rules

PIECES, FEW, MANY = 1_200, 3, 48
TIES: dict[str, dict[str, Any]] = {
    "free": {}, "of one piece": {"one_piece": True}, "of one batch": {"one_batch": True},
    "of a batch": {"batch": "b3"}, "of no batch": {"batch": "b9"}, "of a client's": {
        "takes": ("seconds",)}, "pinned": {"pin": "P7"},
}  # fmt: skip


def problem_of(frames: int, cuttable: int = 0, pieces: int = PIECES, **tie: Any) -> Problem:
    """Sticks and offcuts of five batches, one of them bowed and one a client's; frames too long,
    and some that are not."""
    rack = [
        Piece(
            f"P{n}", "A", f"b{n % 5}", "offcut" if n % 3 else "stick", 3_000_000 - 900 * (n % 400)
        )
        for n in range(pieces)
    ]
    rack[4], rack[5] = replace(rack[4], longest=500_000), replace(rack[5], kept_for="client")
    rails = [(900_000 + 700 * n, 3_200_000) * 2 for n in range(frames)]
    rails += [(400_000 + 1_100 * n, 300_000 + 900 * n) * 2 for n in range(cuttable)]
    asked = tuple(Frame(f"F{n}", "A", sides, **tie) for n, sides in enumerate(rails))
    return Problem(Rules(5_000, 10_000, 300_000), tuple(rack), asked)


def steps_of(do: Callable[[], object]) -> int:
    """How many calls of functions it takes, with those that go on with a generator."""
    counted = [0]

    def count(_frame: object, event: str, _told: object) -> None:
        counted[0] += event in ("call", "c_call")

    before = sys.getprofile()
    sys.setprofile(count)
    try:
        do()
    finally:
        sys.setprofile(before)
    return counted[0]


@pytest.mark.parametrize("tie", TIES)
def test_frames_that_cannot_be_cut_do_not_each_go_through_the_rack(tie: str) -> None:
    few, many = (problem_of(frames, **TIES[tie]) for frames in (FEW, MANY))
    for rule in (hand_laid, reasons):
        more = steps_of(partial(rule, many)) - steps_of(partial(rule, few))
        assert more < (MANY - FEW) * PIECES


def reasons(problem: Problem) -> object:
    """Why none of its frames is cut."""
    return why_short(problem, (), problem.frames, optimal=True)


class AskedOften(Stop):
    """A time that is over when it was asked for so often."""

    def __init__(self, times: int) -> None:
        super().__init__(3_600)
        self.times = times

    def left(self) -> float:
        self.times -= 1
        return 0.0 if self.times < 0 else super().left()


def test_putting_alike_together_asks_for_the_time_piece_by_piece_and_frame_by_frame() -> None:
    problem = problem_of(FEW)
    asked = AskedOften(10**6)
    model_of(problem, asked)
    assert 10**6 - asked.times >= PIECES + FEW
    with pytest.raises(OutOfTime):
        model_of(problem, AskedOften(PIECES // 2))


def test_a_plan_is_whole_and_no_worse_than_by_hand_whenever_time_is_over() -> None:
    for tie in ({}, {"one_piece": True}):
        problem = problem_of(1, 3, 40, **tie)
        frames = hand_plan(problem).reached.frames_cut
        for times in (0, 1, 2, 5, 20, 60, 300):
            answer = plan_profile(problem, AskedOften(times))
            assert faults(problem, answer) == ()
            assert answer.reached.frames_cut >= frames
