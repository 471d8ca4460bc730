"""Linked frames are cut all or none, and match where they are to; what that costs is said."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from planner import faults, hand_plan, plan
from planner.io.schema import plan_from_json, plan_to_json, problem_from_json, problem_to_json
from planner.values import Frame, Limits, Piece, Plan, Reason
from tests.planner.rack import MM, day, frame, offcut, random_links, stick

TWO = [offcut("O1", 1300, batch="b1"), offcut("O2", 1300, batch="b2")]


def panel(name: str, **more: Any) -> Frame:
    return frame(name, 300, 200, 300, 200, one_batch=True, link="L", **more)


def batches(answer: Plan, pieces: list[Piece]) -> set[str]:
    return {piece.batch for piece in pieces if piece.id in {cut.piece for cut in answer.cuts}}


def why(answer: Plan) -> dict[str, str]:
    return {short.frame: short.why.code for short in answer.short}


def test_a_diptych_comes_from_the_whole_sticks_of_one_batch_and_says_what_that_costs() -> None:
    # Its frames would come from two offcuts of two batches; together they need 2,040 mm of one.
    rack = [*TWO, stick("S1", 2400, batch="b3")]
    answer = plan(day(rack, [panel("F1"), panel("F2")]))
    assert (answer.proof, batches(answer, rack)) == ("optimal", {"b3"})
    assert answer.why_matched == {"L": Reason("matching_costs_stick", {"cost_um": 2400 * MM})}
    apart = plan(day(rack, [replace(panel(name), link=None) for name in ("F1", "F2")]))
    assert batches(apart, rack) == {"b1", "b2"}
    assert apart.why_matched == {}


def test_where_no_batch_yields_them_all_none_is_cut_and_another_frame_is() -> None:
    alone = replace(panel("F3"), link=None)
    answer = plan(day(TWO, [panel("F1"), panel("F2"), alone]))
    assert why(answer) == dict.fromkeys(("F1", "F2"), "no_batch_for_link")
    assert answer.short[0].cure == Reason("buy_batch_or_apart", {"link": "L"})
    begun = plan(day(TWO, [replace(panel(name), batch="b1") for name in ("F1", "F2")]))
    assert why(begun) == dict.fromkeys(("F1", "F2"), "batch_lacks_for_link")
    assert begun.short[0].cure == Reason("buy_that_batch", {"link": "L", "batch": "b1"})


def test_frames_of_one_piece_each_match_as_well() -> None:
    # Each is cheapest from an offcut of its own batch; of b3 both find one.
    rack = [*TWO, offcut("O3", 1500, batch="b3"), offcut("O4", 1500, batch="b3")]
    answer = plan(day(rack, [panel("F1", one_piece=True), panel("F2", one_piece=True)]))
    assert (answer.proof, batches(answer, rack)) == ("optimal", {"b3"})


def test_a_link_holds_over_profiles_and_the_earliest_due_counts() -> None:
    outer = frame("F2", 600, 600, link="L", due=date(2026, 12, 24))
    liner = Frame("F1", "B", (500 * MM,), date(2026, 11, 25), link="L")
    other = frame("F3", 600, 600, due=date(2026, 11, 26))
    # The offcut yields two frames' rails of three: those due with the liner before the other's.
    lined = Piece("B1", "B", "b1", "offcut", 500 * MM)
    rack = [offcut("O1", 1300), lined]
    assert why(plan(day(rack, [outer, liner, other]))) == {"F3": "cannot_be_laid_out"}
    assert why(plan(day(rack[:1], [outer, liner, other]))) == {
        "F1": "no_piece", "F2": "waits_for_linked"}  # fmt: skip


def test_a_linked_frame_goes_before_another_where_that_cuts_the_most() -> None:
    # A's only place goes to F1 by its age; cut from it, F2 lets its two liners be cut as well.
    one, two = frame("F1", 600, 600), frame("F2", 590, 590, link="L")
    liners = [Frame(f"F{n}", "B", (500 * MM,), link="L") for n in (3, 4)]
    rack = [offcut("O1", 1300), *(Piece(f"B{n}", "B", "b1", "offcut", 500 * MM) for n in (1, 2))]
    answer = plan(day(rack, [one, two, *liners]))
    assert (answer.proof, answer.reached.frames_cut, why(answer)) == (
        "optimal", 3, {"F1": "cannot_be_laid_out"})  # fmt: skip


def test_frames_that_are_to_match_and_are_of_two_batches_already_are_not_cut() -> None:
    answer = plan(day(TWO, [panel("F1", batch="b1"), panel("F2", batch="b2")]))
    assert why(answer) == {"F1": "waits_for_linked", "F2": "waits_for_linked"}


@pytest.mark.parametrize("seed", range(8))
def test_the_hand_rule_tears_no_link_and_a_plan_without_time_none_either(seed: int) -> None:
    problem = random_links(seed)
    assert faults(problem, hand_plan(problem)) == ()
    hasty = plan(replace(problem, limits=Limits(1e-6)))
    assert faults(problem, hasty) == ()


def test_links_are_written_and_read_back() -> None:
    problem = day([*TWO, stick("S1", 2400, batch="b3")], [panel("F1"), panel("F2")])
    assert problem_from_json(problem_to_json(problem)) == problem
    answer = replace(plan(problem), seconds=0.5)
    assert plan_from_json(plan_to_json(answer)) == answer
