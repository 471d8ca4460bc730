"""Linear algebra runs in one thread while a plan is made."""

import numpy as np
import numpy.typing as npt
import pytest
import threadpoolctl

from planner.columns import restricted_master
from planner.lp.threads import one_thread
from planner.model.subproblem import Chosen, Stage
from planner.search import aims
from planner.solve import plan
from planner.stop import Stop
from tests.planner.rack import day, frame, stick

Floats = npt.NDArray[np.float64]


def _threads() -> set[int]:
    return {pool["num_threads"] for pool in threadpoolctl.threadpool_info()}


def test_a_search_runs_in_one_thread_and_leaves_the_number_as_it_was(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    seen = list[set[int]]()

    def watched(stage: Stage, chosen: Chosen, stop: Stop) -> tuple[Floats, Stage]:
        seen.append(_threads())
        return restricted_master.prices_of(stage, chosen, stop)

    monkeypatch.setattr(aims, "prices_of", watched)
    with threadpoolctl.threadpool_limits(2):
        before = _threads()
        plan(day([stick("S1", 3000)], [frame("F1", 300)]))
        assert _threads() == before
    assert seen
    assert all(threads == {1} for threads in seen)


def test_one_thread_ends_with_its_block() -> None:
    before = _threads()
    with one_thread():
        assert _threads() == {1}
    assert _threads() == before
