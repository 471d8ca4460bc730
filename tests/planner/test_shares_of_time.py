"""The time that some profiles leave goes to those whose sticks are not proven."""

from concurrent.futures import Executor, Future
from dataclasses import replace
from typing import Any

import pytest

from planner import plan
from planner.values import Limits
from tests.planner.rack import day, frame, stick


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
