"""The time that some profiles leave goes to those that are still to be planned."""

from typing import Any

import pytest

import planner.search.profile
from planner import hand_plan, plan
from planner.values import Limits, Plan, Problem
from tests.planner.rack import day, frame, stick


def test_what_time_others_left_is_for_the_profiles_after_them(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    given: list[tuple[str, float]] = []

    def planned(part: Problem, _: Any) -> Plan:
        given.append((part.frames[0].profile, part.limits.seconds))
        return hand_plan(part)

    monkeypatch.setattr(planner.search.profile, "plan_profile", planned)
    rack = [stick("S1"), stick("S2", profile="B"), stick("S3", profile="C")]
    frames = [frame("F1", 600, 500, 600, 500), frame("F2", 600, 500, 600, 500, profile="B"),
              frame("F3", 600, 500, 600, 500, profile="C")]  # fmt: skip
    plan(day(rack, frames, limits=Limits(60.0)))
    assert [name for name, _ in given] == ["A", "B", "C"]
    assert [seconds for _, seconds in given] == pytest.approx([19.4, 29.1, 58.2], abs=0.5)
