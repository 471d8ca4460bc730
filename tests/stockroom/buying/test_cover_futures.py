"""Cover by simulated futures: the rack is used first, and more service never buys less."""

import random
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from planner.values import Frame, Piece, Rules
from stockroom.buying.cover import (
    Case,
    TopUp,
    as_free,
    cover,
    future,
    last_buy,
    sticks_opened,
    top_up,
)
from stockroom.buying.forecast import forecast

RULES = Rules(cut_allowance=5_000, end_trim=10_000, keep=300_000)
DAY = date(2026, 11, 23)


def case(counts: tuple[int, ...], weeks: int = 2, side: int = 600_000, racked: int = 0) -> Case:
    """A profile in sticks of 3 m, asked for in square frames; some sticks are on the rack."""
    past = tuple(((side, side),) * count for count in counts if count)
    sticks = [Piece(f"{n}", "ASH-22", "B1", "stick", 3_000_000) for n in range(racked)]
    return Case("ASH-22", RULES, 3_000_000, tuple(as_free(s) for s in sticks), (),
                past, False, forecast(counts), DAY, 7 * weeks)  # fmt: skip


def test_one_frame_a_stick_makes_the_cover_the_quantile_of_a_binomial_count() -> None:
    # A frame in every second week, 1 stick each: over 8 weeks Binomial(8, p), where p is the
    # method's own chance. 2000 futures leave a quantile at most one off near a tie.
    found = case((0, 1) * 30, weeks=8)
    for service in (0.80, 0.90, 0.95):
        exact = binom.ppf(service, 8, found.forecast.chance)
        assert abs(cover(found, service, 2000) - exact) <= 1


@given(st.integers(0, 5), st.integers(1, 4), st.sampled_from([250_000, 600_000, 900_000]))
@settings(max_examples=20)
def test_more_service_more_weeks_and_a_bare_rack_never_buy_less(
    racked: int, weeks: int, side: int
) -> None:
    one = case((1, 0, 2, 1, 3) * 6, weeks, side, racked)
    assert cover(one, 0.8) <= cover(one, 0.95)
    assert cover(replace(one, pieces=()), 0.9) >= cover(one, 0.9)


def test_the_yield_of_a_stick_is_planned_and_no_percentage() -> None:
    # Rails of 760 mm: three to a stick of 3 m, a fifth of it too short for a fourth.
    frames = [Frame(f"f{n}", "ASH-22", (760_000,) * 4) for n in range(3)]
    assert sticks_opened(case((0,)), frames) == 4
    by_length = -(-12 * 760_000 // 2_980_000)
    assert by_length == 4
    longer = [replace(frame, rails=(1_000_000,) * 4) for frame in frames]
    assert sticks_opened(case((0,)), longer) == 6
    assert -(-12 * 1_000_000 // 2_980_000) == 5


def test_no_past_needs_no_cover_and_the_same_case_gives_the_same_cover() -> None:
    assert cover(case((0,) * 30), 0.98) == 0
    busy = case((1, 2, 3) * 10)
    assert cover(busy, 0.95) == cover(busy, 0.95) > 0


def test_a_doubled_demand_and_a_longer_lead_time_buy_more() -> None:
    plain = cover(case((1, 2, 3) * 10), 0.95)
    assert cover(case((2, 4, 6) * 10), 0.95) > plain
    assert cover(case((1, 2, 3) * 10, weeks=5), 0.95) > plain


def test_an_order_is_filled_up_with_what_is_needed_soonest() -> None:
    sticks = (TopUp("ASH-22", 1_850, 9.0), TopUp("PINE-20", 900, 2.0), TopUp("PINE-20", 900, 4.0))
    chosen, why = top_up(1_500, 1_200, sticks)
    assert [one.profile for one in chosen] == ["PINE-20", "PINE-20"]
    assert why == "filled up with what is needed within 4 weeks"


@pytest.mark.parametrize(
    ("gap", "saved", "sticks", "why"),
    [
        (5_000, 1_200, (TopUp("ASH-22", 1_850, 2.0),), "nothing else will be needed"),
        (1_500, 1_200, (TopUp("ASH-22", 1_850, 30.0),), "would lie 30 weeks"),
        (50_000, 500, (TopUp("ASH-22", 90_000, 10.0),), "costs more than the carriage saved"),
    ],
)
def test_filling_up_is_left_where_it_is_not_worth_it(
    gap: int, saved: int, sticks: tuple[TopUp, ...], why: str
) -> None:
    chosen, said = top_up(gap, saved, sticks)
    assert chosen == ()
    assert why in said


def test_a_case_that_makes_no_sense_is_refused() -> None:
    with pytest.raises(ValueError, match="-7 days"):
        case((1,), weeks=-1)


def test_a_future_repeats_past_weeks_whole_at_the_forecasts_rate() -> None:
    found = replace(case((1, 0, 2, 12)), past=(((300_000, 200_000),), ((500_000, 400_000),) * 2,
                                              ((200_000, 250_000),) * 12))  # fmt: skip
    dice = random.Random(7)
    drawn = [future(found, dice) for _ in range(3000)]
    mean = sum(map(len, drawn)) / len(drawn)
    assert mean == pytest.approx(2 * found.forecast.rate, rel=0.08)
    sizes = {(len(week), week[0].rails[0]) for week in drawn if week and len(
        {frame.due for frame in week}) == 1}  # fmt: skip
    assert sizes == {(1, 300_000), (2, 500_000), (12, 200_000)}


def test_half_a_week_brings_half_of_what_a_week_does() -> None:
    found = case((4, 3, 5, 4) * 10)
    mixed = replace(found, past=tuple(
        tuple((600_000, 400_000 + 1_000 * at) for at, _ in enumerate(week)) for week in found.past
    ))  # fmt: skip
    dice = random.Random(7)

    def mean(days: int) -> float:
        return sum(len(future(replace(mixed, days=days), dice)) for _ in range(3000)) / 3000

    assert mean(7) == pytest.approx(4, rel=0.05)
    assert mean(11) == pytest.approx(4 * 11 / 7, rel=0.05)


def test_jobs_that_come_in_earlier_than_sticks_need_no_cover() -> None:
    assert cover(replace(case((1, 2, 3) * 10), days=0), 0.98) == 0


def test_a_piece_that_serves_no_frame_changes_no_cover() -> None:
    bare = case((1, 2, 3) * 10)
    ends = tuple(Piece(f"e{n}", "ASH-22", f"E{n}", "offcut", 599_000 - n) for n in range(9))
    assert cover(replace(bare, pieces=ends), 0.95) == cover(bare, 0.95)
    matched = replace(bare, one_batch=True)
    halves = tuple(Piece(f"h{n}", "ASH-22", f"H{n}", "offcut", 1_900_000) for n in range(9))
    assert cover(replace(matched, pieces=halves), 0.95) == cover(matched, 0.95)
    assert cover(replace(bare, pieces=halves), 0.95) < cover(bare, 0.95)


@pytest.mark.parametrize(
    ("last", "left", "is_last"),
    [
        (None, None, False), (DAY, None, True), (DAY + timedelta(6), None, True),
        (DAY + timedelta(7), None, False), (DAY - timedelta(1), None, False), (None, 4, True),
    ],
)  # fmt: skip
def test_the_last_buy_is_the_last_review_before_orders_end(
    last: date | None, left: int | None, is_last: bool
) -> None:
    assert last_buy(last, left, DAY, 7) is is_last
