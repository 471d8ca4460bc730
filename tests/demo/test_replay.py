"""The replay's table and picture say what the runs say."""

from dataclasses import replace

import pytest

from demo.replay import (
    BATCHED,
    COLUMNS,
    YEAR,
    Tried,
    cells,
    over_the_year,
    own_policies,
    picture,
    table,
    try_all,
)
from demo.replay_picture import Chart, charts, ticks
from stockroom.paper.drawing import Area, Words
from stockroom.replay import POLICIES, invented_shop

SLOW = invented_shop(3, 3)[2]


@pytest.fixture(scope="module")
def slow_tried() -> list[Tried]:
    """A slow profile replayed under a few policies."""
    return try_all(SLOW, 1, 2 * YEAR, POLICIES[:2])


def test_a_line_for_each_policy_by_kind_and_over_all(slow_tried: list[Tried]) -> None:
    lines = table(slow_tried)
    own = [policy.name for policy in own_policies(SLOW, 1)]
    names = [POLICIES[0].name, POLICIES[1].name, *own, BATCHED]
    assert [(line.kind, line.policy) for line in lines] == [
        (kind, name) for kind in (SLOW.kind, "all") for name in names
    ]
    assert all(len(cells(line)) == len(COLUMNS) for line in lines)


def test_the_worth_of_batches_is_tried_where_frames_are_matched_and_else_is_that_of_pieces(
    slow_tried: list[Tried],
) -> None:
    matched = invented_shop(3, 6)[5]
    assert matched.kind == "slow, matched"
    assert own_policies(matched, 1)[-1].name == BATCHED
    pieces, batches = table(slow_tried)[4:6]
    assert (pieces.policy, batches.policy) == (own_policies(SLOW, 1)[-1].name, BATCHED)
    assert pieces.gross == batches.gross


def test_a_new_stick_for_each_frame_buys_more_than_best_fit_by_hand(
    slow_tried: list[Tried],
) -> None:
    new, hand = table(slow_tried)[:2]
    assert new.gross > hand.gross
    assert new.spread == hand.spread == 0


def test_the_picture_ends_where_the_table_does(slow_tried: list[Tried]) -> None:
    found = slow_tried[1].found
    line = over_the_year(slow_tried, slow_tried[1].policy)
    assert len(line) == YEAR
    assert abs(line[-1] - (found.bought - found.needed) / 1e6) < 1e-6
    words = [mark.text for mark in picture(slow_tried).marks if isinstance(mark, Words)]
    at = words.index(slow_tried[1].policy)
    assert words[at - 1] == f"{line[-1]:.1f}"
    assert slow_tried[0].policy not in words


def test_a_policy_that_ran_for_some_kinds_only_has_no_line_for_all(slow_tried: list[Tried]) -> None:
    other = [
        replace(one, kind="busy, free") for one in slow_tried if one.policy != POLICIES[1].name
    ]
    lines = {(line.kind, line.policy) for line in table([*slow_tried, *other])}
    assert ("all", POLICIES[0].name) in lines
    assert ("all", POLICIES[1].name) not in lines
    assert ("busy, free", POLICIES[1].name) not in lines


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [(0.0, 7.0, [0, 1, 2, 3, 4, 5, 6, 7]), (-3.1, 9.0, [-4, -2, 0, 2, 4, 6, 8, 10]),
     (0.0, 0.0, [0, 1]), (0.0, 0.07, [n / 100 for n in range(8)])],
)  # fmt: skip
def test_ticks_are_round_numbers_that_hold_all_values(
    low: float, high: float, expected: list[float]
) -> None:
    found = ticks(low, high)
    assert found[0] <= low
    assert high <= found[-1] + 1e-12
    if high > low:
        assert found == pytest.approx(expected)


def test_every_line_of_a_chart_has_marks_of_its_own() -> None:
    lines = {f"policy {n}": [float(n), n + 1.0, n + 2.0] for n in range(12)}
    drawing = charts("x", [Chart("x", "m", lines)])
    keys = [mark for mark in drawing.marks if isinstance(mark, Area) and mark.name in lines]
    shapes = set()
    for key in keys:
        left, top = key.points[0]
        moved = ((round(x - left, 6), round(y - top, 6)) for x, y in key.points)
        shapes.add((key.grey, *moved))
    assert len(keys) == len(shapes) == 12
    for mark in drawing.marks:
        spots = mark.points if isinstance(mark, Area) else ((mark.x, mark.y),)
        assert all(0 <= x <= drawing.across and 0 <= y <= drawing.down for x, y in spots)
