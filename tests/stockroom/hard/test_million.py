"""A record that grows old stays quick: counted in the database's own steps, not by a clock."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event

from demo.million import MONDAY, RecordSize, code_of, made
from demo.million_timed import take, timed
from stockroom.record.audit import audit
from stockroom.record.database import reading
from stockroom.record.numbering import serial
from stockroom.record.tables import Entry
from stockroom.services.morning import day_plan as morning
from stockroom.services.morning.problem import Choices
from stockroom.services.morning.sheets import to_settle
from stockroom.services.rack import pieces as rack
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop

YOUNG, OLD = RecordSize(1_000, 2), RecordSize(8_000, 16)
EVERY = 10


@pytest.fixture(scope="module")
def shops(tmp_path_factory: pytest.TempPathFactory) -> tuple[Shop, Shop]:
    """A young shop, and one eight times as old and as large."""
    folder = tmp_path_factory.mktemp("old")
    return made(str(folder / "young.db"), YOUNG), made(str(folder / "old.db"), OLD)


def steps_of(shop: Shop, do: Callable[[], object]) -> int:
    """How many steps SQLite's machine takes for something, in tens."""
    counted = [0]

    def count() -> None:
        counted[0] += 1

    @event.listens_for(shop.engine, "connect")
    def listen(connection: Any, _record: Any) -> None:
        connection.set_progress_handler(count, EVERY)

    do()
    event.remove(shop.engine, "connect", listen)
    return counted[0]


def ratio(shops: tuple[Shop, Shop], do: Callable[[Shop], object]) -> float:
    """How many times the steps of the young shop the old one takes."""
    young, old = (steps_of(shop, lambda shop=shop: do(shop)) for shop in shops)  # type: ignore[misc]
    return old / young


def test_a_shop_written_in_bulk_is_as_true_as_one_that_was_worked(where: str) -> None:
    shop = made(where, RecordSize(600, 2))
    with reading(shop.engine) as session:
        assert audit(session) == []
        assert serial(session, Entry) - 1 >= 600
    assert len(rack.find(shop)) == RecordSize(600, 2).pieces


def test_the_large_shop_has_the_size_that_is_claimed() -> None:
    from demo.million_timed import LARGE

    assert (LARGE.entries, LARGE.pieces) == (1_000_000, 20_000)


def test_finding_pieces_takes_no_more_steps_in_an_old_shop(shops: tuple[Shop, Shop]) -> None:
    assert ratio(shops, lambda shop: rack.find(shop, code_of(0))) < 2


@pytest.mark.unaudited
def test_a_day_takes_no_more_steps_in_an_old_shop(shops: tuple[Shop, Shop]) -> None:
    plans: dict[int, int] = {}

    def planned(shop: Shop) -> None:
        plans[id(shop)] = morning.plan_day(shop, Choices(MONDAY, seconds=5)).plan or 0

    def cut(shop: Shop) -> None:
        number = plans[id(shop)]
        record_cut(shop, SawReport(number, to_settle(shop, number)[0]))

    assert ratio(shops, take) < 2
    assert ratio(shops, planned) < 2
    assert ratio(shops, lambda shop: morning.accept(shop, plans[id(shop)])) < 2
    assert ratio(shops, cut) < 2


def test_the_benchmark_times_all_that_it_names(tmp_path: Path) -> None:
    found = timed(made(str(tmp_path / "shop.db"), RecordSize(300, 2)))
    assert set(found) >= {"find pieces of a profile", "take a job in", "plan a day",
                          "record a cut", "what to order", "audit"}  # fmt: skip
    assert min(found.values()) > 0
