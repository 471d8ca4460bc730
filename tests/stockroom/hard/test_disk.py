"""The disk fails or fills at any call, the power goes, a server is lost at any message: each change
is recorded whole or not at all, what is said of it is true, and under its key it is repeated once.
"""

import gc
import os
import random
import shutil
import signal
import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any

import psycopg
import pytest
from sqlalchemy import event

from stockroom.record.audit import audit
from stockroom.record.database import reading
from stockroom.record.numbering import serial
from stockroom.record.tables import Entry
from stockroom.refusals import NoShop, Recorded
from stockroom.services.morning import day_plan as morning
from stockroom.services.morning.sheets import to_settle
from stockroom.services.record.undo import undo
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop, open_shop, set_up, under_key
from tests.stockroom.hard.disk import EIO, ENOSPC, Power, disk_calls
from tests.stockroom.hard.shopwork import EVERY, MONDAY, accepted, drafted, sticks, take

pytestmark = pytest.mark.unaudited

KEY = "tablet-2.disk-000017"
SAMPLED = 8
"""So many of the calls of a change fail in turn, the last among them."""
PLAN, PIECE = 1, 1
WORK: dict[str, Callable[[Shop], object]] = {
    "receive": lambda shop: sticks(shop, 2), "take in": take,
    "accept": lambda shop: morning.accept(shop, PLAN),
    "cut": lambda shop: record_cut(shop, SawReport(PLAN, PIECE)), "undo": undo,
}  # fmt: skip


