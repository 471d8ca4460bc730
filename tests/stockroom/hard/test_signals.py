"""Commands are told to end (SIGTERM, SIGINT, SIGHUP) at any call that touches the disk: each change
is recorded whole or not at all, no half file has a name for good, and the next takes the rest away.
"""

import os
import shutil
import signal
import sys
import traceback
from collections.abc import Callable
from itertools import cycle
from pathlib import Path
from typing import Any, NoReturn

import pytest
from sqlalchemy import Engine, event

from stockroom.__main__ import main
from stockroom.files import new_file
from stockroom.files.new_file import folder_aside, write_new
from stockroom.record import schema
from stockroom.record.database import engine_for, reading
from stockroom.record.numbering import serial
from stockroom.record.tables import Entry
from stockroom.services.record.backup import back_up, opened_copy
from stockroom.services.record.proof import faults_of
from stockroom.services.shop import open_shop
from stockroom.services.weekly.purchase_orders import Wanted, draft, place
from tests.compiled_once import UPGRADE
from tests.stockroom.hard.shopwork import EVERY, MONDAY, accepted, sticks, take

pytestmark = pytest.mark.unaudited

CALLS = ("open", "fsync", "link", "replace", "unlink", "rename", "mkdir", "rmdir")
"""Calls before which a command is told to end; and at each statement of a database as well."""
SIGNALS = (signal.SIGTERM, signal.SIGINT, signal.SIGHUP)
TRIES = 5
"""So many of a command's calls are tried, the last among them; all where every fault is."""
ONCE = (0, 12, 13)
"""The exit codes of a command that is typed again: done, or found to be recorded already."""
KEY = "tablet-2.signals-0017"
COMMANDS: dict[str, tuple[str, ...]] = {
    "take": (
        "take",
        "--customer",
        "R. Aldous",
        "-p",
        "ASH-22",
        "--width",
        "500",
        "--height",
        "400",
        "--due",
        "2026-11-27",
    ),
    "cut": ("cut", "1", "--piece", "1"),
    "receive": ("receive", "ASH-22", "B7", "2x 2998 mm"),
    "orders receive": ("orders", "receive", "1", "ASH-22", "B8", "2x 3000 mm"),
    "backup": ("backup", "--to", "new"),
    "export": ("export", "new.jsonl"),
    "restore": ("restore", "copy.db", "--newer"),
    "setup": ("setup", "--name", "The Glue Pot", "--unit", "mm", "--starter"),
}
WRITES_FILES = ("backup", "export", "setup", "restore")


