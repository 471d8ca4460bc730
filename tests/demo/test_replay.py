"""The replay's table and picture say what the runs say."""

from demo.replay import (
    BATCHED,
    COLUMNS,
    YEAR,
    cells,
    over_the_year,
    own_policies,
    picture,
    table,
    try_all,
)
from stockroom.paper.drawing import svg
from stockroom.replay import POLICIES, invented_shop

SLOW = invented_shop(3, 3)[2]
TRIED = try_all(SLOW, 1, 2 * YEAR, POLICIES[:2])


def test_a_line_for_each_policy_by_kind_and_over_all() -> None:
    lines = table(TRIED)
    own = [policy.name for policy in own_policies(SLOW, 1)]
    names = [POLICIES[0].name, POLICIES[1].name, *own, BATCHED]
    assert [(line.kind, line.policy) for line in lines] == [
        (kind, name) for kind in (SLOW.kind, "all") for name in names
    ]
    assert all(len(cells(line)) == len(COLUMNS) for line in lines)


def test_the_worth_of_batches_is_tried_where_frames_are_matched_and_else_is_that_of_pieces() -> (
    None
):
    matched = invented_shop(3, 6)[5]
    assert matched.kind == "slow, matched"
    assert own_policies(matched, 1)[-1].name == BATCHED
    pieces, batches = table(TRIED)[4:6]
    assert (pieces.policy, batches.policy) == (own_policies(SLOW, 1)[-1].name, BATCHED)
    assert pieces.gross == batches.gross


def test_a_new_stick_for_each_frame_buys_more_than_best_fit_by_hand() -> None:
    new, hand = table(TRIED)[:2]
    assert new.gross > hand.gross
    assert new.spread == hand.spread == 0


def test_the_picture_ends_where_the_table_does() -> None:
    found = TRIED[1].found
    line = over_the_year(TRIED, TRIED[1].policy)
    assert len(line) == YEAR
    assert abs(line[-1] - (found.bought - found.needed) / 1e6) < 1e-6
    drawn = svg(picture(TRIED)).decode()
    assert f"{line[-1]:.1f}  {TRIED[1].policy}" in drawn
