"""What the planner does for a framer, in small cases worked out by head."""

import pickle
import random
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings

from planner import ProblemRefused, faults, hand_plan, plan
from planner.values import Frame, Piece, Plan, Problem, Reason
from tests.planner.rack import DAY, MM, day, days, frame, offcut, random_day, stick


def pieces_of(answer: Plan) -> list[str]:
    return list(dict.fromkeys(cut.piece for cut in answer.cuts))


def test_an_offcut_long_enough_for_both_rails_is_used_before_a_stick() -> None:
    answer = plan(day([stick("S1"), offcut("O1", 1005)], [frame("F1", 500, 500)]))
    assert pieces_of(answer) == ["O1"]
    assert answer.reached.stick_opened == 0


def test_the_last_cut_needs_no_allowance_where_it_runs_off_the_end() -> None:
    answer = plan(day([offcut("O1", 1005)], [frame("F1", 500, 500)]))
    assert answer.cuts[0].leftover == 0
    assert plan(day([offcut("O1", 1004)], [frame("F1", 500, 500)])).reached.frames_cut == 0


def test_end_trims_come_off_both_ends_of_a_stick_and_off_no_offcut() -> None:
    assert plan(day([stick("S1", 520)], [frame("F1", 500)])).reached.frames_cut == 1
    assert plan(day([stick("S1", 519)], [frame("F1", 500)])).reached.frames_cut == 0
    assert plan(day([offcut("O1", 500)], [frame("F1", 500)])).reached.frames_cut == 1


