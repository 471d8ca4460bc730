"""Frames planned together: exact against every way to lay them, later ones only where it pays."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import product
from random import Random

import pytest

from planner.heuristics.joint import Spot, laid_jointly
from planner.heuristics.look_ahead import laid_ahead
from planner.judge import faults
from planner.score import Laid, cuts_of
from planner.values import Frame, Piece, Plan, Problem, Rules
from planner.worth import Worth, worth_of
from stockroom.replay.policies import Policy, learned_together, plan_of, together

MM = 1_000
RULES = Rules(5 * MM, 10 * MM, 300 * MM)
DAY = date(2026, 11, 25)


def frame(name: str, across: float, upright: float, days: int = 0, **more: bool | str) -> Frame:
    """A frame of profile A, rails in mm."""
    rails = (round(across * MM), round(upright * MM)) * 2
    return Frame(name, "A", rails, DAY + timedelta(days), **more)  # type: ignore[arg-type]


def stick(name: str, length: int, batch: str = "b1") -> Piece:
    """A stick, length in mm."""
    return Piece(name, "A", batch, "stick", length * MM, DAY)


def offcut(name: str, length: int, batch: str = "b1") -> Piece:
    """An offcut, length in mm."""
    return Piece(name, "A", batch, "offcut", length * MM, DAY)


def spots_of(pieces: list[Piece], worth: Worth) -> list[Spot]:
    """Pieces without flaws as spots."""
    found = []
    for piece in pieces:
        usable = piece.length - (2 * RULES.end_trim if piece.kind == "stick" else 0)
        cost = usable if piece.kind == "stick" else worth(usable)
        found.append(Spot((piece.id, 0), piece, usable, cost, worth))
    return found


def cost_of(laid: dict[str, list[tuple[tuple[str, int], int]]], frames: list[Frame],
            prizes: dict[str, int], spots: list[Spot], worth: Worth) -> int | None:  # fmt: skip
    """What a laying costs, reckoned from nothing; None where it breaks a rule."""
    total = 0
    rails: dict[tuple[str, int], list[int]] = {}
    batch = {spot.place: spot.piece.batch for spot in spots}
    for one in frames:
        places = [place for place, _ in laid.get(one.id, [])]
        if not places:
            continue
        if one.one_batch and len({batch[place] for place in places}) > 1:
            return None
        if one.one_piece and len({place[0] for place in places}) > 1:
            return None
        total -= prizes[one.id]
        for place, rail in laid[one.id]:
            rails.setdefault(place, []).append(one.rails[rail])
    for spot in spots:
        if cut := rails.get(spot.place):
            if sum(cut) + RULES.cut_allowance * (len(cut) - 1) > spot.room:
                return None
            left = max(0, spot.room - sum(cut) - RULES.cut_allowance * len(cut))
            total += spot.cost - worth(left)
    return total


@pytest.mark.parametrize("seed", range(12))
def test_a_few_frames_cost_the_least_of_all_ways_to_lay_them(seed: int) -> None:
    luck = Random(seed)
    bound = ({}, {"one_batch": True}, {"one_piece": True})[seed % 3]
    frames = [frame(f"F{n}", luck.randint(250, 700), luck.randint(250, 700), n, **bound)
              for n in range(2)]  # fmt: skip
    pieces = [offcut("1", luck.randint(300, 1_900)), offcut("2", luck.randint(300, 1_900), "b2"),
              stick("3", luck.randint(1_900, 2_500))]  # fmt: skip
    worth = Worth(RULES.keep, None)
    spots = spots_of(pieces, worth)
    prizes = {"F0": 10**10, "F1": sum(frames[1].rails) + 20 * MM}
    found = laid_jointly(frames, prizes, spots, RULES)
    every = [(), *product([spot.place for spot in spots], repeat=4)]
    costs = [
        cost
        for first, other in product(every, repeat=2)
        if (cost := cost_of({"F0": list(zip(first, range(4), strict=False)),
                             "F1": list(zip(other, range(4), strict=False))},
                            frames, prizes, spots, worth)) is not None
    ]  # fmt: skip
    assert cost_of(found, frames, prizes, spots, worth) == min(costs)


def test_a_later_frame_is_cut_where_it_fills_the_stick_of_one_that_is_due() -> None:
    # 4 x 505 mm, then 960 mm are left of the stick: two rails of 475 mm and their allowances.
    due, later = frame("due", 500, 500), frame("later", 475, 500, 9)
    fill = [stick("1", 3_000), offcut("2", 1_010)]
    problem = Problem(RULES, tuple(fill), (due, later))
    assert {name for rails in laid_ahead(problem, {"due"}).values() for name, _ in rails} == {
        "due", "later",
    }  # fmt: skip


def test_a_later_frame_that_would_only_open_another_stick_waits() -> None:
    due, later = frame("due", 500, 500), frame("later", 800, 700, 9)
    problem = Problem(RULES, (stick("1", 3_000), stick("2", 3_000)), (due, later))
    plan = together(problem, {"due"})
    assert not faults(problem, plan)
    assert {rail.frame for cut in plan.cuts for rail in cut.rails} == {"due"}
    assert [short.frame for short in plan.short] == ["later"]


def test_what_is_due_is_cut_whatever_it_costs_and_as_much_of_it_as_can_be() -> None:
    frames = tuple(frame(f"F{n}", 900, 900) for n in range(5))
    problem = Problem(RULES, tuple(stick(str(n), 3_000) for n in range(4)), frames)
    plan = together(problem, {f.id for f in frames})
    assert not faults(problem, plan)
    assert plan.reached.frames_cut == 3


def test_batch_piece_pin_and_flaw_are_kept() -> None:
    frames = (
        frame("F1", 500, 400, one_batch=True), frame("F2", 450, 350, one_piece=True),
        frame("F3", 420, 330, pin="4"), frame("F4", 410, 320, 3, batch="b2"),
        frame("F5", 610, 320, 3), Frame("F6", "A", (340 * MM,), DAY, batch="b2"),
    )  # fmt: skip
    flawed = replace(offcut("4", 2_400, "b2"), flaws=((900 * MM, 930 * MM),))
    pieces = (offcut("1", 1_000), offcut("2", 900, "b2"), stick("3", 3_000), flawed,
              stick("5", 2_950, "b2"), stick("6", 3_010))  # fmt: skip
    problem = Problem(RULES, pieces, frames)
    plan = together(problem, {"F1", "F2", "F3", "F6"})
    assert not faults(problem, plan)
    assert {"F1", "F2", "F3", "F6"} <= {r.frame for cut in plan.cuts for r in cut.rails}


def test_taking_frames_up_again_never_makes_a_day_worse() -> None:
    luck = Random(3)
    frames = tuple(frame(f"F{n}", luck.randint(250, 900), luck.randint(250, 900), n)
                   for n in range(9))  # fmt: skip
    pieces = (*(stick(f"{n}", luck.randint(2_900, 3_100)) for n in range(9)), offcut("20", 1_400))
    problem = Problem(RULES, pieces, frames)
    due = {"F0", "F1"}
    costs = [measure(problem, laid_ahead(problem, due, rounds)) for rounds in range(8)]
    assert costs == sorted(costs, reverse=True)
    assert costs[-1] < costs[0]
    assert laid_ahead(problem, due, 5) == laid_ahead(problem, due, 5)


def measure(problem: Problem, laid: Laid) -> int:
    """Sticks' usable length and worth used, less worth left and the length of later frames."""
    worth, pieces = worth_of(problem, "A"), {piece.id: piece for piece in problem.pieces}
    cuts = cuts_of(problem, laid)
    done = {rail.frame for cut in cuts for rail in cut.rails}
    prize = sum(sum(f.rails) + 20 * MM for f in problem.frames if f.id in done - {"F0", "F1"})
    taken = sum(pieces[cut.piece].length - 20 * MM if pieces[cut.piece].kind == "stick"
                else worth(pieces[cut.piece].length) for cut in cuts)  # fmt: skip
    return taken - sum(worth(cut.leftover) for cut in cuts) - prize


def test_profiles_are_planned_each_with_its_own_curve() -> None:
    other = replace(frame("F2", 500, 400), profile="B")
    pieces = (stick("1", 3_000), replace(stick("2", 3_000), profile="B"))
    problem = Problem(RULES, pieces, (frame("F1", 500, 400), other))
    pick = learned_together({"A": ((300 * MM, 100 * MM), (3_000 * MM, 2_900 * MM)), "C": ((1, 1),)})
    plan = pick(problem, {"F1", "F2"})
    assert {(cut.piece, rail.frame) for cut in plan.cuts for rail in cut.rails} == {
        ("1", "F1"), ("2", "F2"),
    }  # fmt: skip
    assert not faults(problem, plan)


def test_a_policy_either_chooses_or_picks() -> None:
    def choose(problem: Problem) -> Plan:
        return plan_of(problem, {})

    with pytest.raises(ValueError, match="chooses or picks"):
        Policy("neither")
    with pytest.raises(ValueError, match="chooses or picks"):
        Policy("both", choose, pick=together)
