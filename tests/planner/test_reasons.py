"""The reasons of a plan hold up: each is worked out again here, by planning another problem."""

import json
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from planner import plan
from planner.io.schema import plan_from_json, plan_to_json
from planner.values import Frame, Piece, Plan, Problem, Reason, Rules, Told
from tests.planner.rack import DAY, MM, day, frame, offcut, random_day, stick

PINNED = [
    ("pin_costs_nothing", {}, [stick("S1"), offcut("O1", 500)], [frame("F1", 500, pin="O1")]),
    ("pin_costs_stick", {"cost_um": 3000 * MM}, [stick("S1"), offcut("O1", 500)],
     [frame("F1", 500, pin="S1")]),
    ("pin_costs_worth", {"cost_um": 300 * MM}, [offcut("O1", 500), offcut("O2", 800)],
     [frame("F1", 500, pin="O2")]),
    ("pin_costs_frames_due", {"frames": 1, "due": "2026-11-25"},
     [offcut("O1", 700), offcut("O2", 800)],
     [frame("F1", 600, pin="O2", due=DAY), frame("F2", 750, due=DAY)]),
    ("pin_costs_frames", {"frames": 1}, [offcut("O1", 700), offcut("O2", 800)],
     [frame("F1", 600, pin="O2"), frame("F2", 750)]),
]  # fmt: skip


@pytest.mark.parametrize(("code", "cost", "rack", "asked"), PINNED, ids=[row[0] for row in PINNED])
def test_what_a_pin_costs_is_told(
    code: str, cost: dict[str, Told], rack: list[Piece], asked: list[Frame]
) -> None:
    worth = {"A": ((MM, MM), (2 * MM, 2 * MM))}
    answer = plan(day(rack, asked, rules=Rules(0, 0, 400 * MM), worth=worth))
    assert answer.why_pinned == {"F1": Reason(code, {"piece": asked[0].pin or "", **cost})}


def test_with_weighed_aims_a_pin_costs_stick_and_worth_in_one() -> None:
    worth = {"A": ((MM, MM), (2 * MM, 2 * MM))}
    problem = day([stick("S1", 1000), offcut("O1", 500)], [frame("F1", 500, pin="S1")],
                  rules=Rules(0, 0, 600 * MM), worth=worth, aims="weighed")  # fmt: skip
    # Without the pin the offcut goes, worth nothing below the keep length; with it the stick.
    told = plan(problem).why_pinned["F1"]
    assert told == Reason("pin_costs_in_all", {"piece": "S1", "cost_um": 1000 * MM})


def test_of_two_pins_each_is_weighed_with_the_other_in_place() -> None:
    rack = [stick("S1"), offcut("O1", 500), offcut("O2", 500)]
    asked = [frame("F1", 500, pin="S1"), frame("F2", 500, pin="S1")]
    answer = plan(day(rack, asked, rules=Rules(0, 0, 0)))
    assert set(answer.why_pinned) == {"F1", "F2"}
    # The other pin opens the stick all the same.
    assert not any("stick" in why.code for why in answer.why_pinned.values())


def days_with_a_pin(count: int) -> list[Problem]:
    found = (random_day(seed) for seed in range(3000, 4000))
    return [p for p in found if p.aims == "ordered" and any(f.pin for f in p.frames)][:count]


@pytest.mark.parametrize("problem", days_with_a_pin(12), ids=lambda _: "day")
def test_the_cost_told_of_a_pin_is_the_difference_to_the_plan_without_it(problem: Problem) -> None:
    answer = plan(problem)
    for pinned in (f for f in problem.frames if f.pin is not None):
        others = tuple(replace(f, pin=None) if f is pinned else f for f in problem.frames)
        free = plan(replace(problem, frames=others))
        told = answer.why_pinned[pinned.id]
        if free.reached == answer.reached:
            assert told.code in ("pin_costs_nothing", "pin_costs_frames_due")
        elif free.reached.frames_cut == answer.reached.frames_cut and "due" not in told.about:
            stick = answer.reached.stick_opened - free.reached.stick_opened
            worth = free.reached.worth - answer.reached.worth
            assert told.code == ("pin_costs_stick" if stick else "pin_costs_worth")
            assert told.about["cost_um"] == (stick or worth)
        else:
            more = free.reached.frames_cut - answer.reached.frames_cut
            assert told.about["frames"] == max(1, more)


