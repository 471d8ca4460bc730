"""What a batch is worth, against cases that can be reasoned by hand."""

from functools import cache

import pytest

from planner.values import Rules
from planner.worth import default_worth
from stockroom.worth.by_batch import BatchWorth

RULES = Rules(cut_allowance=5_000, end_trim=10_000, keep=300_000)
MANY = 990
"""Frames in a history of one size: the default then counts one part in a hundred."""


@cache
def one_size(side: int, count: int = MANY) -> BatchWorth:
    """A history of square frames of one size only, the side in mm."""
    return BatchWorth([(side * 1000,) * 4] * count, RULES, 3_000_000)


def offcuts(*lengths: int) -> tuple[tuple[int, bool], ...]:
    """Offcuts of one batch, mm."""
    return tuple((length * 1000, False) for length in lengths)


def test_a_leftover_beside_plenty_of_its_batch_is_worth_a_whole_number_of_rails() -> None:
    worth = one_size(500)
    for rails in (1, 2, 3, 4):
        # The last cut runs off the end, so that three rails of 500 with two cuts are 1,510 mm.
        least = 505_000 * rails - 5_000
        if rails > 1:
            assert worth.piece(least) - worth.piece(least - 1_000) > 450_000
        # Whatever is over a whole number of rails adds only what the default says of it.
        assert worth.piece(least + 499_000) - worth.piece(least + 1_000) < 10_000
        assert worth.piece(least + 1_000) == pytest.approx(
            0.99 * (505_000 * rails) - 40_000, rel=0.05
        )


def test_an_orphan_that_makes_no_whole_frame_is_worth_nothing() -> None:
    worth = one_size(500)
    assert worth(offcuts(1_500)) <= default_worth(1_500_000, 300_000) // 100
    # Nor do mates help that make none with it: three pieces of one rail each.
    assert worth(offcuts(600, 600, 600)) <= 3 * default_worth(600_000, 300_000) // 100
    # A fourth rail makes the frame: 2,020 mm with its allowances.
    four = worth(offcuts(600, 600, 600, 600))
    assert four == pytest.approx(0.99 * 2_020_000 - 4 * 40_000, rel=0.02)


def test_two_halves_that_make_a_frame_are_worth_more_than_their_sum() -> None:
    worth = one_size(500)
    half = worth(offcuts(1_010))
    assert worth(offcuts(1_010, 1_010)) > 10 * (half + half)


def test_length_that_no_frame_takes_adds_nothing() -> None:
    worth = one_size(500)
    assert worth(offcuts(1_010, 1_010)) >= worth(offcuts(1_010, 1_010, 400)) - 3_000
    assert worth(offcuts(1_400, 1_400)) == pytest.approx(worth(offcuts(1_010, 1_010)), rel=0.01)


def test_a_large_batch_loses_only_at_its_end_and_what_its_offcuts_lose_alone() -> None:
    worth = one_size(500)
    sticks = tuple((2_980_000, True) for _ in range(6))
    more = worth((*sticks, (2_980_000, True))) - worth(sticks)
    assert more == pytest.approx(0.99 * 2_980_000, rel=0.001)
    # An offcut beside them is worth its rails, though alone it makes no frame.
    beside = worth((*sticks, *offcuts(1_010))) - worth(sticks)
    assert beside > 900_000 > 50 * worth(offcuts(1_010))
    assert worth.is_small(offcuts(2_000, 2_000))
    assert not worth.is_small(sticks)


def test_mates_in_other_sizes_are_found_by_trying_them() -> None:
    # Half of the frames take 2 m, half 1.2 m: what fits only the small one is worth less.
    history = [(500_000,) * 4, (300_000,) * 4] * (MANY // 2)
    worth = BatchWorth(history, RULES, 3_000_000)
    small, large = worth(offcuts(610, 610)), worth(offcuts(1_010, 1_010))
    assert 1_000_000 < small < 1_220_000 < large
    # Of 12 frames some are of either size for sure, near enough.
    assert large == pytest.approx(0.99 * 2_020_000 - 80_000, rel=0.02)


def test_without_history_a_batch_is_worth_the_sum_of_the_defaults() -> None:
    worth = BatchWorth([], RULES, 3_000_000)
    assert worth(offcuts(700, 900)) == sum(default_worth(r, 300_000) for r in (700_000, 900_000))
    assert worth([(2_980_000, True)]) == 2_980_000
    assert worth.piece(700_000) == default_worth(700_000, 300_000)
    assert worth.piece(299_999) == worth(()) == 0


def test_the_blend_leans_on_the_default_while_history_is_thin() -> None:
    # Ten frames: history, to which an orphan is worth nothing, and default weigh the same.
    worth = one_size(500, 10)
    assert worth(offcuts(1_500)) == default_worth(1_500_000, 300_000) // 2


def test_sticks_no_longer_than_the_keep_length_are_refused() -> None:
    with pytest.raises(ValueError, match="no worth"):
        BatchWorth([], RULES, 300_000)
