"""What is made is whole or not at all: processes are killed at each call that touches the disk."""

import errno
import os
import shutil
import signal
import sys
from collections.abc import Callable, Sequence
from itertools import product
from pathlib import Path
from types import FrameType
from typing import Any

import pytest
from sqlalchemy import Engine, event

from stockroom.files import new_file
from stockroom.record import schema
from stockroom.record.database import engine_for, reading
from stockroom.refusals import StockroomError
from stockroom.services.catalogue.load import starter
from stockroom.services.catalogue.save import save
from stockroom.services.record.backup import back_up, opened_copy
from stockroom.services.record.export import export_record, import_record
from stockroom.services.record.proof import faults_of
from stockroom.services.record.restore import restore
from stockroom.services.shop import open_shop, set_up
from tests.compiled_once import UPGRADE
from tests.stockroom.hard.shopwork import EVERY, MONDAY, sticks

pytestmark = pytest.mark.unaudited

DAMAGED = b"SQLite format 3\x00" + b"\x5a" * 9000
NEW = ("setup", "import", "export", "save")
"""What refuses a file that is there already."""
CALLS = ("open", "fsync", "link", "replace", "unlink", "rename", "mkdir", "rmdir")
"""What a process may be killed just before; and at each statement of a database as well."""
Do = Callable[[Path], object]


def child(folder: Path, do: Do, die_at: int, fault: int | None = None) -> int:
    """Does it in a process of its own that kills itself at its n-th call; gives how it ended.

    With a fault, such as EIO, the call fails with it, and statements of a database do not count.
    One that comes to its end writes down the calls it made: the kind of each, and where it is made.
    """
    pid = os.fork()
    if pid:
        return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    calls: list[str] = []

    def count(kind: str) -> None:
        calls.append(f"{kind} in {asks()}")
        if len(calls) == die_at and fault is not None:
            raise OSError(fault, os.strerror(fault))
        if len(calls) == die_at:
            os.kill(os.getpid(), signal.SIGKILL)

    def counted(call: Callable[..., Any]) -> Callable[..., Any]:
        def called(*told: Any, **more: Any) -> Any:
            count(call.__name__)
            return call(*told, **more)

        return called

    if EVERY:
        schema.upgrade = UPGRADE
    for name in CALLS:
        setattr(os, name, counted(getattr(os, name)))
    if fault is None:
        event.listen(Engine, "before_cursor_execute", lambda *told: count(told[2].split()[0]))
    try:
        do(folder)
    except StockroomError:
        os._exit(3)
    except BaseException:
        os._exit(4)
    folder.with_name("calls").write_text("\n".join(calls))
    os._exit(0)


def asks() -> str:
    """The function of the shop's own that a call is made for."""
    frame: FrameType | None = sys._getframe(2)  # noqa: SLF001
    while frame and not frame.f_globals["__name__"].startswith("stockroom."):
        frame = frame.f_back
    return f"{frame.f_globals['__name__']}.{frame.f_code.co_name}" if frame else "none of it"


def ready(folder: Path, stocked_file: Path) -> None:
    """A shop with a backup, and one whose record is damaged."""
    shutil.copyfile(stocked_file, folder / "shop.db")
    shop = open_shop(str(folder / "shop.db"), "ada", MONDAY)
    sticks(shop, 3)
    shutil.copyfile(back_up(shop, folder / "b").path, folder / "copy.db")
    export_record(shop, folder / "copy.jsonl")
    (folder / "bad.db").write_bytes(DAMAGED)


TASKS: dict[str, tuple[Do, str]] = {
    "backup": (lambda f: back_up(open_shop(str(f / "shop.db"), "ada"), f / "new"), "new/*"),
    "setup": (lambda f: set_up(str(f / "new.db"), "ada", {}, MONDAY, also=starter), "new.db"),
    "export": (lambda f: export_record(open_shop(str(f / "shop.db"), "ada"), f / "new.jsonl"),
               "new.jsonl"),
    "import": (lambda f: import_record(str(f / "new.db"), f / "copy.jsonl"), "new.db"),
    "restore": (lambda f: restore(str(f / "shop.db"), f / "copy.db", newer=True), "shop.db"),
    "damaged": (lambda f: restore(str(f / "bad.db"), f / "copy.db", newer=True), "bad.db"),
    "save": (lambda f: save(open_shop(str(f / "shop.db"), "ada"), "rack", f / "new.csv"),
             "new.csv"),
}  # fmt: skip