def test_a_flaw_splits_a_piece_and_no_rail_crosses_it() -> None:
    flawed = offcut("O1", 1100, flaws=((500 * MM, 510 * MM),))
    answer = plan(day([flawed], [frame("F1", 550, 500)]))
    assert [[r.length // MM for r in cut.rails] for cut in answer.cuts] == [[500], [550]]
    assert plan(day([flawed], [frame("F1", 600)])).reached.frames_cut == 0


def test_a_used_piece_lists_the_stretches_it_leaves_whole() -> None:
    flawed = offcut("O1", 1100, flaws=((500 * MM, 510 * MM),))
    answer = plan(day([flawed], [frame("F1", 550)]))
    assert [(cut.stretch, len(cut.rails), cut.leftover, cut.kept) for cut in answer.cuts] == [
        (0, 0, 500 * MM, True),
        (1, 1, 35 * MM, False),
    ]


def test_the_earliest_due_frame_goes_first_though_two_others_would_fit() -> None:
    late = date(2026, 11, 26)
    answer = plan(day(
        [offcut("O1", 1005)],
        [frame("F1", 500, due=late), frame("F2", 400, due=late), frame("F3", 900, due=DAY)],
    ))  # fmt: skip
    assert [s.frame for s in answer.short] == ["F1", "F2"]


def test_a_bowed_piece_gives_short_rails_and_a_straight_one_the_long_ones() -> None:
    rack = [offcut("O1", 1300, longest=400 * MM), offcut("O2", 1300)]
    answer = plan(day(rack, [frame("F1", 600, 400, 600, 400)]))
    assert {c.piece: {r.length // MM for r in c.rails} for c in answer.cuts} == {
        "O1": {400}, "O2": {600}}  # fmt: skip
    assert plan(day(rack[:1], [frame("F1", 401)])).short[0].why == Reason(
        "rail_longer_than_any", {"rail_um": 401 * MM, "longest_um": 400 * MM})  # fmt: skip


def test_seconds_and_a_client_s_own_go_to_frames_that_take_them_alone() -> None:
    rack = [offcut("O1", 500, kept_for="seconds"), offcut("O2", 500, kept_for="client 7")]
    takes = [("",), ("", "seconds"), ("client 7",), ("client 8",)]
    asked = [frame(f"F{n}", 500, takes=mine) for n, mine in enumerate(takes, 1)]
    answer = plan(day(rack, asked))
    assert {r.frame: c.piece for c in answer.cuts for r in c.rails} == {"F2": "O1", "F3": "O2"}
    assert [(s.frame, s.why.code, s.cure and s.cure.code) for s in answer.short] == [
        ("F1", "all_kept_for_others", "buy"), ("F4", "all_kept_for_others", "more_from_its_owner"),
    ]  # fmt: skip


def test_of_frames_due_alike_as_many_as_possible_are_cut() -> None:
    answer = plan(day(
        [offcut("O1", 1005)], [frame("F1", 900), frame("F2", 500), frame("F3", 500)]
    ))  # fmt: skip
    assert [s.frame for s in answer.short] == ["F1"]


def test_a_frame_of_one_batch_is_not_mixed() -> None:
    rack = [offcut("O1", 600), offcut("O2", 600, batch="b2"), offcut("O3", 600, batch="b2")]
    answer = plan(day(rack, [frame("F1", 600, 600, one_batch=True)]))
    assert pieces_of(answer) == ["O2", "O3"]


def test_a_frame_of_one_piece_may_mix_that_piece_s_stretches() -> None:
    flawed = offcut("O9", 1100, flaws=((540 * MM, 560 * MM),))
    rack = [offcut("O1", 540), offcut("O2", 540), flawed]
    answer = plan(day(rack, [frame("F1", 540, 540, one_piece=True)]))
    assert pieces_of(answer) == ["O9"]


def test_a_pinned_frame_comes_whole_from_its_piece() -> None:
    answer = plan(day([stick("S1"), offcut("O1", 1005)], [frame("F1", 500, 500, pin="S1")]))
    assert pieces_of(answer) == ["S1"]


def test_a_rail_to_be_recut_matches_its_batch() -> None:
    rack = [offcut("O1", 500), offcut("O2", 900, batch="b2")]
    answer = plan(day(rack, [frame("F1", 500, batch="b2")]))
    assert pieces_of(answer) == ["O2"]


def test_of_pieces_alike_the_oldest_is_fetched() -> None:
    rack = [offcut(f"O{n}", 700, since=DAY - timedelta(days=n)) for n in range(5)]
    assert pieces_of(plan(day(rack, [frame("F1", 500)]))) == ["O4"]


def test_of_pieces_alike_and_as_old_the_lowest_id_is_fetched() -> None:
    rack = [offcut(f"O{n}", 700) for n in (10, 9, 2)]
    assert pieces_of(plan(day(rack, [frame("F1", 500)]))) == ["O2"]


def test_weighed_aims_may_open_a_stick_to_spare_a_good_offcut() -> None:
    rack = [stick("S1", 1020), offcut("O1", 1300)]
    points = {"A": ((300 * MM, 100 * MM), (1299 * MM, 1000 * MM), (1300 * MM, 4000 * MM))}
    problem = day(rack, [frame("F1", 1000)], worth=points)
    assert pieces_of(plan(problem)) == ["O1"]
    assert pieces_of(plan(replace(problem, aims="weighed"))) == ["S1"]


def test_profiles_are_planned_each_alone_and_answered_together() -> None:
    rack = [stick("S1"), Piece("S2", "B", "b1", "stick", 3000 * MM)]
    frames = [frame("F1", 500), Frame("F2", "B", (600 * MM,)), Frame("F3", "C", (600 * MM,))]
    answer = plan(day(rack, frames))
    assert pieces_of(answer) == ["S1", "S2"]
    assert answer.short[0].frame == "F3"
    assert answer.short[0].why == Reason("no_piece", {"profile": "C"})


def test_a_day_without_frames_is_planned_and_proven() -> None:
    answer = plan(day([stick("S1")], []))
    assert (answer.cuts, answer.short, answer.proof) == ((), (), "optimal")


def test_progress_is_told_profile_by_profile() -> None:
    told: list[tuple[str, int, int]] = []
    rack = [stick("S1"), Piece("S2", "B", "b1", "stick", 3000 * MM)]
    frames = [frame("F1", 500), Frame("F2", "B", (600 * MM,))]
    plan(day(rack, frames), on_progress=lambda name, done, of, _: told.append((name, done, of)))
    assert told == [("A", 1, 2), ("B", 2, 2)]


def test_how_the_gap_closes_is_told_aim_by_aim_and_never_past_the_truth() -> None:
    told: list[tuple[str, Reason]] = []
    rack = [offcut(f"O{n}", 700 + 130 * n) for n in range(5)] + [stick("S1"), stick("S2")]
    frames = [frame(f"F{n}", 410 + 37 * n, 300 + 53 * n) for n in range(6)]
    answer = plan(
        day(rack, frames), on_gap=lambda profile, how_far: told.append((profile, how_far))
    )
    assert {profile for profile, _ in told} == {"A"}
    opened = [how_far.about for _, how_far in told if how_far.code == "sticks_opened_of"]
    assert opened
    for about in opened:
        least, reached = about["bound_um"], about["reached_um"]
        assert isinstance(least, int)
        assert isinstance(reached, int)
        assert least <= answer.reached.stick_opened <= reached


def test_any_executor_serves_and_the_plan_is_the_same() -> None:
    one, two = random_day(5), random_day(8, profile="B")
    both = replace(
        one,
        pieces=one.pieces + tuple(replace(p, id=f"B{p.id}") for p in two.pieces),
        frames=one.frames + tuple(replace(f, id=f"B{f.id}", pin=None) for f in two.frames),
    )
    with ThreadPoolExecutor(2) as pool:
        spread = plan(both, executor=pool)
    alone = plan(both)
    assert (spread.cuts, spread.short, spread.proof) == (alone.cuts, alone.short, alone.proof)


def test_a_problem_and_a_plan_pickle() -> None:
    problem = random_day(3)
    answer = plan(problem)
    assert pickle.loads(pickle.dumps((problem, answer))) == (problem, answer)


def test_every_fault_of_a_problem_is_listed() -> None:
    problem = day(
        [stick("S1"), stick("S1"), Piece("S2", "B", "", "stick", MM)],
        [frame("F1", 500, pin="S9"), frame("F2", 500, pin="S2"), frame("F1", 500)],
        worth={"A": ((5, 5), (4, 4)), "B": ()},
    )
    with pytest.raises(ProblemRefused) as refused:
        plan(problem)
    assert len(refused.value.faults) == 6
    assert pickle.loads(pickle.dumps(refused.value)).faults == refused.value.faults


@settings(max_examples=30)
@given(days())
def test_every_plan_of_a_small_day_is_faultless_and_proven(problem: Problem) -> None:
    answer = plan(problem)
    assert faults(problem, answer) == ()
    assert answer.proof == "optimal"


@settings(max_examples=50)
@given(days())
def test_the_hand_rule_is_valid_and_never_better(problem: Problem) -> None:
    by_hand = hand_plan(problem)
    assert faults(problem, by_hand) == ()


@pytest.mark.parametrize("seed", range(8))
def test_the_order_of_the_input_changes_nothing(seed: int) -> None:
    problem = random_day(seed)
    rng = random.Random(seed)
    turned = replace(
        problem,
        pieces=tuple(rng.sample(problem.pieces, len(problem.pieces))),
        frames=tuple(rng.sample(problem.frames, len(problem.frames))),
    )
    one, two = plan(problem), plan(turned)
    assert (one.cuts, one.short, one.reached) == (two.cuts, two.short, two.reached)
    assert (one.why_opened, one.why_pinned) == (two.why_opened, two.why_pinned)


@pytest.mark.parametrize("seed", [107, 124])
def test_a_piece_that_must_be_used_may_be_cut_another_way_than_its_best(seed: int) -> None:
    # Once a branch held a piece in use, other ways to cut it were ruled out as if it could be left.
    problem = random_day(seed, frames=3)
    answer = plan(problem)
    assert answer.proof == "optimal"
    weighed = answer.reached.worth - answer.reached.stick_opened
    assert weighed == {107: -3811394, 124: -1631428}[seed]
