"""Corners of an ornament that repeats, gone through one by one."""

from fractions import Fraction
from itertools import product

import pytest

from stockroom.frame.ornament import corners_match, larger_to_match
from stockroom.units.lengths import Micrometres

MM = 1000
STEP = Fraction(MM)


def corners(across: int, upright: int, repeat: int) -> set[int]:
    """What of the repeat is over where each rail ends and the next begins, round the frame."""
    return {rail % repeat for rail in (across, upright, across, upright)}


@pytest.mark.parametrize("repeat", [7, 20, 33])
def test_the_least_that_makes_all_corners_alike_is_found_of_all_ways_gone_through(
    repeat: int,
) -> None:
    for across, upright in product(range(100, 170, 3), range(100, 170, 7)):
        ways = [(more, side) for more in range(repeat) for side in (0, 1)
                if len(corners(across + more * (side == 0), upright + more * (side == 1),
                               repeat)) == 1]  # fmt: skip
        rails = Micrometres(across * MM), Micrometres(upright * MM)
        found = larger_to_match(*rails, Micrometres(repeat * MM), STEP)
        assert (found.more // MM, found.side) == min(ways)
        assert corners_match(*rails, Micrometres(repeat * MM), STEP) == (found.more == 0)