def whole(path: Path) -> bool:
    """True where a file that has its name is all that it should be."""
    if path.suffix == ".csv":
        return path.read_text().count("\n") == 4
    if path.suffix == ".jsonl" or "backup" in path.name:
        with opened_copy(path):
            return True
    with reading(engine_for(str(path))) as session:
        return faults_of(session) == []


@pytest.mark.parametrize("task", TASKS)
def test_what_a_killed_process_made_is_whole_or_not_there_and_the_next_one_works(
    stocked_file: Path, tmp_path: Path, task: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    monkeypatch.setattr(new_file, "LEFT_BEHIND_SECONDS", -1)
    do, made = TASKS[task]
    kept = tmp_path / "kept"
    kept.mkdir()
    ready(kept, stocked_file)
    calls = calls_of(kept, tmp_path / "first", do)
    for at in points(calls) if EVERY else (len(calls) // 2, len(calls)):
        folder = tmp_path / f"{task}-{at}"
        shutil.copytree(kept, folder)
        assert child(folder, do, at) == -signal.SIGKILL, at
        there = [path for path in folder.glob(made) if not path.name.startswith(".")]
        for path in there:
            assert is_damaged(path) or whole(path), at
        again(folder, do, there if task in NEW else [])
    calls = calls_of(kept, tmp_path / "files", do, errno.EIO)
    last = ((len(calls), errno.EIO), (len(calls) - 1, errno.ENOSPC))
    all_of_them = product(points(calls), (errno.EIO, errno.ENOSPC))
    for at, fault in all_of_them if EVERY else last:
        folder = tmp_path / f"{task}-{at}-{fault}"
        shutil.copytree(kept, folder)
        ended = child(folder, do, at, fault)
        there = [path for path in folder.glob(made) if not path.name.startswith(".")]
        assert ended in (0, 3), fault
        assert all(is_damaged(path) or whole(path) for path in there)
        again(folder, do, there if task in NEW else [])


def again(folder: Path, do: Do, there: list[Path]) -> None:
    """It is done again after these are taken away, and leaves nothing behind but what it makes."""
    for path in there:
        path.unlink()
    do(folder)
    assert not list(folder.rglob(".stockroom-*"))
    shutil.rmtree(folder)


def calls_of(kept: Path, folder: Path, do: Do, fault: int | None = None) -> list[str]:
    """The calls that it makes where nobody kills it."""
    shutil.copytree(kept, folder)
    assert child(folder, do, 10**6, fault) == 0
    calls = folder.with_name("calls").read_text().splitlines()
    assert len(calls) > 2
    return calls


def points(calls: Sequence[str]) -> list[int]:
    """The first and the last of the calls of each kind at each place, from 1: those between are
    made of the same files in the same transaction, or in a loop."""
    numbered = [*enumerate(calls, 1)]
    ends = {call: at for at, call in numbered}, {call: at for at, call in reversed(numbered)}
    return sorted({at for found in ends for at in found.values()})


def is_damaged(path: Path) -> bool:
    """True for the damaged record, where it is as it was."""
    return path.name == "bad.db" and path.read_bytes() == DAMAGED


def test_of_three_setups_at_once_one_makes_the_record_and_it_stays(tmp_path: Path) -> None:
    for turn in range(50 if EVERY else 2):
        folder = tmp_path / str(turn)
        folder.mkdir()
        pids = []
        for _ in range(3):
            pid = os.fork()
            if not pid:
                try:
                    set_up(str(folder / "shop.db"), "ada", {}, MONDAY, also=starter)
                except StockroomError:
                    os._exit(12)
                except BaseException:
                    os._exit(1)
                os._exit(0)
            pids.append(pid)
        ended = sorted(os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) for pid in pids)
        assert ended == [0, 12, 12]
        assert whole(folder / "shop.db")
        assert not list(folder.glob(".stockroom-*"))