@pytest.fixture(scope="module")
def days(stocked_file: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """A record for each work, in which it is the next thing to do."""
    folder = tmp_path_factory.mktemp("days")
    made = {}
    for name in WORK:
        made[name] = folder / f"{name}.db"
        shutil.copyfile(stocked_file, made[name])
        shop = opened(made[name])
        take(shop)
        sticks(shop)
        if name == "accept":
            assert drafted(shop) == PLAN
        elif name in ("cut", "undo"):
            assert to_settle(shop, accepted(shop)) == [PIECE]
    return made


def opened(place: Path | str) -> Shop:
    """The shop at a place."""
    return open_shop(str(place), "ada", MONDAY)


def copied(kept: Path, to: Path) -> Shop:
    """A copy of a record, opened."""
    for old in to.parent.glob(f"{to.name}*"):
        old.unlink()
    shutil.copyfile(kept, to)
    return opened(to)


def state(shop: Shop) -> tuple[int, list[Any]]:
    """How many entries the record has, and its faults."""
    with reading(shop.engine) as session:
        return serial(session, Entry) - 1, list(audit(session))


def refused(do: Callable[[], object]) -> str | None:
    """What was refused, if anything; that it was recorded before is as good as done."""
    try:
        do()
    except Recorded:
        return None
    except NoShop as refusal:
        return str(refusal)
    return None


def sampled(count: int) -> list[int]:
    """The numbers of calls that are tried; all of them where every fault is."""
    if EVERY:
        return list(range(1, count + 1))
    return [count * turn // SAMPLED for turn in range(1, SAMPLED + 1)]


class Failing:
    """A disk that fails at its n-th call, and at all after it while it is full."""

    def __init__(self, codes: dict[str, int], at: int) -> None:
        self.codes, self.at, self.calls = codes, at, 0

    def __call__(self, kind: str, _name: str, _at: int, _count: int) -> int:
        """What becomes of a call."""
        self.calls += 1
        now = self.calls >= self.at if self.codes is ENOSPC else self.calls == self.at
        return self.codes.get(kind, 0) if now else 0


def after_fault(shop: Shop, before: int, said: str | None, do: Callable[[], object]) -> None:
    """Whatever failed: what was said holds, and a retry makes one entry of it; all is true."""
    with reading(shop.engine) as session:
        now = serial(session, Entry) - 1
    assert now - before in ((1,) if said is None else (0, 1))
    if said is not None and "nothing was changed" in said:
        assert now == before, said
    assert refused(do) is None
    assert state(shop) == (before + 1, [])


@pytest.mark.parametrize("name", WORK)
def test_a_disk_that_fails_at_any_call_leaves_a_true_record_and_says_what_is_true(
    days: dict[str, Path], tmp_path: Path, name: str
) -> None:
    before = state(opened(days[name]))[0]
    shop = copied(days[name], tmp_path / "whole.db")
    with disk_calls(counted := Failing({}, 0)):
        WORK[name](shop)
    fails = 0
    for turn, at in enumerate(sampled(counted.calls)):
        for kind in (EIO, ENOSPC) if EVERY else ((EIO, ENOSPC)[turn % 2],):
            shop = copied(days[name], tmp_path / "failed.db")
            do = partial(WORK[name], under_key(shop, KEY))
            with disk_calls(Failing(kind, at)):
                said = refused(do)
            fails += said is not None
            after_fault(shop, before, said, partial(WORK[name], under_key(shop, KEY)))
    assert fails >= 4


@pytest.mark.parametrize("room", [0, 3, 40])
def test_a_disk_that_fills_as_a_new_record_is_made_leaves_none_that_is_not_whole(
    tmp_path: Path, room: int
) -> None:
    def full(kind: str, name: str, at: int, count: int) -> int:
        return ENOSPC.get(kind, 0) if name.endswith(".part") and at + count > room * 4096 else 0

    with disk_calls(full), pytest.raises(NoShop, match=r"new\.db cannot be written: .*full"):
        set_up(str(tmp_path / "new.db"), "ada", {}, MONDAY)
    assert not list(tmp_path.iterdir())


def test_of_a_change_whose_outcome_cannot_be_read_it_is_not_said_that_nothing_was_changed(
    days: dict[str, Path], tmp_path: Path
) -> None:
    shop = copied(days["accept"], tmp_path / "failed.db")
    before, commits = state(shop)[0], [0]

    def after_the_commit(kind: str, *_told: object) -> int:
        return EIO["read"] if kind == "read" and commits[0] else 0

    def committed(_connection: object) -> None:
        commits[0] += 1

    event.listen(shop.engine, "commit", committed)
    with disk_calls(after_the_commit):
        said = refused(partial(WORK["accept"], shop))
    assert said is not None
    assert "what was recorded stands" in said
    assert state(shop) == (before + 1, [])


def until_the_power_goes(place: Path, seed: int, last: int, told: int) -> None:
    """Works in a process of its own, telling each thing that is done, until the power goes."""
    with disk_calls(Power(random.Random(seed), last)):
        for name in ("receive", "take in", "receive", "take in", "undo", "receive"):
            WORK[name](opened(place))
            os.write(told, b".")
    os._exit(0)


def test_after_a_power_cut_each_thing_that_was_done_is_there_whole(
    days: dict[str, Path], tmp_path: Path
) -> None:
    """What was written since the last sync is there or not sector by sector: torn and lost."""
    before, went = state(opened(days["receive"]))[0], 0
    for seed, last in enumerate(range(1, 90) if EVERY else range(3, 90, 7)):
        place = tmp_path / f"{seed}.db"
        shutil.copyfile(days["receive"], place)
        reader, writer = os.pipe()
        if not (pid := os.fork()):
            try:
                until_the_power_goes(place, seed, last, writer)
            finally:
                os._exit(1)
        os.close(writer)
        ended = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
        assert ended in (-signal.SIGKILL, 0)
        went += ended != 0
        done = len(os.read(reader, 100))
        os.close(reader)
        now, faults = state(opened(place))
        assert faults == []
        assert 0 <= now - before - done <= 1, (seed, last)
    assert went >= 10


@contextmanager
def lost_at(message: int, lose: Callable[[Any], object]) -> Iterator[list[int]]:
    """The connection to the server is lost before its n-th message; counts them."""
    wait, counted = psycopg.Connection.wait, [0]

    def waited(connection: Any, *told: Any, **more: Any) -> Any:
        counted[0] += 1
        if counted[0] == message:
            lose(connection)
        return wait(connection, *told, **more)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(psycopg.Connection, "wait", waited)
        yield counted


def hung_up(connection: Any) -> None:
    """The network between is cut."""
    with socket.socket(fileno=os.dup(connection.pgconn.socket)) as line:
        line.shutdown(socket.SHUT_RDWR)


# A cursor on the server cannot be closed once the server is gone.
@pytest.mark.filterwarnings("ignore:Exception ignored in.*ServerCursor")
@pytest.mark.parametrize("where", ["postgresql"], indirect=True)
@pytest.mark.parametrize("how", ["the network is cut", "the server ends it"])
def test_a_server_lost_at_any_message_leaves_a_true_record_and_says_what_is_true(
    shop: Shop, caplog: pytest.LogCaptureFixture, how: str, say: Callable[[str], object]
) -> None:
    def ended(connection: Any) -> None:
        say(f"SELECT pg_terminate_backend({connection.info.backend_pid}, 5000)")

    lose = hung_up if how == "the network is cut" else ended

    def do() -> None:
        sticks(under_key(shop, f"{KEY}-{message}"), 2)

    message = 0
    with lost_at(0, lose) as counted:
        do()
    assert counted[0] > SAMPLED
    lost = 0
    for message in sampled(counted[0]):
        before = state(shop)[0]
        with lost_at(message, lose):
            said = refused(do)
        lost += said is not None
        after_fault(shop, before, said, do)
    # What follows the commit may be lost unsaid.
    assert lost >= SAMPLED - 1
    caplog.clear()
    gc.collect()
