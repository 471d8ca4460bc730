"""A command repeated under its key is recorded once; a server that falls silent is given up."""

import os
import shutil
import signal
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, event, text
from sqlalchemy.exc import OperationalError

from stockroom.record.database import changing, reading
from stockroom.record.databases import server
from stockroom.record.numbering import serial
from stockroom.record.tables import Entry
from stockroom.refusals import NoShop, Recorded, Unreadable
from stockroom.services.morning.sheets import to_settle
from stockroom.services.rack import pieces as rack
from stockroom.services.record.undo import undo
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop, open_shop, under_key
from tests.stockroom.hard.shopwork import MONDAY, accepted, sticks, take

KEY = "tablet-2.cut-000017"


def entries(shop: Shop) -> int:
    """How many entries the record has."""
    with reading(shop.engine) as session:
        return serial(session, Entry) - 1


def test_a_command_repeated_under_its_key_is_recorded_once_undone_or_not(shop: Shop) -> None:
    take(shop)
    sticks(shop, 2)
    number = accepted(shop)
    report = SawReport(number, to_settle(shop, number)[0])
    record_cut(under_key(shop, KEY), report)
    before = entries(shop)
    with pytest.raises(Recorded, match=f"already, as entry {before} .cut by ada"):
        record_cut(under_key(shop, KEY), report)
    undo(shop)
    with pytest.raises(Recorded, match=f"and undone by entry {before + 1}") as told:
        record_cut(under_key(shop, KEY), report)
    assert (told.value.entry, told.value.exit_code) == (before, 0)
    assert entries(shop) == before + 1
    record_cut(under_key(shop, KEY + "b"), report)


def test_the_same_work_under_another_key_or_none_is_recorded_again(shop: Shop) -> None:
    sticks(under_key(shop, "first-of-two"))
    sticks(under_key(shop, "second-of-two"))
    sticks(shop)
    sticks(shop)
    assert len(rack.find(shop)) == 4


def test_two_at_once_under_one_key_record_it_once(shop: Shop) -> None:
    told: list[str] = []

    def receive() -> None:
        try:
            sticks(under_key(shop, KEY))
            told.append("recorded")
        except Recorded:
            told.append("already")

    threads = [threading.Thread(target=receive) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(told) == ["already"] * 3 + ["recorded"]
    assert len(rack.find(shop)) == 1


@pytest.mark.parametrize("key", ["", "short", "x" * 65, "with space", "a\nb-----", "naïve-key"])
def test_what_is_no_key_is_refused(shop: Shop, key: str) -> None:
    with pytest.raises(Unreadable, match="8 to 64"):
        under_key(shop, key)


def test_a_disk_that_fails_as_the_entry_is_written_is_not_said_to_have_changed_nothing(
    tmp_path: Path, stocked_file: Path
) -> None:
    shutil.copyfile(stocked_file, tmp_path / "shop.db")
    shop = open_shop(str(tmp_path / "shop.db"), "ada", MONDAY)

    def fails_once_written(connection: Connection) -> None:
        event.remove(shop.engine, "commit", fails_once_written)
        connection.connection.commit()
        raise OperationalError("COMMIT", {}, sqlite3.OperationalError("disk I/O error"))

    event.listen(shop.engine, "commit", fails_once_written)
    keyed = under_key(shop, KEY)
    with pytest.raises(NoShop, match=f"whole, or not at all; repeat it under its key {KEY}"):
        sticks(keyed)
    with pytest.raises(Recorded):
        sticks(under_key(shop, KEY))
    assert len(rack.find(shop)) == 1


@contextmanager
def halted(pid: int) -> Iterator[None]:
    """A process of the server that answers nothing, though its connection stands."""
    os.kill(pid, signal.SIGSTOP)
    try:
        yield
    finally:
        os.kill(pid, signal.SIGCONT)


@pytest.mark.parametrize("where", ["postgresql"], indirect=True)
def test_a_server_that_falls_silent_is_given_up(shop: Shop) -> None:
    def asked_of_one_that_is_halted() -> None:
        with reading(shop.engine) as session:
            connection = session.connection()
            pid = connection.execute(text("SELECT pg_backend_pid()")).scalar_one()
            server.be_patient(connection, 1)
            with halted(pid):
                connection.execute(text("SELECT 1"))

    with pytest.raises(NoShop, match="the server did not answer for 1 s"):
        asked_of_one_that_is_halted()


@pytest.mark.parametrize("where", ["postgresql"], indirect=True)
def test_a_statement_has_an_end_and_a_restore_may_lie_idle(shop: Shop) -> None:
    def limits(connection: Any) -> tuple[str, str]:
        names = ("statement_timeout", "idle_in_transaction_session_timeout")
        return tuple(connection.execute(text(f"SHOW {name}")).scalar_one() for name in names)

    with reading(shop.engine) as session:
        # It reckons for long between what it asks, and keeps nobody waiting.
        assert limits(session.connection()) == ("110s", "1h")
    with changing(shop.engine) as session:
        assert limits(session.connection()) == ("110s", "1min")
        server.take_time(session.connection())
        assert limits(session.connection()) == ("1h", "1h")
