"""What truth at the saw costs: each way is replayed on the same orders, to the micrometre."""

from fractions import Fraction

from demo.truth_costs import YEAR, TruthKept, exact, settable, year
from stockroom.replay import invented_shop, orders_of

SLOW = invented_shop(3, 3)[2]
EXACT = TruthKept("exact")


def test_rails_are_rounded_up_to_the_step_and_by_less_than_it() -> None:
    asked = exact(orders_of(SLOW, 1, YEAR), 1)
    step = Fraction(25_400, 16)
    for one, other in zip(asked, settable(asked, step), strict=True):
        for rail, rounded in zip(one.frame.rails, other.frame.rails, strict=True):
            assert 0 <= rounded - rail < step + 1
            assert rounded == -(-(rounded * 16 // 25_400 * step) // 1)


def test_a_trim_is_lost_sooner_or_later_and_the_rails_asked_for_stay_the_same() -> None:
    days = 2 * YEAR
    one = year(SLOW, 1, EXACT, days)
    other = year(SLOW, 1, TruthKept("both", at_once=True), days)
    coarse = year(SLOW, 1, TruthKept("coarse", Fraction(100_000)), days)
    assert one[1] == other[1] == coarse[1] > 0
    assert one[0] == other[0]
    assert coarse[0] > one[0] > one[1]
