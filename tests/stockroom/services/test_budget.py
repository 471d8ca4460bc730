"""A budget cap: the cuts that harm least, to the last minor unit."""

from hypothesis import given
from hypothesis import strategies as st

from stockroom.buying.spare import Spare
from stockroom.services.weekly.budget import within
from stockroom.services.weekly.review import OrderLine
from tests.stockroom.conftest import told


def line(profile: str, short: int, jobs: int, expected: int, minimum: int, price: int | None,
         wait: int = 100, box: int = 1) -> OrderLine:  # fmt: skip
    """A line of the week's order, each spare stick of which saves so much in waits."""
    needed = short + jobs + expected + minimum
    fill = -needed % box
    costs = tuple(float(wait * (expected - held)) for held in range(expected + 1))
    spare = Spare(expected, 0, (0.5,) * expected + (0.0,), (0.0,), costs)
    return OrderLine(
        "LARK", "Lark Hollow Mouldings", profile, needed + fill, short, jobs, expected, minimum,
        fill, 3_000_000, price, None if price is None else price * (needed + fill), (), spare, box,
    )  # fmt: skip


def test_the_spare_sticks_whose_lack_costs_least_go_first_and_jobs_go_last() -> None:
    lines = [line("ASH-22", 1, 1, 2, 0, 1_000, 900), line("PINE-20", 0, 1, 2, 1, 1_000, 300)]
    kept, said = within(lines, 5_000)
    assert [(one.profile, one.sticks, one.for_expected) for one in kept] == [
        ("ASH-22", 4, 2), ("PINE-20", 1, 0),
    ]  # fmt: skip
    assert list(map(told, said)) == ["PINE-20: 3 of 4 left out"]
    kept, _ = within(lines, 1_000)
    assert [(one.profile, one.for_short, one.sticks) for one in kept] == [("ASH-22", 1, 1)]


def test_a_box_is_left_out_whole() -> None:
    kept, said = within([line("ASH-22", 1, 0, 6, 0, 100, box=6)], 700)
    assert [(one.sticks, one.for_box, one.price) for one in kept] == [(6, 0, 600)]
    assert list(map(told, said)) == ["ASH-22: 6 of 12 left out"]


def test_within_the_budget_nothing_is_cut_and_a_line_without_a_price_stays() -> None:
    lines = [line("ASH-22", 1, 0, 0, 0, None), line("PINE-20", 0, 0, 1, 0, 900)]
    assert within(lines, 900) == (lines, [])
    kept, said = within(lines, 0)
    assert (kept, told(*said)) == (lines[:1], "PINE-20: 1 of 1 left out")


lines_of_a_week = st.lists(
    st.builds(line, st.sampled_from(["A-1", "B-2", "C-3"]), *(st.integers(0, 3),) * 4,
              st.integers(1, 5_000), st.integers(0, 900), st.sampled_from([1, 4])),
    max_size=6,
)  # fmt: skip


@given(lines_of_a_week, st.integers(0, 60_000))
def test_the_budget_is_never_passed_and_nothing_is_added(lines: list[OrderLine], most: int) -> None:
    kept, _ = within(lines, most)
    assert sum(one.price or 0 for one in kept) <= most
    assert sum(one.sticks for one in kept) <= sum(one.sticks for one in lines)
