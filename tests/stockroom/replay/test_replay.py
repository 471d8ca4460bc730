"""A short replay keeps its invariants: length conserved, the bound below, one seed one result."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import pytest

from planner.heuristics.best_fit import hand_plan
from planner.values import Cut, Frame, Piece, Plan, Problem, RailCut, Rules, Score
from stockroom.replay import (
    POLICIES,
    Policy,
    ReplayFault,
    Run,
    ShopDemand,
    figures,
    invented_shop,
    least_bought,
    orders_of,
    pooled,
    replay,
)
from stockroom.replay.policies import learned, plan_of
from stockroom.replay.simulation import committed

DAYS = 60
SHOP = {demand.kind: demand for demand in invented_shop(7, 6)}
KINDS = ("middling, free", "middling, matched")


def run_of(policy: Policy, kind: str, seed: int = 1) -> Run:
    """A short run of one kind of profile."""
    demand = SHOP[kind]
    return replay(demand, orders_of(demand, seed, DAYS), policy, seed, DAYS)


@cache
def bound_of(kind: str) -> tuple[int, int]:
    """How many frames a short run must cut, and the least that they can take."""
    demand = SHOP[kind]
    cut = [o.frame for o in orders_of(demand, 1, DAYS) if o.due < DAYS]
    return len(cut), least_bought(cut, demand.rules, demand.sticks)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("policy", POLICIES, ids=lambda policy: policy.name)
def test_every_micrometre_opened_is_in_rails_saw_loss_scrap_or_on_the_rack(
    policy: Policy, kind: str
) -> None:
    days = run_of(policy, kind).days
    opened = sum(day.opened for day in days)
    assert opened > 0
    gone = sum(day.rails + day.saw + day.scrap for day in days)
    assert opened == gone + sum(days[-1].offcuts)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("policy", POLICIES, ids=lambda policy: policy.name)
def test_no_policy_buys_less_than_the_clairvoyant_bound(policy: Policy, kind: str) -> None:
    found = figures(run_of(policy, kind), 0, DAYS)
    frames, bound = bound_of(kind)
    assert found.frames >= frames
    assert 0 < bound <= found.bought


def test_the_same_seed_gives_the_same_run_and_another_seed_another() -> None:
    policy = Policy("picked by eye", hand_plan)
    first, again, other = (run_of(policy, KINDS[0], seed) for seed in (1, 1, 2))

    def facts(run: Run) -> list[tuple[int, int, tuple[int, ...]]]:
        return [(day.opened, day.rails, day.offcuts) for day in run.days]

    assert facts(first) == facts(again)
    assert facts(first) != facts(other)


def test_frames_are_cut_by_their_due_date_and_never_twice() -> None:
    run, demand = run_of(Policy("by hand, 5 days ahead", hand_plan, 5), KINDS[0]), SHOP[KINDS[0]]
    orders = orders_of(demand, 1, DAYS)
    done = sum(day.frames for day in run.days)
    assert sum(o.due < DAYS for o in orders) <= done <= sum(o.due < DAYS + 5 for o in orders)


def test_the_bound_of_rails_that_fill_sticks_exactly_is_their_length() -> None:
    rules = Rules(cut_allowance=0, end_trim=0, keep=300_000)
    frames = [Frame(f"F{n}", "A", (500_000,) * 4) for n in range(3)]
    assert least_bought(frames, rules, (2_000_000, 2_000_000)) <= 6_000_000
    assert least_bought(frames, rules, (2_000_000, 2_000_000)) > 5_980_000


def test_the_bound_of_rails_too_long_for_two_in_a_stick_is_a_stick_each() -> None:
    rules = Rules(cut_allowance=5_000, end_trim=10_000, keep=300_000)
    frames = [Frame("F1", "A", (1_600_000,) * 4)]
    found = least_bought(frames, rules, (3_000_000, 3_000_000))
    assert found == pytest.approx(4 * 2_980_000, rel=1e-5)


def test_nothing_asked_needs_nothing_bought() -> None:
    assert least_bought([], Rules(0, 0, 0), (1_000_000, 2_000_000)) == 0


def test_a_later_frame_is_cut_only_where_it_shares_a_piece_with_one_due() -> None:
    def cut(piece: str, *frames: str) -> Cut:
        return Cut(piece, 0, tuple(RailCut(f, i, 100) for i, f in enumerate(frames)), 0, False)

    score = Score(3, 0, 0)
    cuts = (cut("1", "due", "near"), cut("2", "near"), cut("3", "far"))
    plan = Plan(cuts, (), score, score, "feasible", 0.0)
    assert [c.piece for c in committed(plan, {"due"})] == ["1", "2"]


def test_a_policy_whose_plan_has_a_fault_is_found_out() -> None:
    def wrong(problem: Problem) -> Plan:
        return replace(hand_plan(problem), cuts=())

    with pytest.raises(ReplayFault, match="day"):
        run_of(Policy("wrong", wrong), KINDS[0])


def test_a_policy_that_never_cuts_is_found_out() -> None:
    def idle(problem: Problem) -> Plan:
        return plan_of(problem, {})

    with pytest.raises(ReplayFault, match="stay without"):
        run_of(Policy("idle", idle), KINDS[0])


def test_a_learned_curve_changes_what_is_cut() -> None:
    # A shop for which every leftover is worth nothing opens no more sticks than one that hoards.
    nothing = learned({SHOP[KINDS[0]].profile: ((1, 0),)})
    greedy = run_of(Policy("nothing is worth keeping", nothing), KINDS[0])
    other = run_of(POLICIES[0], KINDS[0])
    assert figures(greedy, 0, DAYS).bought < figures(other, 0, DAYS).bought


def test_figures_are_per_cent_above_what_the_rails_need() -> None:
    found = figures(run_of(POLICIES[1], KINDS[0]), 0, DAYS)
    assert found.gross == pytest.approx(100 * (found.bought - found.needed) / found.needed)
    assert found.net == pytest.approx(found.gross - 100 * found.grown / found.needed)
    both = pooled([found, found])
    assert (both.bought, both.offcuts) == (2 * found.bought, found.offcuts)


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="days ahead"):
        Policy("x", hand_plan, -1)
    with pytest.raises(ValueError, match="must be positive"):
        ShopDemand("A", "x", 0.0, Rules(0, 0, 0))
    with pytest.raises(ValueError, match="fits no stick"):
        ShopDemand("A", "x", 1.0, Rules(0, 0, 0), sides=(1, 9_000_000))
    with pytest.raises(ValueError, match="at least 1"):
        invented_shop(1, 0)
    with pytest.raises(ValueError, match="within a run"):
        figures(run_of(POLICIES[0], KINDS[0]), 0, DAYS + 1)


def test_what_a_policy_clears_out_is_scrap_and_only_offcuts_may_go() -> None:
    def offcuts(pieces: Sequence[Piece]) -> frozenset[str]:
        return frozenset(piece.id for piece in pieces if piece.kind == "offcut")

    def everything(pieces: Sequence[Piece]) -> frozenset[str]:
        return frozenset(piece.id for piece in pieces)

    days = run_of(Policy("clears", hand_plan, clear=offcuts), KINDS[0]).days
    assert not any(day.offcuts for day in days)
    assert sum(d.opened for d in days) == sum(d.rails + d.saw + d.scrap for d in days)
    kept = figures(run_of(POLICIES[1], KINDS[0]), 0, DAYS)
    assert sum(day.scrap - day.trims for day in days) > kept.scrap
    with pytest.raises(ReplayFault, match="threw out stick"):
        run_of(Policy("clears sticks", hand_plan, clear=everything), KINDS[0])
