"""The order at the saw: the stop is set no more often than the planner's order would have it."""

from dataclasses import replace
from datetime import date
from itertools import pairwise

from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from planner import faults, hand_plan
from planner.values import Cut, Frame, Piece, Plan, Problem, RailCut, Reason, Rules
from stockroom.services.morning.stop_order import in_turn, walk_of

DUE = date(2026, 11, 23)
LENGTHS = (400_000, 500_000, 700_000)


def settings_of(plan: Plan, walk: list[int]) -> int:
    """How often the stop is set, for one profile."""
    rails = [rail.length for piece in walk for cut in sorted(plan.cuts, key=lambda c: c.stretch)
             if int(cut.piece) == piece for rail in cut.rails]  # fmt: skip
    return sum(one != other for one, other in pairwise([0, *rails]))


@st.composite
def shops(draw: st.DrawFn) -> tuple[Problem, dict[int, str]]:
    """A few pieces, some of two batches, at two places, frames alike and others."""
    pieces = tuple(
        Piece(f"{at}", "A", draw(st.sampled_from(["b1", "b2"])), "stick",
              draw(st.sampled_from([1_500_000, 2_400_000, 3_000_000])))
        for at in range(draw(st.integers(1, 5)))
    )  # fmt: skip
    frames = []
    for job in range(draw(st.integers(1, 3))):
        across, upright = draw(st.sampled_from(LENGTHS)), draw(st.sampled_from(LENGTHS))
        one_batch, one_piece = draw(st.booleans()), draw(st.integers(0, 4)) == 0
        many = draw(st.integers(1, 4))
        for number in range(1, many + 1):
            frames.append(Frame(f"J{job}.{number}", "A", (across, upright) * 2, DUE, one_batch,
                                one_piece))  # fmt: skip
    spots = {int(piece.id): draw(st.sampled_from(["A1", "A2"])) for piece in pieces}
    return Problem(Rules(5_000, 10_000, 300_000), pieces, tuple(frames)), spots


@given(shops())
@hypothesis_settings(max_examples=25)
def test_any_plan_in_order_is_as_true_and_sets_the_stop_no_more_often(
    shop: tuple[Problem, dict[int, str]],
) -> None:
    problem, spots = shop
    before = hand_plan(problem)
    walk = walk_of(problem, before, spots)
    after = in_turn(problem, before, walk)
    assert faults(problem, after) == ()
    by_number = sorted(walk, key=lambda piece: (spots[piece], piece))
    assert [spots[piece] for piece in walk] == [spots[piece] for piece in by_number]
    assert settings_of(after, walk) <= settings_of(before, by_number)
    assert after.reached == before.reached
    for one, other in zip(before.cuts, after.cuts, strict=True):
        assert replace(one, rails=()) == replace(other, rails=())
        assert [r.length for r in one.rails] == [r.length for r in other.rails]
    assert in_turn(problem, after, walk) == after


def test_pieces_of_one_place_are_cut_where_the_stop_stands() -> None:
    frame = Frame("J1", "A", (700_000, 400_000) * 2, DUE)
    pieces = tuple(Piece(f"{at}", "A", "b", "stick", 3_000_000) for at in (1, 2, 3, 4))
    laid = {1: (0,), 2: (1,), 3: (2, 3), 4: ()}
    cuts = tuple(
        Cut(
            f"{piece}", 0, tuple(RailCut("J1", rail, frame.rails[rail]) for rail in rails), 0, False
        )
        for piece, rails in laid.items()
    )
    problem = Problem(Rules(0, 0, 300_000), pieces, (frame,))
    plan = replace(hand_plan(problem), cuts=cuts)
    assert walk_of(problem, plan, dict.fromkeys(laid, "A1")) == [1, 3, 2]
    assert walk_of(problem, plan, {1: "A1", 2: "A2", 3: "A3", 4: ""}) == [1, 2, 3]


def test_frames_alike_get_their_rails_one_after_the_other_and_sticks_say_for_whom() -> None:
    frames = tuple(Frame(f"J1.{number}", "A", (400_000, 300_000) * 2, DUE) for number in (1, 2))
    pieces = tuple(Piece(f"{at}", "A", "b", "stick", 1_500_000) for at in (1, 2))
    mixed = [("J1.2", 0), ("J1.1", 2), ("J1.1", 1)], [
        ("J1.2", 2), ("J1.1", 0), ("J1.2", 1), ("J1.1", 3), ("J1.2", 3)]  # fmt: skip
    cuts = tuple(
        Cut(piece.id, 0, tuple(RailCut(name, rail, frames[0].rails[rail]) for name, rail in own),
            0, False)
        for piece, own in zip(pieces, mixed, strict=True)
    )  # fmt: skip
    problem = Problem(Rules(0, 0, 300_000), pieces, frames)
    plan = hand_plan(problem)
    why = Reason("opened_no_way_found", {"frames": ("J1.2",)})
    plan = Plan(cuts, (), plan.reached, plan.bounds, plan.proof, 0.0, {"1": why})
    done = in_turn(problem, plan, [1, 2])
    first = [rail.frame for rail in done.cuts[0].rails]
    assert first == ["J1.1", "J1.1", "J1.1"]
    assert done.why_opened["1"].about["frames"] == ("J1.1",)
