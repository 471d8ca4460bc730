"""Frames of one batch each, cut where the batches then are worth the most."""

from dataclasses import replace
from datetime import date
from functools import cache

from planner.judge import faults
from planner.values import Frame, Piece, Plan, Problem, Rules
from stockroom.replay import Policy, Run, figures, invented_shop, least_bought, orders_of, replay
from stockroom.replay.policies import batch_worth, learned
from stockroom.worth.by_batch import BatchWorth
from stockroom.worth.by_waiting import learn_waiting
from stockroom.worth.choose_batch import given_up, splits_of

RULES = Rules(cut_allowance=5_000, end_trim=0, keep=300_000)
SMALL, LARGE = (300_000,) * 4, (500_000,) * 4
DAYS = 45
(DEMAND,) = [d for d in invented_shop(7, 6) if d.kind == "middling, matched"]


@cache
def worth() -> BatchWorth:
    """Half of all frames take 2.02 m, half 1.22 m, by a long history."""
    return BatchWorth([LARGE, SMALL] * 600, RULES, 3_000_000)


def offcut(name: str, batch: str, length: int) -> Piece:
    """An offcut, its length in mm."""
    return Piece(name, "A", batch, "offcut", length * 1000)


def frame(name: str, rails: tuple[int, ...], due: date = date(2026, 1, 1)) -> Frame:
    """A frame that comes from one batch."""
    return Frame(name, "A", rails, due, one_batch=True)


def planned(pieces: list[Piece], frames: list[Frame], due: set[str]) -> Plan:
    """What batch worth cuts, without a fault."""
    problem = Problem(RULES, tuple(pieces), tuple(frames))
    plan = batch_worth({"A": worth()})(problem, due)
    assert faults(problem, plan) == ()
    return plan


STICKS = [Piece(f"S{n}", "A", "new", "stick", 3_000_000) for n in range(3)]


def test_a_frame_ends_an_old_batch_that_it_fits_and_leaves_one_that_a_larger_one_fits() -> None:
    fits = [offcut("1", "old", 610), offcut("2", "old", 610)]
    larger = [offcut("3", "other", 1_010), offcut("4", "other", 1_010)]
    plan = planned([*STICKS, *larger, *fits], [frame("F", SMALL)], {"F"})
    assert {cut.piece for cut in plan.cuts} == {"1", "2"}
    # With only the larger pair there, it stays whole for the frame that takes all of it.
    plan = planned([*STICKS, *larger], [frame("F", SMALL)], {"F"})
    assert {cut.piece for cut in plan.cuts} <= {"S0", "S1", "S2"}


def test_a_frame_not_due_is_cut_only_where_it_ends_a_batch() -> None:
    later = frame("L", LARGE, date(2026, 1, 9))
    pair = [offcut("1", "old", 1_010), offcut("2", "old", 1_010)]
    due = frame("F", SMALL)
    plan = planned([*STICKS, *pair], [due, later], {"F"})
    assert [short.frame for short in plan.short] == []
    assert {cut.piece for cut in plan.cuts if cut.rails[0].frame == "L"} == {"1", "2"}
    plan = planned(STICKS, [due, later], {"F"})
    assert [short.frame for short in plan.short] == ["L"]


def test_a_frame_that_no_batch_yields_whole_is_left_out() -> None:
    apart = [offcut(f"{n}", f"b{n}", 610) for n in range(4)]
    plan = planned(apart, [frame("F", SMALL)], {"F"})
    assert not plan.cuts
    assert plan.short[0].frame == "F"
    named = replace(frame("F", SMALL), batch="other")
    assert not planned(STICKS, [named], {"F"}).cuts


def test_orphans_are_given_up_and_mates_are_not() -> None:
    alone = [offcut("1", "a", 900)]
    three = [offcut(f"3{n}", "b", 400) for n in range(3)]
    four = [offcut(f"4{n}", "c", 350) for n in range(4)]
    over = [offcut("50", "d", 610), offcut("51", "d", 610), offcut("52", "d", 320)]
    gone = given_up([*alone, *three, *four, *over], worth(), 10_000)
    assert gone == {"1", "30", "31", "32", "52"}
    # Beside sticks of its batch an orphan has mates again.
    sticks = [replace(stick, batch="a") for stick in STICKS]
    assert not given_up([*alone, *sticks], worth(), 10_000)


def test_two_pairs_of_rails_split_in_nine_ways() -> None:
    assert len(splits_of((2, 2))) == 9
    assert splits_of((1,)) == (((1,),),)
    assert all(tuple(map(sum, zip(*split, strict=True))) == (2, 2) for split in splits_of((2, 2)))


@cache
def run_of(name: str, seed: int = 1) -> Run:
    """A run by batch worth, or by the worth of single leftovers."""
    history = [order.frame.rails for order in orders_of(DEMAND, 1000 + seed, 730)]
    own = BatchWorth(history, DEMAND.rules, DEMAND.sticks[1])
    curves = {DEMAND.profile: learn_waiting(history, DEMAND.rules, DEMAND.sticks[1]).points}
    policies = {
        "single": Policy("single", learned(curves)),
        "batch": Policy("batch", pick=batch_worth({DEMAND.profile: own}, curves), ahead=10,
                        clear=lambda pieces: given_up(pieces, own, 10_000)),
    }  # fmt: skip
    return replay(DEMAND, orders_of(DEMAND, seed, DAYS), policies[name], seed, DAYS)


def test_no_length_is_lost_and_the_bound_stays_below() -> None:
    run = run_of("batch")
    opened = sum(day.opened for day in run.days)
    gone = sum(day.rails + day.saw + day.scrap for day in run.days)
    assert opened == gone + sum(run.days[-1].offcuts)
    cut = [order.frame for order in orders_of(DEMAND, 1, DAYS) if order.due < DAYS]
    found = figures(run, 0, DAYS)
    assert found.frames >= len(cut)
    assert 0 < least_bought(cut, DEMAND.rules, DEMAND.sticks) <= found.bought


def test_the_rack_stays_smaller_than_by_the_worth_of_single_leftovers() -> None:
    batch, single = (figures(run_of(name), 0, DAYS) for name in ("batch", "single"))
    assert batch.offcuts < single.offcuts


def test_the_same_seed_gives_the_same_run() -> None:
    first = run_of("batch")
    run_of.cache_clear()
    again = run_of("batch")

    def facts(run: Run) -> list[tuple[int, int, tuple[int, ...]]]:
        return [(day.opened, day.rails, day.offcuts) for day in run.days]

    assert facts(first) == facts(again)
    assert any(day.opened for day in first.days)
