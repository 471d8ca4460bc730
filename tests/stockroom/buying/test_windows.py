"""What came in every window of a past: counted, not drawn, and cut by the hand rule."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.values import Frame, Piece, Rules
from stockroom.buying.forecast import forecast
from stockroom.buying.spare import Stake, spare_sticks
from stockroom.buying.windows import Asking, Case, as_free, outcomes, sticks_opened, windows

RULES = Rules(cut_allowance=5_000, end_trim=10_000, keep=300_000)
DAY = date(2026, 11, 23)
STAKE = Stake(1_000, 10)


def case(counts: tuple[int, ...], weeks: int = 2, side: int = 600_000, racked: int = 0) -> Case:
    """A profile in sticks of 3 m, asked for in jobs of square frames on Mondays, the last today;
    some sticks are on the rack."""
    since = DAY - timedelta(7 * len(counts) - 1)
    past = tuple(
        Asking(DAY - timedelta(7 * (len(counts) - 1 - week)), ((side, side),) * count)
        for week, count in enumerate(counts) if count
    )  # fmt: skip
    sticks = [Piece(f"{n}", "ASH-22", "B1", "stick", 3_000_000) for n in range(racked)]
    return Case("ASH-22", RULES, 3_000_000, tuple(as_free(s) for s in sticks), (), past, since,
                False, forecast(counts), DAY, 7 * weeks)  # fmt: skip


def spare(one: Case, stake: Stake = STAKE) -> int:
    """The spare sticks of a case."""
    return spare_sticks(outcomes(one), stake).sticks


def test_each_window_of_the_past_counts_the_same_and_every_day_is_in_two() -> None:
    found = case((1, 2, 3, 4) * 13, weeks=2)
    frames = [len(window) for window in windows(found)]
    # Windows of two weeks, a week apart: 1 + 2, 2 + 3, 3 + 4, 4 + 1.
    assert len(frames) == 51
    assert set(frames) == {3, 5, 7}
    told = outcomes(found)
    assert sum(one.share for one in told) == pytest.approx(1)
    mean = sum(one.frames * one.share for one in told)
    assert mean == pytest.approx(2 * found.forecast.rate, rel=0.02)


def test_the_first_days_of_a_window_are_those_before_todays_order_is_there() -> None:
    told = outcomes(replace(case((1, 2, 3, 4) * 13, weeks=2), early=7))
    assert {(one.frames, one.early_frames) for one in told[1:]} == {(3, 1), (5, 2), (7, 3), (5, 4)}
    assert all(one.early_sticks <= one.sticks for one in told)


def test_an_independent_count_of_the_windows_says_the_same() -> None:
    # A frame of 4 x 600 mm is most of a stick of 3 m: so many frames, so many sticks.
    counts = (0, 1, 0, 2, 1, 0, 3, 0, 1, 1, 0, 0, 2) * 4
    found = case(counts, weeks=2)
    pairs = [counts[at] + counts[at + 1] for at in range(len(counts) - 1)]
    told = outcomes(found)
    for most in range(6):
        counted = sum(pair > most for pair in pairs) / len(pairs)
        short = sum(one.share for one in told if one.sticks > most)
        assert short == pytest.approx(counted * sum(one.share for one in told[1:]), abs=1e-9)


def test_a_demand_that_fades_is_expected_less_often_than_it_came() -> None:
    counts = (1, 2, 1) * 16 + (0,) * 20
    told = outcomes(case(counts))
    assert told[0].share > 0.3
    mean = sum(one.frames * one.share for one in told)
    assert mean == pytest.approx(2 * forecast(counts).rate, rel=0.02)


def test_only_the_weeks_since_demand_changed_are_counted() -> None:
    changed = case((1,) * 40 + (6,) * 8)
    assert {len(window) for window in windows(changed)} == {12}
    assert spare(changed) > spare(case((1,) * 48))


@given(st.integers(0, 5), st.integers(1, 4), st.sampled_from([250_000, 600_000, 900_000]))
@settings(max_examples=20)
def test_a_dearer_wait_and_a_bare_rack_never_hold_less(racked: int, weeks: int, side: int) -> None:
    one = case((1, 0, 2, 1, 3) * 6, weeks, side, racked)
    assert spare(one, Stake(100, 10)) <= spare(one, Stake(1_000, 10))
    assert spare(replace(one, pieces=())) >= spare(one)


def test_the_yield_of_a_stick_is_planned_and_no_percentage() -> None:
    # Rails of 760 mm: three to a stick of 3 m, a fifth of it too short for a fourth.
    frames = [Frame(f"f{n}", "ASH-22", (760_000,) * 4) for n in range(3)]
    assert sticks_opened(case((0,)), frames) == 4
    by_length = -(-12 * 760_000 // 2_980_000)
    assert by_length == 4
    longer = [replace(frame, rails=(1_000_000,) * 4) for frame in frames]
    assert sticks_opened(case((0,)), longer) == 6
    assert -(-12 * 1_000_000 // 2_980_000) == 5


def test_no_past_and_no_days_need_nothing() -> None:
    assert spare(case((0,) * 30)) == 0
    assert spare(replace(case((1, 2, 3) * 10), days=0)) == 0


def test_a_doubled_demand_and_a_longer_lead_time_hold_more() -> None:
    plain = spare(case((1, 2, 3) * 10))
    assert spare(case((2, 4, 6) * 10)) > plain
    assert spare(case((1, 2, 3) * 10, weeks=5)) > plain


def test_a_case_that_makes_no_sense_is_refused() -> None:
    with pytest.raises(ValueError, match="-7 days"):
        case((1,), weeks=-1)


def test_a_piece_that_serves_no_frame_changes_nothing() -> None:
    bare = case((1, 2, 3) * 10)
    ends = tuple(Piece(f"e{n}", "ASH-22", f"E{n}", "offcut", 599_000 - n) for n in range(9))
    assert spare(replace(bare, pieces=ends)) == spare(bare)
    matched = replace(bare, one_batch=True)
    halves = tuple(Piece(f"h{n}", "ASH-22", f"H{n}", "offcut", 1_900_000) for n in range(9))
    assert spare(replace(matched, pieces=halves)) == spare(matched)
    assert spare(replace(bare, pieces=halves)) < spare(bare)
