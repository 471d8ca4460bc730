"""Numbers a shop lives by: what was cut adds up, the worst stands first, ages are days."""

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.insight.waste import By, Gone, Lying, aged, used
from stockroom.units.money import Price
from stockroom.words.language import word

MONDAY = date(2026, 11, 23)
M = 1_000_000
RAILS = Gone(MONDAY, "ASH-22", "north", "rails", 8 * M, Price(500))
SAW = replace(RAILS, cause="cutting loss", length=M // 2)
MISCUT = replace(RAILS, cause="miscut", length=3 * M // 2, day=MONDAY + timedelta(days=6))
LEAF = replace(RAILS, profile="LEAF-40", supplier="south", cause="short end", length=M,
               day=MONDAY + timedelta(days=7), price=Price(4_000))  # fmt: skip
ALL = (RAILS, SAW, MISCUT, LEAF)


def test_what_was_lost_is_a_share_of_what_was_cut() -> None:
    ash = used(ALL, "profile")[1]
    assert (ash.name, ash.rails, ash.saw, ash.scrap) == ("ASH-22", 8 * M, M // 2, 3 * M // 2)
    assert ash.taken == 10 * M
    assert ash.waste == Fraction(1, 5)
    assert ash.lost == 1_000


def test_what_lost_most_money_stands_first() -> None:
    assert [(use.name, use.lost) for use in used(ALL, "profile")] == [
        ("LEAF-40", 4_000), ("ASH-22", 1_000)]  # fmt: skip
    assert [use.name for use in used(ALL, "supplier")] == ["south", "north"]
    assert [(use.name, use.taken, use.lost) for use in used(ALL, "cause")] == [
        ("short end", M, 4_000), ("miscut", 3 * M // 2, 750),
        ("cutting loss", M // 2, 250)]  # fmt: skip


def test_weeks_begin_on_monday_and_stand_in_their_order() -> None:
    weeks = [(use.name, use.taken) for use in used(reversed(ALL), "week")]
    assert weeks == [("2026-11-23", 10 * M), ("2026-11-30", M)]


def test_a_length_without_a_price_has_no_cost_that_is_known() -> None:
    bare = replace(MISCUT, price=None)
    (use,) = used([bare], "cause")
    assert (use.lost, use.scrap, use.unpriced) == (None, 3 * M // 2, 3 * M // 2)
    (both,) = used([MISCUT, bare], "profile")
    assert (both.lost, both.unpriced) == (750, 3 * M // 2)
    (rails,) = used([replace(RAILS, price=None)], "profile")
    assert (rails.lost, rails.unpriced) == (0, 0)


def test_what_was_undone_wastes_nothing() -> None:
    (use,) = used([SAW, replace(SAW, length=-M // 2)], "profile")
    assert use.taken == 0
    assert use.waste == Fraction(0)


@given(
    st.lists(st.tuples(st.integers(0, 60), st.sampled_from("AB"),
                       st.sampled_from(["rails", "cutting loss", "miscut", "flaw"]),
                       st.integers(1, 10**9))),
    st.sampled_from(["profile", "supplier", "week"]),
)  # fmt: skip
def test_every_length_is_counted_once(told: list[tuple[int, str, str, int]], by: By) -> None:
    lengths = [Gone(MONDAY + timedelta(days), code, code, cause, um, None)
               for days, code, cause, um in told]  # fmt: skip
    assert sum(use.taken for use in used(lengths, by)) == sum(one.length for one in lengths)
    lost = sum(one.length for one in lengths if one.cause != "rails")
    assert sum(use.taken for use in used(lengths, "cause")) == lost


@pytest.mark.parametrize(
    ("days", "age"),
    [(0, "under 30 days"), (29, "under 30 days"), (30, "30 to 89 days"), (89, "30 to 89 days"),
     (90, "90 to 179 days"), (364, "180 to 364 days"), (365, "365 days and more")],
)  # fmt: skip
def test_a_piece_has_the_age_of_its_days(days: int, age: str) -> None:
    piece = Lying("ASH-22", "stick", 3 * M, MONDAY - timedelta(days), Price(500))
    (row,) = aged([piece], MONDAY, "age")
    assert (word(row.name), row.oldest, row.money, row.sticks, row.offcuts) == (
        age,
        days,
        1_500,
        1,
        0,
    )


def test_the_oldest_and_the_dearest_stand_first() -> None:
    new = Lying("ASH-22", "stick", 3 * M, MONDAY, Price(500))
    old = replace(new, profile="LEAF-40", kind="offcut", length=M, since=date(2025, 1, 1),
                  price=Price(4_000))  # fmt: skip
    unpriced = replace(old, profile="OAK-9", length=9 * M, price=None)
    assert [word(row.name) for row in aged([new, old, unpriced], MONDAY, "age")] == [
        "365 days and more", "under 30 days"]  # fmt: skip
    rows = aged([new, old, unpriced], MONDAY, "profile")
    assert [(row.name, row.money) for row in rows] == [
        ("LEAF-40", 4_000), ("ASH-22", 1_500), ("OAK-9", None)]  # fmt: skip
