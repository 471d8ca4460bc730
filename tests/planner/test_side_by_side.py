"""Profiles side by side in processes: the same plan, told of, ended when told, finished alone."""

import os
from dataclasses import replace
from threading import Event

import pytest

import planner.by_profile
from demo.bench import sizes
from planner import plan
from planner.side_by_side import processes
from planner.values import Limits, Plan, Problem
from tests.planner.rack import random_day


def several(*parts: Problem, seconds: float = 600.0) -> Problem:
    """These days of one profile each as one, each its own profile, for two workers."""
    named = dict(enumerate(parts))
    return replace(
        parts[0],
        pieces=tuple(replace(p, id=f"{n}-{p.id}", profile=f"P{n}")
                     for n, part in named.items() for p in part.pieces),
        frames=tuple(replace(f, id=f"{n}-{f.id}", profile=f"P{n}", pin=None)
                     for n, part in named.items() for f in part.frames),
        limits=Limits(seconds, 2),
    )  # fmt: skip


@pytest.fixture
def at_once(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Processes are started as soon as one profile is planned; gives how many each time."""
    started: list[int] = []

    def counted(count: int) -> object:
        started.append(count)
        return processes(count)

    monkeypatch.setattr(planner.by_profile, "PAYS_AFTER", 0.0)
    monkeypatch.setattr(planner.by_profile, "processes", counted)
    return started


def test_a_plan_that_takes_long_goes_through_processes_and_is_the_same(at_once: list[int]) -> None:
    problem = several(*(random_day(seed) for seed in (3, 5, 8)))
    told: list[tuple[str, int, int]] = []
    spread = plan(problem, on_progress=lambda name, done, of, _: told.append((name, done, of)))
    alone = plan(replace(problem, limits=Limits(600.0)))
    assert at_once == [2]
    assert (spread.cuts, spread.short, spread.proof) == (alone.cuts, alone.short, alone.proof)
    assert sorted(name for name, *_ in told) == ["P0", "P1", "P2"]
    assert [row[1:] for row in told] == [(1, 3), (2, 3), (3, 3)]


def test_what_processes_search_for_ends_when_told(at_once: list[int]) -> None:
    hard = sizes.show(3, 20, "both", 3600.0)
    problem = several(random_day(3), random_day(5), hard, seconds=3600.0)
    stop = Event()

    def enough(_name: str, done: int, _of: int, _plan: Plan) -> None:
        if done == 2:
            stop.set()

    answer = plan(problem, on_progress=enough, stop=stop)
    assert at_once == [2]
    assert answer.proof == "feasible"
    assert answer.reached.frames_cut >= 20


def dies(_part: Problem) -> None:
    """A process that is ended from outside."""
    os._exit(9)


def test_what_a_lost_process_was_to_plan_is_planned_here(
    at_once: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    problem = several(random_day(3), random_day(5), random_day(8))
    monkeypatch.setattr(planner.by_profile, "planned_there", dies)
    assert plan(problem).reached == plan(replace(problem, limits=Limits(600.0))).reached
    assert at_once
