"""Slips of a digit, options that say two things, another's work: asked about, not recorded."""

from pathlib import Path

import pytest

from stockroom.services.morning.sheets import to_settle
from stockroom.services.rack.pieces import Arrival, find, log_found
from stockroom.services.shop import Shop
from tests.stockroom.cli.bench import everything, run
from tests.stockroom.conftest import stocked
from tests.stockroom.hard.shopwork import accepted, as_hand, drafted, sticks, take


@pytest.fixture
def where(tmp_path: Path) -> str:
    """Where the shop's record is."""
    return str(tmp_path / "shop.db")


@pytest.fixture
def cutting(where: str) -> Shop:
    """A shop with a stick, an offcut, and a job in a plan that is to be cut."""
    shop = stocked(where)
    sticks(shop)
    log_found(shop, "ASH-22", "B1", Arrival(782_000), "C1")
    take(shop)
    accepted(shop)
    return shop


@pytest.mark.parametrize(
    "words",
    ["cut 1 --piece 1 --leftover 79", "remeasure 2 7,8 --why x", "settings kerf 30",
     "settings one_person 3", "found ASH-22 30000", "found ASH-22 8", "found ASH-22 0",
     "receive ASH-22 B9 0", "receive ASH-22 B9 25000", "profile ASH-22 --set shortest_kept=5m"],
)  # fmt: skip
def test_a_slip_of_a_digit_is_refused_and_nothing_is_thrown_away(
    cutting: Shop, where: str, tmp_path: Path, words: str
) -> None:
    (tmp_path / "all").mkdir()
    before = everything(where, tmp_path / "all")
    done = run(where, *words.split())
    assert done.exit_code == 12, done.output
    assert everything(where, tmp_path / "all") == before


@pytest.mark.parametrize(
    "words",
    ["remeasure 2 500 --why split --odd", "found ASH-22 4600 --odd", "settings kerf 12 --odd"],
)
def test_what_is_right_though_odd_is_taken(cutting: Shop, where: str, words: str) -> None:
    assert run(where, *words.split()).exit_code == 0, words


@pytest.mark.parametrize(
    ("words", "said"),
    [("--as-planned --leftover 500", "--leftover says nothing without --piece"),
     ("--as-planned --piece 1", "--as-planned and --piece do not go together"),
     ("--leftover 500 --at C9", "--leftover says nothing without --piece"),
     ("--piece 1 --not-today --leftover 500", "--not-today and --leftover do not go together"),
     ("--piece 1 --file x.csv", "--file and --piece do not go together")],
)  # fmt: skip
def test_options_that_do_not_go_together_are_refused(
    cutting: Shop, where: str, words: str, said: str
) -> None:
    done = run(where, "cut", "1", *words.split())
    assert done.exit_code == 12
    assert said in done.stderr
    assert to_settle(cutting, 1)


def test_undo_keeps_to_the_hands_own_and_says_what(cutting: Shop, where: str) -> None:
    other = as_hand(cutting, "ben")
    take(other)
    log_found(other, "ASH-22", "B1", Arrival(900_000), "C1")
    done = run(where, "undo")
    assert "Undoing entry 5, accept about" in done.stderr
    assert "by ada on 2026-11-23" in done.stderr
    assert len(find(cutting, "ASH-22")) == 3
    nothing = run(where, "--who", "carla", "undo")
    assert "nothing that carla did stands to be undone" in nothing.stderr


def test_accept_takes_no_draft_of_another(where: str) -> None:
    shop = stocked(where)
    sticks(shop)
    take(shop)
    drafted(as_hand(shop, "ben"))
    done = run(where, "accept")
    assert done.exit_code == 12
    assert "ada has no proposed plan; plan 1 is ben's, of 20" in done.stderr
    assert run(where, "accept", "1").exit_code == 0


def test_times_are_told_by_the_shops_clock(cutting: Shop, where: str) -> None:
    run(where, "settings", "timezone", "Asia/Tokyo")
    done = run(where, "accept", "1")
    assert "JST" in done.stderr
