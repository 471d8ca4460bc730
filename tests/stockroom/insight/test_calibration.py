"""The calibration finds known allowances again from tapes that tremble and slip."""

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.insight.calibration import ENOUGH, CutSeen, estimate

SET = 5_000


def taped(true: int, seed: int, cuts: int = 60, *, slips: int = 0, short: int = 0) -> list[CutSeen]:
    """Cuts of a saw that truly takes so much, read by a tape with noise and now and then a slip."""
    luck = Random(seed)
    found = []
    for number in range(cuts):
        rails, planned = luck.randint(1, 4), luck.randint(400_000, 2_000_000)
        error = round(luck.gauss(0, 500)) - short
        if number < slips:
            # Slips of a tape are whole centimetres or inches, one way more than the other.
            error += luck.choice((10_000, 10_000, 25_400, -100_000))
        found.append(CutSeen(rails, SET, planned, planned - rails * (true - SET) + error))
    return found


@pytest.mark.parametrize("true", [0, 3_000, 5_000, 5_400, 8_000])
@pytest.mark.parametrize("slips", [0, 6])
def test_a_known_allowance_is_found_within_its_error(true: int, slips: int) -> None:
    hits = 0
    for seed in range(40):
        found = estimate(taped(true, seed, slips=slips))
        assert found is not None
        assert slips <= found.slips <= slips + 6
        assert abs(found.allowance - true) <= 4 * found.error
        hits += abs(found.allowance - true) <= 2 * found.error
    # Two standard errors hold about 95 times in 100; 40 tries miss more than 8 hardly ever.
    assert hits >= 32


def test_a_tape_read_exactly_gives_the_allowance_exactly() -> None:
    found = estimate([CutSeen(n % 4 + 1, SET, 900_000, 900_000 - (n % 4 + 1) * 700)
                      for n in range(20)])  # fmt: skip
    assert found is not None
    assert (found.allowance, found.slips) == (5_700, 0)


def test_a_right_setting_is_seldom_called_off_and_a_wrong_one_is_found() -> None:
    right = [estimate(taped(SET, seed, slips=4)) for seed in range(40)]
    wrong = [estimate(taped(SET + 600, seed, slips=4)) for seed in range(40)]
    assert sum(found is not None and found.off(SET) for found in right) <= 8
    assert all(found is not None and found.off(SET) for found in wrong)


def test_the_scatter_of_the_tape_is_found_despite_slips() -> None:
    found = estimate(taped(SET, 1, 400, slips=40))
    assert found is not None
    assert found.scatter == pytest.approx(500, rel=0.15)


@pytest.mark.parametrize("short", [-800, 800])
def test_a_tape_that_reads_short_every_time_is_not_taken_for_the_saw(short: int) -> None:
    found = [estimate(taped(SET, seed, slips=4, short=short)) for seed in range(40)]
    assert sum(one is not None and one.off(SET) for one in found) <= 8
    assert sum(one is not None and abs(one.short - short) < 300 for one in found) >= 32


def test_pieces_of_as_many_rails_claim_no_more_than_they_know() -> None:
    def same(true: int) -> list[CutSeen]:
        return [CutSeen(4, SET, 900_000, 900_000 - 4 * (true - SET) + tremble)
                for tremble in (-300, -100, 0, 100, 300) * 4]  # fmt: skip

    little, much = estimate(same(SET + 200)), estimate(same(SET + 800))
    assert little is not None
    assert much is not None
    # 0.2 mm at each of 4 cuts is what a tape may read short; 0.8 mm is not.
    assert (little.off(SET), much.off(SET)) == (False, True)
    assert (little.allowance, much.allowance) == (SET + 200, SET + 800)


def test_a_few_cuts_say_nothing() -> None:
    assert estimate(taped(SET, 1, ENOUGH - 1)) is None
    assert estimate(taped(SET, 1, ENOUGH)) is not None


@given(st.lists(st.tuples(st.integers(1, 6), st.integers(0, 3_000_000), st.integers(0, 3_000_000)),
                min_size=ENOUGH, max_size=40))  # fmt: skip
def test_whatever_is_measured_the_order_does_not_matter(rows: list[tuple[int, int, int]]) -> None:
    cuts = [CutSeen(rails, SET, planned, measured) for rails, planned, measured in rows]
    assert estimate(cuts) == estimate(cuts[::-1])


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one"):
        CutSeen(0, SET, 1, 1)
    with pytest.raises(ValueError, match="less than nothing"):
        CutSeen(1, SET, 1, -1)
