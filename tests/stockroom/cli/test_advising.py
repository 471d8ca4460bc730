"""Offcuts that nobody will use, and the frames that could be made of them."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.idle import idle_offcuts
from stockroom.services.advising import idle, ready_made
from stockroom.services.shop import Shop
from tests.stockroom.cli.bench import run

MM = 1_000


def test_offcuts_shorter_than_every_rail_are_idle() -> None:
    assert idle_offcuts({1: 350 * MM, 2: 900 * MM}, [400 * MM, 500 * MM]) == [1]


def test_two_offcuts_for_one_rail_leave_the_longer_idle() -> None:
    assert idle_offcuts({1: 500 * MM, 2: 450 * MM}, [440 * MM]) == [1]


def test_a_long_rail_is_left_to_the_long_offcut() -> None:
    assert idle_offcuts({1: 500 * MM, 2: 450 * MM}, [440 * MM, 490 * MM]) == []


def test_without_demand_every_offcut_is_idle() -> None:
    assert idle_offcuts({1: 5, 2: 4}, []) == [2, 1]


@given(st.lists(st.integers(1, 9), max_size=5), st.lists(st.integers(1, 9), max_size=5))
def test_as_many_offcuts_are_served_as_any_dealing_could(
    lengths: list[int], rails: list[int]
) -> None:
    def most(offcuts: list[int], left: list[int]) -> int:
        """Every dealing, tried one by one."""
        if not offcuts:
            return 0
        first, rest = offcuts[0], offcuts[1:]
        tries = [most(rest, left)]
        tries += [1 + most(rest, [*left[:i], *left[i + 1 :]])
                  for i, rail in enumerate(left) if rail <= first]  # fmt: skip
        return max(tries)

    idle = idle_offcuts(dict(enumerate(lengths)), rails)
    assert len(lengths) - len(idle) == most(lengths, rails)


@pytest.fixture
def racked(shop: Shop, where: str) -> Shop:
    """Offcuts of ash: two of one batch that make a small frame together, one too short."""
    for batch, length in (("B1", "700 mm"), ("B1", "720 mm"), ("B2", "310 mm")):
        done = run(where, "found", "ASH-22", length, "--batch", batch)
        assert done.exit_code == 0, done.stderr
    return shop


def test_nothing_asked_for_makes_every_offcut_idle_with_length_and_money(
    racked: Shop, where: str
) -> None:
    assert [(one.length, one.money) for one in idle(racked)] == [
        (720 * MM, 444), (700 * MM, 431), (310 * MM, 191)]  # fmt: skip
    done = run(where, "idle")
    assert done.exit_code == 0, done.stderr
    assert "3 offcuts to clear out, 1730 mm, $10.66 as bought." in done.stderr


def test_an_offcut_that_a_job_wants_is_not_idle(racked: Shop, where: str) -> None:
    take = ["take", "--customer", "A", "-p", "ASH-22", "-w", "600", "--height", "600"]
    assert run(where, *take, "--due", "2026-11-23").exit_code == 0
    assert [one.length for one in idle(racked)] == [310 * MM]


def test_ready_made_frames_come_whole_from_one_batch_of_offcuts(racked: Shop, where: str) -> None:
    found = ready_made(racked)
    assert found
    lengths = {1: 700 * MM, 2: 720 * MM}
    for one in found:
        assert one.batch == "B1"
        assert set(one.pieces) <= set(lengths)
    assert 2 * sum(sum(one.rails) for one in found) <= sum(lengths.values())
    rows = json.loads(run(where, "readymade", "--as", "json").stdout)
    assert [row["size"] for row in rows] == [one.size.name for one in found]


def test_ready_made_frames_are_taken_in_and_planned_from_the_offcuts(
    racked: Shop, where: str
) -> None:
    done = run(where, "readymade", "--take")
    assert (done.exit_code, "Taken in as J1" in done.stderr) == (0, True), done.stderr
    assert run(where, "plan", "--accept").exit_code == 0
    assert run(where, "cut", "--as-planned").exit_code == 0
    assert run(where, "readymade", "--take").exit_code == 12


def test_no_ready_made_frame_is_made_of_a_float_or_of_nothing(shop: Shop) -> None:
    assert ready_made(shop) == []
    assert ready_made(shop, "FLOAT-12") == []
