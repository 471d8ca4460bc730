"""A piece not at its place is in no plan until it is seen; one without a label is named."""

from pathlib import Path

import pytest

from stockroom.record.stocktake import Scope, Sighting
from stockroom.services.morning.sheets import sheet_of
from stockroom.services.rack.count import count_sheet, settle
from stockroom.services.rack.pieces import Arrival, log_found
from stockroom.services.saw.unlabelled import unlabelled
from stockroom.services.shop import Shop
from tests.stockroom.cli.bench import run
from tests.stockroom.conftest import stocked
from tests.stockroom.hard.shopwork import accepted, drafted, sticks, take


@pytest.fixture
def where(tmp_path: Path) -> str:
    """Where the shop's record is."""
    return str(tmp_path / "shop.db")


@pytest.fixture
def fetched(where: str) -> Shop:
    """A shop with an offcut that a plan takes for its job, and two sticks."""
    shop = stocked(where)
    sticks(shop, 2)
    log_found(shop, "ASH-22", "B1", Arrival(2_400_000), "C1")
    take(shop)
    accepted(shop)
    assert taken(shop, 1) == [3]
    return shop


def taken(shop: Shop, plan: int) -> list[int]:
    """The pieces that a plan takes."""
    return [piece.number for piece in sheet_of(shop, plan).pieces]


def test_a_piece_not_at_its_place_is_left_out_until_somebody_moves_it(
    fetched: Shop, where: str
) -> None:
    assert run(where, "cut", "1", "--piece", "3", "--missing").exit_code == 0
    assert taken(fetched, drafted(fetched)) == [1]
    assert [piece.id for piece in count_sheet(fetched, Scope()).pieces] == [3, 1, 2]
    assert run(where, "move", "3", "C9").exit_code == 0
    assert taken(fetched, drafted(fetched)) == [3]


def test_a_count_that_sees_it_believes_in_it_again(fetched: Shop, where: str) -> None:
    run(where, "cut", "1", "--piece", "3", "--missing")
    settle(fetched, Scope("C"), count_sheet(fetched, Scope("C")).as_of, [Sighting(3)], "looked")
    assert taken(fetched, drafted(fetched)) == [3]


def test_undoing_the_search_puts_it_back_into_its_plan(fetched: Shop, where: str) -> None:
    run(where, "cut", "1", "--piece", "3", "--missing")
    assert run(where, "undo").exit_code == 0
    assert "To cut: 1 piece of plan 1: stockroom cut 1" in run(where).stdout


def test_labels_that_were_never_printed_are_named_until_they_are(fetched: Shop, where: str) -> None:
    run(where, "cut", "1", "--piece", "3", "--no-labels")
    assert [piece.id for piece in unlabelled(fetched)] == [1, 2, 4]
    assert "Without a label: 1, 2, 4: stockroom labels" in run(where).stdout
    assert run(where, "labels", "1", "2", "--stuck").exit_code == 0
    printed = run(where, "labels")
    assert "1 label in" in printed.stderr
    assert "Without a label" not in run(where).stdout
    assert run(where, "labels").exit_code == 12


def test_the_program_alone_says_what_matters_and_the_command_for_it(
    fetched: Shop, where: str
) -> None:
    shown = run(where, "--day", "1.12.2026").stdout.splitlines()
    assert shown[0] == "The workshop, Tue 2026-12-01"
    assert shown[1] == "Late: J1: stockroom jobs"
    assert "To cut: 1 piece of plan 1: stockroom cut 1" in shown
    assert shown[-1] == "All commands: stockroom --help"


def test_without_a_shop_it_says_how_one_is_made(tmp_path: Path) -> None:
    done = run(str(tmp_path / "none.db"))
    assert done.exit_code == 15
    assert "Next: stockroom setup" in done.stderr
