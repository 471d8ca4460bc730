"""The judge catches each kind of fault, in plans that have just that fault, and names it alone."""

import ast
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import planner.judge
import planner.solve
from planner import PlannerBug, faults, plan
from planner.score import score_of
from planner.values import Cut, Frame, Piece, Plan, Problem, RailCut, Reason, Rules, Short
from tests.planner.rack import MM, day, frame, offcut, stick

Case = tuple[Problem, Plan]

PROBLEM: Problem = day(
    [
        offcut("O1", 1300, flaws=((600 * MM, 650 * MM),)),
        offcut("O2", 700, batch="b2"),
        offcut("O3", 900, batch="b3"),
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
WHY = Reason("told", {"words": "?"})


def told(problem: Problem, cuts: tuple[Cut, ...], short: tuple[Short, ...] = ()) -> Plan:
    """These cuts as a plan that is honest about what they reach."""
    sticks = {p.id for p in problem.pieces if p.kind == "stick"}
    on_rack = {p.id for p in problem.pieces}
    reached = score_of(problem, tuple(c for c in cuts if c.piece in on_rack and c.stretch < 7))
    why = {c.piece: WHY for c in cuts if c.piece in sticks}
    return Plan(cuts, short, reached, reached, "optimal", 0.0, why)


def changed(*cuts: Cut, without: str = "") -> Case:
    """The good plan with these cuts instead of or beside its own, honest in all else."""
    others = (c for c in GOOD.cuts if c.piece != without)
    new = told(PROBLEM, (*others, *cuts), GOOD.short)
    return PROBLEM, replace(new, why_pinned=GOOD.why_pinned)


def cut(piece: str, stretch: int = 0) -> Cut:
    return next(c for c in GOOD.cuts if (c.piece, c.stretch) == (piece, stretch))


def scored(**change: Any) -> Case:
    """The good plan saying other than what it reaches."""
    reached = replace(GOOD.reached, **change)
    return PROBLEM, replace(GOOD, reached=reached, proof="feasible")


def bounded(proof: Any = "feasible", **change: Any) -> Case:
    return PROBLEM, replace(GOOD, bounds=replace(GOOD.bounds, **change), proof=proof)


def says(**change: Any) -> Case:
    return PROBLEM, replace(GOOD, **change)


def one_frame(asked: Frame, *cuts: Cut, rack: list[Piece] | None = None) -> Case:
    """One frame and its cuts, from pieces of 500 mm or others; no allowance, trims or keeping."""
    halves = [offcut("O1", 500), offcut("O2", 500, batch="b2"), offcut("O3", 500)]
    pieces = rack or [*halves, Piece("X1", "B", "b1", "offcut", 500 * MM)]
    problem = day(pieces, [asked], rules=Rules(0, 0, 10**9))
    return problem, told(problem, cuts)


def rails(piece: str, *numbers: int, left: int = 0, length: int = 500) -> Cut:
    made = tuple(RailCut("F1", n, length * MM) for n in numbers)
    return Cut(piece, 0, made, left * MM, False)


def tied(*cuts: Cut, **tie: Any) -> Case:
    return one_frame(frame("F1", 500, 500, **tie), *cuts)


def flawed(*stretches: int) -> Case:
    """A piece in two stretches, with these of them in the plan."""
    asked, piece = frame("F1", 500), offcut("O1", 1100, flaws=((500 * MM, 510 * MM),))
    both = {0: rails("O1", 0), 1: Cut("O1", 1, (), 590 * MM, False), 7: Cut("O1", 7, (), 0, False)}
    return one_frame(asked, *(both[n] for n in stretches), rack=[piece])


def flawed_twice() -> Case:
    """A stretch that is in the plan twice, once without anything cut from it."""
    asked, piece = frame("F1", 500), offcut("O1", 1100, flaws=((500 * MM, 510 * MM),))
    again, other = Cut("O1", 0, (), 500 * MM, False), Cut("O1", 1, (), 590 * MM, False)
    return one_frame(asked, rails("O1", 0), again, other, rack=[piece])


def odd_pairs() -> Case:
    """A frame whose pairs differ, as no frame can be made, cut as it asks."""
    asked = frame("F1", 500, 400, 500, 400)
    object.__setattr__(asked, "rails", (501 * MM, 400 * MM, 500 * MM, 400 * MM))
    lengths = enumerate(asked.rails)
    made = tuple(RailCut("F1", n, r) for n, r in sorted(lengths, key=lambda rail: -rail[1]))
    return one_frame(asked, Cut("O1", 0, made, 0, False), rack=[offcut("O1", 1801)])


def linked(*cuts: Cut, left: tuple[str, ...] = ()) -> Case:
    """Two frames of one rail each that are to match, and their cuts."""
    asked = [frame(name, 500, one_batch=True, link="L") for name in ("F1", "F2")]
    pieces = [offcut("O1", 500), offcut("O2", 500, batch="b2"), offcut("O3", 500)]
    problem = day(pieces, asked, rules=Rules(0, 0, 10**9))
    return problem, told(problem, cuts, tuple(Short(name, WHY) for name in left))


def second(piece: str) -> Cut:
    return Cut(piece, 0, (RailCut("F2", 0, 500 * MM),), 0, False)


MUTATIONS: list[tuple[str, Callable[[], Case]]] = [
    ("is not on the rack", lambda: changed(Cut("S9", 0, (), 0, False))),
    ("stretches [0] are listed; it has [0, 1]", lambda: flawed(0)),
    ("stretches [0, 0, 1] are listed", flawed_twice),
    ("stretches [0, 1, 7] are listed", lambda: flawed(0, 1, 7)),
    ("nothing is cut from it", lambda: changed(Cut("O3", 0, (), 900 * MM, True))),
    ("rail 2 of 2 overruns it by 1000 um", lambda: one_frame(
        frame("F1", 500, 500), rails("O1", 0, 1), rack=[offcut("O1", 999)])),
    ("rail 2 of 2 overruns it by 100000 um", lambda: one_frame(
        frame("F1", 500, 500), rails("O1", 0, 1), Cut("O1", 1, (), 290 * MM, False),
        rack=[offcut("O1", 1200, flaws=((900 * MM, 910 * MM),))])),
    ("leftover said to be", lambda: changed(
        replace(cut("O2"), leftover=cut("O2").leftover - 1), without="O2")),
    ("kept is True", lambda: changed(replace(cut("O2"), kept=True), without="O2")),
    ("rails are not longest first", lambda: changed(
        replace(cut("S1"), rails=cut("S1").rails[::-1]), without="S1")),
    ("frame F9 is not in the problem", lambda: changed(
        Cut("O3", 0, (RailCut("F9", 0, 600 * MM),), 295 * MM, False))),
    ("has no rail 9", lambda: tied(rails("O1", 0), rails("O2", 1), rails("O3", 9))),
    ("is cut 499999 um, not 500000", lambda: one_frame(
        frame("F1", 500), replace(rails("O1"), rails=(RailCut("F1", 0, 499_999),), leftover=1))),
    ("rail 0 is cut 2 times", lambda: tied(rails("O1", 0), rails("O2", 1), rails("O3", 0))),
    ("rails [1] are not cut; a frame is cut whole or not", lambda: tied(rails("O1", 0))),
    ("cut, and said to be short", lambda: says(short=(*GOOD.short, Short("F1", WHY)))),
    ("neither cut nor said to be short", lambda: says(short=())),
    ("opposite rails 0 and 2 differ", odd_pairs),
    ("said to be short, but not in", lambda: says(short=(*GOOD.short, Short("F9", WHY)))),
    ("said to be short 2 times", lambda: says(short=GOOD.short * 2)),
    ("short without a reason", lambda: says(short=(Short("F5", Reason("")),))),
    ("one batch asked, cut from", lambda: tied(rails("O1", 0), rails("O2", 1), one_batch=True)),
    ("one piece asked, cut from", lambda: tied(rails("O1", 0), rails("O3", 1), one_piece=True)),
    ("pinned to O1, cut from", lambda: tied(rails("O1", 0), rails("O3", 1), pin="O1")),
    ("batch b2 asked, cut from", lambda: tied(rails("O1", 0), rails("O2", 1), batch="b2")),
    ("A, cut from B X1", lambda: tied(rails("O1", 0), rails("X1", 1))),
    ("O2, kept for 'seconds'; it takes ('',)", lambda: one_frame(
        frame("F1", 500), rails("O2", 0), rack=[offcut("O2", 500, kept_for="seconds")])),
    ("rail of 500000 um, the piece gives rails up to 400000", lambda: one_frame(
        frame("F1", 500), rails("O1", 0), rack=[offcut("O1", 500, longest=400 * MM)])),
    ("['F1'] are cut, ['F2'] are not", lambda: linked(rails("O1", 0), left=("F2",))),
    ("one batch asked for ['F1', 'F2'], cut from ['b1', 'b2']", lambda: linked(
        rails("O1", 0), second("O2"))),
    ("link L: the cost of matching is told", lambda: says(why_matched={"L": WHY})),
    ("frames cut: said to be", lambda: scored(frames_cut=3)),
    ("stick length opened: said to be", lambda: scored(stick_opened=2_700_001)),
    ("worth: said to be", lambda: scored(worth=GOOD.reached.worth - 1)),
    ("said to be optimal", lambda: bounded("optimal", worth=GOOD.bounds.worth + 1)),
    ("frames cut: 4 reached, over the bound 3", lambda: bounded(frames_cut=3)),
    ("2700000, under the bound 2700001", lambda: bounded(stick_opened=2_700_001)),
    ("reached, over the bound", lambda: bounded(worth=GOOD.reached.worth - 1)),
    ("frames cut: bound 6, with 5 frames asked", lambda: bounded(frames_cut=6)),
    ("neither 'optimal' nor 'feasible'", lambda: says(proof="sure")),
    ("a reason for opening it is missing", lambda: says(why_opened={})),
    ("a reason for opening it is idle", lambda: says(
        why_opened={**GOOD.why_opened, "O1": WHY})),
    ("the cost of a pin is told", lambda: says(why_pinned={"F1": WHY})),
]  # fmt: skip


def kinds() -> list[re.Pattern[str]]:
    """Every sentence that the judge can say, as a pattern: read from its own source."""
    tree = ast.parse(Path(planner.judge.__file__).read_text(encoding="utf-8"))
    told = [n.value for n in ast.walk(tree) if isinstance(n, ast.Yield)]
    told += [n.elt for n in ast.walk(tree) if isinstance(n, ast.ListComp)]
    return [re.compile(pattern_of(said)) for said in told if isinstance(said, ast.JoinedStr)]


def pattern_of(said: ast.JoinedStr) -> str:
    """The words of a sentence as they stand, anything where a value is put in."""
    parts = (re.escape(str(p.value)) if isinstance(p, ast.Constant) else ".+" for p in said.values)
    return "".join(parts)


def kind_of(fault: str) -> set[str]:
    """The kinds of fault that a sentence can be, the most telling alone."""
    fits = [kind.pattern for kind in kinds() if kind.fullmatch(fault)]
    most = max((len(pattern) for pattern in fits), default=0)
    return {pattern for pattern in fits if len(pattern) == most}


def test_the_good_plan_is_faultless_and_uses_every_kind_of_piece() -> None:
    assert faults(PROBLEM, GOOD) == ()
    assert {c.piece for c in GOOD.cuts} == {"O1", "O2", "S1"}
    assert [s.frame for s in GOOD.short] == ["F5"]


@pytest.mark.parametrize(("words", "mutate"), MUTATIONS, ids=[w for w, _ in MUTATIONS])
def test_a_plan_with_one_fault_is_caught_and_only_that_fault_is_named(
    words: str, mutate: Callable[[], Case]
) -> None:
    problem, wrong = mutate()
    (fault,) = faults(problem, wrong)
    assert words in fault
    assert len(kind_of(fault)) == 1


def test_no_sentence_of_the_judge_is_without_a_plan_that_has_its_fault() -> None:
    caught = {kind for _, mutate in MUTATIONS for f in faults(*mutate()) for kind in kind_of(f)}
    assert {kind.pattern for kind in kinds()} == caught
    assert len(caught) > 30


def test_the_judge_shares_no_code_with_what_makes_plans() -> None:
    base = Path(planner.judge.__file__).parent
    seen, waiting = set(), ["judge"]
    while waiting:
        name = waiting.pop()
        seen.add(name)
        tree = ast.parse((base / f"{name}.py").read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            names += [n.name for n in node.names] if isinstance(node, ast.Import) else []
            ours = [n.removeprefix("planner.") for n in names if n.startswith("planner")]
            waiting += [n for n in ours if n not in seen]
    # The values of the contract, and what the contract says that a leftover is worth.
    assert seen == {"judge", "values", "worth"}


def test_an_answer_with_a_fault_never_leaves_the_planner(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(planner.solve, "faults", lambda problem, plan: ("a fault",))
    with pytest.raises(PlannerBug, match="a fault"):
        plan(PROBLEM)
