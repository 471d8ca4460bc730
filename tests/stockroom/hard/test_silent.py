"""A server falls silent as a command talks with it: the command ends with a line and its exit code,
and what is typed again under its key is recorded once.
"""

import gc
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import psycopg
import pytest
from sqlalchemy.engine import make_url
from typer.testing import CliRunner

from stockroom.cli import app
from stockroom.record.database import reading
from stockroom.record.numbering import serial
from stockroom.record.tables import Entry
from stockroom.services.record.backup import back_up
from stockroom.services.record.proof import faults_of
from stockroom.services.shop import Shop
from tests.stockroom.hard.shopwork import EVERY, MONDAY, sticks
from tests.stockroom.hard.wire import Wire, wire_to

pytestmark = [
    pytest.mark.unaudited,
    # A cursor on the server cannot be closed once the server is gone.
    pytest.mark.filterwarnings("ignore:Exception ignored in.*ServerCursor"),
    pytest.mark.parametrize("where", ["postgresql"], indirect=True),
]

NO_SHOP, RECORDED = 15, 13
PATIENCE, SAMPLED = 0.6, 3
UNCHANGED = "nothing was changed"
RECEIVE = ("receive", "ASH-22", "B7", "2x 2998 mm")


@pytest.fixture
def wire(
    where: str, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> Iterator[Wire]:
    """A wire to the shop's server; while it may fall silent nobody waits for long."""
    wait = psycopg.Connection.wait

    def waited(connection: Any, gen: Any, interval: float = 0.1, timeout: Any = None) -> Any:
        return wait(connection, gen, interval, PATIENCE if made.silent_at else timeout)

    with wire_to(f"{make_url(where).query['host']}/.s.PGSQL.5432") as made:
        monkeypatch.setattr(psycopg.Connection, "wait", waited)
        yield made
    # What was logged holds on to cursors that nobody can close any more.
    caplog.clear()
    gc.collect()


@dataclass(frozen=True)
class Ended:
    """How a command ended, and what it said."""

    code: int
    said: str
    well: bool


def run(where: str, wire: Wire, key: str, *words: str) -> Ended:
    """A command typed by ada on Monday, over this wire."""
    url = make_url(where).set(host="127.0.0.1", port=wire.port, query={"connect_timeout": "2"})
    shared = ["--shop", url.render_as_string(hide_password=False), "--day", f"{MONDAY}",
              "--who", "ada", *(("--key", key) if key else ())]  # fmt: skip
    result = CliRunner().invoke(app, [*shared, *words])
    well = isinstance(result.exception, SystemExit | None)
    return Ended(result.exit_code, result.output, well)


def entries(shop: Shop) -> int:
    """How many entries stand in the record, which is true."""
    with reading(shop.engine) as session:
        assert faults_of(session) == []
        return serial(session, Entry) - 1


def silences(wire: Wire) -> list[tuple[int, bool]]:
    """At which of what was asked it falls silent, before that was carried or after."""
    count = wire.asked
    some = [max(1, count * turn // SAMPLED) for turn in range(SAMPLED + 1)]
    if EVERY:
        return [(at, carried) for at in range(1, count + 1) for carried in (False, True)]
    return [(at, bool(turn % 2)) for turn, at in enumerate(some)] + [(count, False)]


def ended_well(ended: Ended) -> None:
    """It ended with the exit code of a record that is not to be had, and a last line that says what
    became of the record and what to do."""
    assert (ended.code, ended.well) == (NO_SHOP, True), ended
    why, what, then = ended.said.strip().splitlines()[-1].split("; ")
    assert "postgresql://postgres:***@" in why, ended
    assert what in (UNCHANGED, "what was recorded stands"), ended
    assert re.fullmatch("check the .*and try again", then), ended


def test_a_change_is_given_up_and_recorded_once_when_it_is_typed_again(
    shop: Shop, where: str, wire: Wire
) -> None:
    assert run(where, wire, "tablet-2.first", *RECEIVE).code == 0
    failed = 0
    for at, carried in silences(wire):
        before, key = entries(shop), f"tablet-2.silent-{at}-{carried}"
        wire.mended(at, carried=carried)
        result = run(where, wire, key, *RECEIVE)
        if result.code:
            ended_well(result)
            failed += 1
            assert entries(shop) - before in ((0,) if UNCHANGED in result.said else (0, 1)), at
        wire.mended()
        again = run(where, wire, key, *RECEIVE)
        assert again.code in (0, RECORDED), again
        assert entries(shop) == before + 1, (at, carried)
    assert failed >= SAMPLED - 1


def test_a_restore_that_loses_the_server_changes_nothing_and_works_again(
    shop: Shop, where: str, wire: Wire, tmp_path: Path
) -> None:
    sticks(shop)
    copy = back_up(shop, tmp_path / "b").path
    words = ("restore", str(copy), "--newer")
    assert run(where, wire, "", *words).code == 0
    points, failed = silences(wire), 0
    for at, carried in points:
        sticks(shop)
        before = entries(shop)
        wire.mended(at, carried=carried)
        result = run(where, wire, "", *words)
        if result.code:
            ended_well(result)
            failed += 1
        assert entries(shop) in (before, 2), (at, carried)
        wire.mended()
        assert run(where, wire, "", *words).code == 0
        assert entries(shop) == 2
    assert failed >= SAMPLED - 1


@pytest.mark.parametrize("words", [("find",), ("backup", "--to", "b"), ("audit",)])
def test_what_only_reads_ends_too_and_leaves_no_half_file(
    shop: Shop, where: str, wire: Wire, words: tuple[str, ...], tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    sticks(shop)
    assert run(where, wire, "", *words).code == 0
    made = len(list(tmp_path.rglob("*")))
    for at, carried in silences(wire):
        wire.mended(at, carried=carried)
        result = run(where, wire, "", *words)
        if result.code:
            ended_well(result)
            assert len(list(tmp_path.rglob("*"))) == made
        else:
            made = len(list(tmp_path.rglob("*")))
