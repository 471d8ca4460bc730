"""The judge catches each kind of fault in a plan that has just that fault."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

import planner.door
from planner import PlannerBug, faults, plan
from planner.values import Cut, Frame, Piece, Plan, Problem, RailCut, Rules, Score, Short
from tests.planner.rack import MM, day, frame, offcut, stick

PROBLEM: Problem = day(
    [
        offcut("O1", 1300, flaws=((600 * MM, 650 * MM),)),
        offcut("O2", 700, batch="b2"),
        stick("S1", 2700),
        Piece("X1", "B", "b1", "offcut", 900 * MM),
    ],
    [
        frame("F1", 500, 400, 500, 400, one_batch=True),
        frame("F2", 600, pin="O1"),
        frame("F3", 400, 300, one_piece=True),
        frame("F4", 650, batch="b2"),
        frame("F5", 2500),
    ],
)
GOOD = plan(PROBLEM)


def cut(plan: Plan, piece: str, stretch: int = 0) -> Cut:
    return next(c for c in plan.cuts if (c.piece, c.stretch) == (piece, stretch))


def with_cut(name: str, number: int = 0, **change: Any) -> Plan:
    """The good plan with one cut changed."""
    old = cut(GOOD, name, number)
    new = replace(old, **change)
    return replace(GOOD, cuts=tuple(new if c == old else c for c in GOOD.cuts))


def with_rail(index: int, **change: Any) -> Plan:
    """The good plan with one rail of the stick changed."""
    rails = list(cut(GOOD, "S1").rails)
    rails[index] = replace(rails[index], **change)
    return with_cut("S1", rails=tuple(rails))


def without(piece: str) -> tuple[Cut, ...]:
    return tuple(c for c in GOOD.cuts if c.piece != piece)


def scored(**change: int) -> Plan:
    return replace(GOOD, reached=replace(GOOD.reached, **change), proof="feasible")


def bounded(**change: int) -> Plan:
    return replace(GOOD, bounds=replace(GOOD.bounds, **change), proof="feasible")


def test_the_good_plan_is_faultless_and_uses_every_kind_of_piece() -> None:
    assert faults(PROBLEM, GOOD) == ()
    assert {c.piece for c in GOOD.cuts} == {"O1", "O2", "S1"}
    assert [s.frame for s in GOOD.short] == ["F5"]


MUTATIONS: list[tuple[str, Callable[[], Plan]]] = [
    ("is not on the rack", lambda: with_cut("S1", piece="S9")),
    ("stretches [0] are listed", lambda: replace(GOOD, cuts=tuple(
        c for c in GOOD.cuts if (c.piece, c.stretch) != ("O1", 1)
    ))),
    ("stretches [0, 0] are listed", lambda: replace(GOOD, cuts=(*GOOD.cuts, cut(GOOD, "S1")))),
    ("stretches [7] are listed", lambda: with_cut("O2", stretch=7)),
    ("nothing is cut from it", lambda: replace(GOOD, cuts=(
        *GOOD.cuts, Cut("X1", 0, (), 900 * MM, True)))),
    ("leftover said to be", lambda: with_cut("O2", leftover=cut(GOOD, "O2").leftover - 1)),
    ("kept is", lambda: with_cut("O2", kept=not cut(GOOD, "O2").kept)),
    ("not longest first", lambda: with_cut("S1", rails=cut(GOOD, "S1").rails[::-1])),
    ("has no rail 9", lambda: with_rail(0, rail=9)),
    ("is not in the problem", lambda: with_rail(0, frame="F9")),
    ("is cut 499999 um, not", lambda: with_rail(0, length=499_999)),
    ("is cut 2 times", lambda: with_cut("S1", rails=(
        *cut(GOOD, "S1").rails, cut(GOOD, "S1").rails[-1]))),
    ("a frame is cut whole or not", lambda: with_cut("S1", rails=cut(GOOD, "S1").rails[:-1])),
    ("cut, and said to be short", lambda: replace(GOOD, short=(*GOOD.short, Short("F1", "?")))),
    ("neither cut nor said to be short", lambda: replace(GOOD, short=())),
    ("said to be short, but not in", lambda: replace(GOOD, short=(
        *GOOD.short, Short("F9", "?")))),
    ("said to be short 2 times", lambda: replace(GOOD, short=GOOD.short * 2)),
    ("short without a reason", lambda: replace(GOOD, short=(Short("F5", " "),))),
    ("frames cut: said", lambda: scored(frames_cut=3)),
    ("stick length opened: said", lambda: scored(stick_opened=2_700_001)),
    ("worth: said", lambda: scored(worth=GOOD.reached.worth - 1)),
    ("said to be optimal", lambda: replace(bounded(worth=GOOD.bounds.worth + 1), proof="optimal")),
    ("over the bound", lambda: bounded(frames_cut=GOOD.reached.frames_cut - 1)),
    ("under the bound", lambda: bounded(stick_opened=GOOD.reached.stick_opened + 1)),
    ("over the bound", lambda: bounded(worth=GOOD.reached.worth - 1)),
    ("with 5 frames asked", lambda: bounded(frames_cut=6)),
    ("neither 'optimal' nor 'feasible'", lambda: replace(GOOD, proof="sure")),  # type: ignore[arg-type]
    ("opening it is missing", lambda: replace(GOOD, why_opened={})),
    ("opening it is idle", lambda: replace(GOOD, why_opened={**GOOD.why_opened, "O1": "?"})),
]  # fmt: skip


@pytest.mark.parametrize(("words", "mutate"), MUTATIONS, ids=[w for w, _ in MUTATIONS])
def test_a_changed_plan_is_caught(words: str, mutate: Callable[[], Plan]) -> None:
    assert any(words in fault for fault in faults(PROBLEM, mutate()))


def one_frame(asked: Frame, cuts: tuple[Cut, ...], pieces: list[Piece]) -> tuple[str, ...]:
    """The faults of cuts that are right in all but what ties this frame together."""
    problem = day(pieces, [asked], rules=Rules(0, 0, 10**9))
    sticks = {c.piece: "for F1" for c in cuts if c.piece.startswith("S")}
    opened = sum(p.length for p in pieces if p.id in sticks)
    score = Score(1, opened, 0)
    return faults(problem, Plan(cuts, (), score, score, "optimal", 0.0, sticks))


def rails(piece: str, *numbers: int, left: int = 0) -> Cut:
    return Cut(piece, 0, tuple(RailCut("F1", n, 500 * MM) for n in numbers), left * MM, False)


@pytest.mark.parametrize(
    ("words", "asked", "cuts"),
    [
        ("one batch asked", {"one_batch": True}, (rails("O1", 0), rails("O2", 1))),
        ("one piece asked", {"one_piece": True}, (rails("O1", 0), rails("O3", 1))),
        ("pinned to O1", {"pin": "O1"}, (rails("O1", 0), rails("O3", 1))),
        ("batch b2 asked", {"batch": "b2"}, (rails("O1", 0), rails("O2", 1))),
        ("A, cut from B X1", {}, (rails("O1", 0), rails("X1", 1))),
    ],
)
def test_a_broken_tie_is_caught_and_is_the_only_fault(
    words: str, asked: dict[str, Any], cuts: tuple[Cut, ...]
) -> None:
    rack = [offcut("O1", 500), offcut("O2", 500, batch="b2"), offcut("O3", 500)]
    found = one_frame(
        frame("F1", 500, 500, **asked), cuts, [*rack, Piece("X1", "B", "b1", "offcut", 500 * MM)]
    )
    assert len(found) == 1
    assert words in found[0]


def test_a_rail_across_a_flaw_or_past_the_end_overruns() -> None:
    cuts = (rails("O1", 0, 1),)
    assert "overruns it by 1000 um" in one_frame(
        frame("F1", 500, 500), cuts, [offcut("O1", 999)]
    )[0]  # fmt: skip
    flawed = offcut("O1", 1200, flaws=((900 * MM, 910 * MM),))
    assert "overruns it by 100000 um" in one_frame(frame("F1", 500, 500), cuts, [flawed])[-1]


def test_pairs_that_differ_are_caught_whatever_the_problem_says() -> None:
    asked = frame("F1", 500, 400, 500, 400)
    cuts = (
        Cut("S1", 0, tuple(
            RailCut("F1", n, length * MM) for n, length in ((0, 501), (2, 500), (1, 400), (3, 400))
        ), 0, False),
    )  # fmt: skip
    found = one_frame(asked, cuts, [stick("S1", 1801)])
    assert any("opposite rails 0 and 2 differ" in fault for fault in found)


def test_an_answer_with_a_fault_never_leaves_the_planner(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(planner.door, "faults", lambda problem, plan: ("a fault",))
    with pytest.raises(PlannerBug, match="a fault"):
        plan(PROBLEM)