def test_the_cost_of_a_pin_is_written_and_read_back() -> None:
    answer = plan(day([stick("S1"), offcut("O1", 500)],
                      [frame("F1", 500, pin="S1"), frame("F2", 9000)]))  # fmt: skip
    back = plan_from_json(plan_to_json(answer))
    assert back.why_pinned == answer.why_pinned != {}
    assert (back.short, back.why_opened) == (answer.short, answer.why_opened)
    assert back.short[0].cure is not None


def test_reasons_kept_in_words_are_read_as_they_were_told() -> None:
    text = json.loads(plan_to_json(plan(day([], [frame("F1", 500)]))))
    text["short"] = [{"frame": "F1", "why": "no piece of A is on the rack; buy a stick"}]
    (short,) = plan_from_json(json.dumps(text)).short
    assert short.why == Reason("told", {"words": "no piece of A is on the rack; buy a stick"})


def left_on_the_rack(problem: Problem, answer: Plan) -> list[Piece]:
    """The rack after the saw: pieces not used, and each leftover as an offcut of its own."""
    by_id = {piece.id: piece for piece in problem.pieces}
    used = {cut.piece for cut in answer.cuts}
    rest = [piece for piece in problem.pieces if piece.id not in used]
    for number, cut in enumerate(answer.cuts):
        # A leftover has been cut at one end only: a rail off its other end needs no more.
        if cut.leftover:
            old = by_id[cut.piece]
            rest.append(Piece(f"left{number}", old.profile, old.batch, "offcut", cut.leftover))
    return rest


def can_be_cut(problem: Problem, rack: list[Piece], short: Frame) -> bool:
    alone = replace(problem, pieces=tuple(rack), frames=(short,), worth={})
    return plan(alone).reached.frames_cut == 1


def bought(
    problem: Problem, short: Frame, count: int, batch: str | None, least: int
) -> list[Piece]:
    return [Piece(f"new{n}", short.profile, batch or "new", "stick", least) for n in range(count)]


def shortages(count: int) -> list[tuple[Problem, Plan, Frame, Mapping[str, Any]]]:
    found = []
    for seed in range(5000, 6000):
        problem = random_day(seed)
        answer = plan(problem)
        frames = {f.id: f for f in problem.frames}
        for entry in answer.short:
            assert entry.cure is not None
            if not entry.cure.code.startswith("buy"):
                assert frames[entry.frame].pin is not None, entry
            else:
                found.append((problem, answer, frames[entry.frame], entry.cure.about))
        if len(found) >= count:
            break
    return found


def test_the_least_to_buy_lets_a_short_frame_be_cut_and_less_does_not() -> None:
    kinds = set()
    for problem, answer, short, said in shortages(25):
        count, batch, least = said["sticks"], said.get("batch"), said["least_um"]
        rack = left_on_the_rack(problem, answer)
        kinds.add((count, batch is not None, short.one_batch, short.one_piece))
        assert can_be_cut(problem, rack + bought(problem, short, count, batch, least), short)
        shorter = bought(problem, short, count, batch, least - 1)
        assert not can_be_cut(problem, rack + shorter, short)
        longest = max((p.length for p in problem.pieces if p.kind == "stick"), default=0)
        if count > 1:
            fewer = bought(problem, short, count - 1, batch, longest or least)
            assert not can_be_cut(problem, rack + fewer, short)
    assert len(kinds) > 3


def test_a_stick_is_said_to_be_needed_only_where_the_bound_says_so() -> None:
    answer = plan(day([stick("S1", 1000), stick("S2", 1000), offcut("O1", 400)],
                      [frame("F1", 900), frame("F2", 900)]))  # fmt: skip
    assert answer.why_opened == {
        "S1": Reason("opened_needed", {"frames": ("F1",), "least_um": 2000 * MM}),
        "S2": Reason("opened_needed", {"frames": ("F2",), "least_um": 2000 * MM}),
    }


def test_a_stick_opened_to_spare_a_good_offcut_is_not_said_to_be_needed() -> None:
    points = {"A": ((300 * MM, 100 * MM), (1299 * MM, 1000 * MM), (1300 * MM, 4000 * MM))}
    answer = plan(day([stick("S1", 1020), offcut("O1", 1300)], [frame("F1", 1000)],
                      worth=points, aims="weighed"))  # fmt: skip
    assert answer.why_opened["S1"] == Reason("opened_weighed", {"frames": ("F1",)})
