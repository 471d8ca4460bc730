"""The neighbourhood search: never worse than what it began from, always a plan the judge passes."""

import random

import pytest

from demo.bench import sizes
from demo.bench.filler import Try
from planner import faults, hand_plan, plan
from planner.heuristics.best_fit import hand_laid
from planner.heuristics.subset_sums import fullest
from planner.heuristics.whole_pieces import WholePieces
from planner.model.profile_model import model_of
from planner.score import cuts_of, score_of
from planner.stop import Stop
from planner.values import Plan, Problem, Reason, Score
from tests.planner.rack import random_day

WORK = 20_000_000


def judged(problem: Problem, search: WholePieces) -> Score:
    """What the best laid-out plan reaches, once the judge has passed it."""
    cuts = cuts_of(problem, search.best_laid())
    reached = score_of(problem, cuts)
    done = {rail.frame for cut in cuts for rail in cut.rails}
    kinds = {p.id: p.kind for p in problem.pieces}
    why = {
        cut.piece: Reason("told", {"words": "used"}) for cut in cuts if kinds[cut.piece] == "stick"
    }
    short = tuple(frame for frame in problem.frames if frame.id not in done)
    plan = Plan(cuts, (), reached, reached, "feasible", 0.0, why)
    assert len(faults(problem, plan)) == len(short)
    return reached


@pytest.mark.parametrize("seed", range(30))
def test_plans_only_get_better_and_cut_the_same_frames(seed: int) -> None:
    problem = random_day(seed, frames=5)
    laid = hand_laid(problem)
    before = score_of(problem, cuts_of(problem, laid))
    search = WholePieces(model_of(problem), laid, seed)
    search.improve(WORK // 10, Stop(60))
    after = judged(problem, search)
    assert after.frames_cut == before.frames_cut
    if problem.aims == "weighed":
        assert after.stick_opened - after.worth <= before.stick_opened - before.worth
    else:
        assert (after.stick_opened, -after.worth) <= (before.stick_opened, -before.worth)


@pytest.mark.parametrize("ties", sizes.TIES)
def test_a_show_opens_much_less_than_by_hand(ties: str) -> None:
    problem = sizes.show(0, 12, ties)
    laid = hand_laid(problem)
    before = score_of(problem, cuts_of(problem, laid))
    search = WholePieces(model_of(problem), laid)
    search.improve(20 * WORK, Stop(600))
    assert judged(problem, search).stick_opened <= 0.95 * before.stick_opened


def test_a_show_of_bound_frames_opens_no_more_than_a_patient_filler() -> None:
    problem = sizes.show(0, 16, "bound")
    laid = [Try(problem, random.Random(seed)).laid() for seed in range(60)]
    filled = [score_of(problem, cuts_of(problem, found)) for found in laid if found is not None]
    search = WholePieces(model_of(problem), hand_laid(problem))
    search.improve(10 * WORK, Stop(600))
    assert judged(problem, search).stick_opened <= min(score.stick_opened for score in filled)


def test_the_same_work_makes_the_same_plan() -> None:
    problem = sizes.show(1, 8, "both")
    found = [WholePieces(model_of(problem), hand_laid(problem)) for _ in range(2)]
    for search in found:
        search.improve(WORK, Stop(600))
    assert found[0].best_laid() == found[1].best_laid()


@pytest.mark.parametrize(("room", "most"), [(1, 0), (5, 4), (11, 11), (12, 12), (18, 17), (99, 21)])
def test_a_room_is_filled_as_full_as_can_be(room: int, most: int) -> None:
    lengths = [7, 4, 8, 2]
    taken = fullest(lengths, room)
    assert len(set(taken)) == len(taken)
    assert sum(lengths[n] for n in taken) == most


def test_many_plans_may_share_one_deadline() -> None:
    over = Stop(0.0)
    for seed in (0, 1):
        problem = sizes.show(seed, 8, "both", 600.0)
        answer = plan(problem, stop=over)
        assert answer.reached.frames_cut == 8
        assert answer.reached == hand_plan(problem).reached