@pytest.fixture(scope="module")
def kept(stocked_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a shop in which each command is the next thing to do."""
    folder = tmp_path_factory.mktemp("kept")
    shutil.copyfile(stocked_file, folder / "shop.db")
    shop = open_shop(str(folder / "shop.db"), "ada", MONDAY)
    shutil.copyfile(back_up(shop, folder / "b").path, folder / "copy.db")
    shutil.rmtree(folder / "b")
    take(shop)
    sticks(shop)
    assert accepted(shop) == 1
    draft(shop, "LARK", [Wanted("ASH-22", 2)])
    place(shop, "1")
    shop.engine.dispose()
    return folder


def told_to_end(
    folder: Path, words: tuple[str, ...], at: int, number: int
) -> tuple[int, list[str], str]:
    """Runs a command in a process of its own, which gets a signal at its n-th call.

    Gives how it ended, the calls that it made, and what it said.
    """
    said, counted = folder.with_name(f"{folder.name}.said"), folder.with_name("counted")
    pid = os.fork()
    if not pid:
        os.chdir(folder)
        run(said, counted, words, at, number)
    code = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    return code, counted.read_text().splitlines(), said.read_text()


def run(said: Path, counted: Path, words: tuple[str, ...], at: int, number: int) -> NoReturn:
    """The program as it is typed, in this process, which it ends."""
    out = os.open(said, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    for stream in (1, 2):
        os.dup2(out, stream)
    sys.stdout = open(1, "w", closefd=False)  # noqa: SIM115
    sys.stderr = open(2, "w", closefd=False)  # noqa: SIM115
    sys.argv = ["stockroom", "--shop", "new.db" if words[0] == "setup" else "shop.db",
                "--day", f"{MONDAY}", "--who", "ada", "--key", KEY, *words]  # fmt: skip
    schema.upgrade = UPGRADE
    calls, told = 0, os.open(counted, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)

    def count(what: str) -> None:
        nonlocal calls
        calls += 1
        os.write(told, f"{' '.join(what.split())}\n".encode())
        if calls == at:
            os.kill(os.getpid(), number)

    def before(call: Callable[..., Any]) -> Callable[..., Any]:
        def called(*told: Any, **more: Any) -> Any:
            count(call.__name__)
            return call(*told, **more)

        return called

    for name in CALLS:
        setattr(os, name, before(getattr(os, name)))
    event.listen(Engine, "before_cursor_execute", lambda *told: count(told[2]))
    event.listen(Engine, "commit", lambda *_told: count("COMMIT"))
    code = 0
    try:
        main()
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else 1
    except BaseException:
        traceback.print_exc()
        code = 99
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)


def entries(record: Path) -> int:
    """How many entries a record has, in which an audit finds no fault."""
    with reading(engine_for(str(record))) as session:
        assert faults_of(session) == []
        return serial(session, Entry) - 1


def left_whole(folder: Path, name: str, before: int, code: int) -> None:
    """What a command that was told to end left is as it was before, or all that it was to do."""
    record = folder / ("new.db" if name == "setup" else "shop.db")
    if name == "setup" and not record.exists():
        assert code
    else:
        now = entries(record)
        wanted = {"restore": (1, before), "setup": (1, 2, 3, 4)}.get(name, (before, before + 1))
        assert now in wanted
        if name not in WRITES_FILES and not code:
            assert now == before + 1
    for made in (*folder.glob("new/*"), *folder.glob("new.jsonl"), *folder.glob("*replaced*")):
        with opened_copy(made):
            pass
    for begun in folder.rglob(".stockroom-*"):
        write_new(begun.with_name(f"after-{begun.name[1:]}"), [b""])
    with folder_aside():
        pass
    assert not list(folder.rglob(".stockroom-*"))
    assert not list(folder.parent.glob("stockroom-aside-*"))


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_that_is_told_to_end_leaves_a_whole_record_and_nothing_half_made(
    kept: Path, tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    monkeypatch.setattr(new_file, "LEFT_BEHIND_SECONDS", -1)
    before = entries(kept / "shop.db")

    def tried(at: int, number: int) -> tuple[int, list[str], str, Path]:
        folder = tmp_path / f"{at}-{number}"
        shutil.copytree(kept, folder)
        return *told_to_end(folder, COMMANDS[name], at, number), folder

    code, calls, said, _ = tried(0, 0)
    assert code == 0, said
    for at, number in zip(points(calls), cycle(SIGNALS), strict=False):
        code, _, said, folder = tried(at, number)
        assert code in (0, 128 + number), (at, number, said)
        assert "Traceback" not in said, (at, number, said)
        left_whole(folder, name, before, code)
        if name not in WRITES_FILES:
            code, _, said = told_to_end(folder, COMMANDS[name], 0, 0)
            assert code in ONCE, said
            assert entries(folder / "shop.db") == before + 1
        shutil.rmtree(folder)


def points(calls: list[str]) -> list[int]:
    """The calls at which a command is told to end: all, or some and one that fills a table anew,
    after which Alembic would tidy up."""
    if EVERY:
        return [*range(1, len(calls) + 1)]
    filled = [at for at, call in enumerate(calls, 1) if "INTO _alembic_tmp" in call][-1:]
    return [*filled, *(len(calls) * turn // TRIES for turn in range(1, TRIES + 1))]
