"""The door to the planner: what it owns up to is a refusal of ours, in every command."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from sqlalchemy import Engine
from sqlmodel import Session

import planner.solve
from stockroom.record import database
from stockroom.services.counter.take import take
from stockroom.services.counter.typed_jobs import job_told
from stockroom.services.insight import advise_offcuts, ready_made
from stockroom.services.rack.pieces import Arrival, find, receive
from stockroom.services.shop import Shop
from stockroom.services.weekly import purchase_orders as ordering
from stockroom.services.weekly import unblocked_jobs
from tests.stockroom.cli.bench import run

pytestmark = pytest.mark.parametrize("where", ["sqlite"], indirect=True)


@pytest.fixture
def job(shop: Shop) -> None:
    """A job in a profile of which nothing is on the rack."""
    take(shop, job_told({"customer": "R. Aldous", "profile": "ASH-22", "width": "16",
                         "height": "20", "due": "2026-11-23"}, shop))  # fmt: skip


@pytest.fixture
def wrong(monkeypatch: pytest.MonkeyPatch) -> None:
    """A judge that finds a fault in every plan."""
    monkeypatch.setattr(planner.solve, "faults", lambda problem, plan: ("a rail twice",))


@pytest.mark.usefixtures("job", "wrong")
@pytest.mark.parametrize("command", ["plan", "order", "ways J1", "moulding-price J1"])
def test_a_fault_of_the_planner_ends_a_command_with_its_own_exit_code(
    where: str, command: str
) -> None:
    done = run(where, *command.split())
    assert (done.exit_code, "a rail twice" in done.output) == (17, True)


@pytest.mark.usefixtures("job", "wrong")
def test_what_came_of_an_order_is_received_though_the_planner_fails(shop: Shop, where: str) -> None:
    order = ordering.draft(shop, "LARK", [ordering.Wanted("ASH-22", 2)]).number
    ordering.place(shop, str(order))
    done = run(where, "orders", "receive", str(order), "ASH-22", "B7", "2x 3 m")
    assert (done.exit_code, len(find(shop, "ASH-22"))) == (0, 2)
    assert "What can now be cut could not be told: a rail twice" in done.output


@pytest.mark.usefixtures("job")
def test_nothing_is_planned_while_the_record_is_read(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[str] = []
    real = database.reading

    @contextmanager
    def watched(engine: Engine) -> Iterator[Session]:
        with real(engine) as session:
            opened.append("read")
            yield session
            opened.pop()

    for module in (unblocked_jobs, advise_offcuts, ready_made):
        monkeypatch.setattr(module, "reading", watched)
    asked: list[int] = []
    for module, name in ((unblocked_jobs, "planned"), (advise_offcuts, "frame_by_frame")):
        monkeypatch.setattr(module, name, noted(getattr(module, name), opened, asked))
    come = receive(shop, "ASH-22", "B7", [Arrival(3_000_000)] * 2)
    unblocked_jobs.unblocked(shop, come)
    ready_made.ready_made(shop)
    assert asked
    assert set(asked) == {0}


def noted(
    real: Callable[..., object], opened: list[str], asked: list[int]
) -> Callable[..., object]:
    """The same, noting how many transactions are open when it is asked."""

    def planner_asked(*told: object) -> object:
        asked.append(len(opened))
        return real(*told)

    return planner_asked
