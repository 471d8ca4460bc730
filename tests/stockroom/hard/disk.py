"""SQLite's own calls to the disk, under our hand: each is counted, and may fail or be the last.

A record's file is opened through SQLite's "virtual file system", a table of functions; ours stand
before those of the system. See https://sqlite.org/c3ref/vfs.html and c3ref/io_methods.html.
"""

import _sqlite3
import ctypes
import os
import random
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from ctypes import CFUNCTYPE, POINTER, c_char_p, c_int, c_int64, c_void_p
from typing import Any, NoReturn

__all__ = ["EIO", "ENOSPC", "Power", "disk_calls"]

Before = Callable[[str, str, int, int], int]
"""What is asked before a call: its kind, the file's name, where in it and how many bytes; gives
SQLite's code of a failure, or 0 where the call may be made."""

EIO = {"open": 14, "delete": 2570, "read": 266, "write": 778, "truncate": 1546, "sync": 1034}
"""SQLite's codes of a disk that fails in a call. Source: https://sqlite.org/rescode.html"""
ENOSPC = {"open": 14, "write": 13}
"""The same for a disk that is full; other calls need no room."""
SECTOR = 512
OPEN, DELETE = (
    CFUNCTYPE(c_int, *[c_void_p] * 3, c_int, c_void_p),
    CFUNCTYPE(c_int, c_void_p, c_char_p, c_int),
)
READ = WRITE = CFUNCTYPE(c_int, c_void_p, c_void_p, c_int, c_int64)
TRUNCATE, SYNC = CFUNCTYPE(c_int, c_void_p, c_int64), CFUNCTYPE(c_int, c_void_p, c_int)


class Methods(ctypes.Structure):
    """The functions of an open file, as SQLite lays them out."""

    _fields_ = (
        ("version", c_int), ("close", c_void_p), ("read", READ), ("write", WRITE),
        ("truncate", TRUNCATE), ("sync", SYNC), ("rest", c_void_p * 13),
    )  # fmt: skip


class System(ctypes.Structure):
    """The functions by which files are opened and deleted, as SQLite lays them out."""

    _fields_ = (
        ("version", c_int), ("file_size", c_int), ("longest", c_int), ("next", c_void_p),
        ("name", c_char_p), ("data", c_void_p), ("open", OPEN), ("delete", DELETE),
    )  # fmt: skip


def system() -> Any:
    """SQLite's way to this computer's files."""
    find = ctypes.CDLL(_sqlite3.__file__).sqlite3_vfs_find
    find.restype, find.argtypes = POINTER(System), [c_char_p]
    return find(None).contents


class Hand:
    """Our functions before the system's; a file keeps them until it is closed."""

    def __init__(self) -> None:
        self.before: Before = lambda *_: 0
        self.names: dict[int, str] = {}
        self.ours: dict[int, Methods] = {}
        self.theirs = system()
        # Read out of the table as they are: a function read as such changes with its place.
        self.open = OPEN(ctypes.cast(self.theirs.open, c_void_p).value or 0)
        self.delete = DELETE(ctypes.cast(self.theirs.delete, c_void_p).value or 0)
        self.opened, self.deleted = OPEN(self._opened), DELETE(self._deleted)

    def _opened(self, vfs: int, name: int, file: int, flags: int, said: int) -> int:
        path = os.fsdecode(ctypes.string_at(name)) if name else ""
        failed = self.before("open", path, 0, 0)
        code = failed or self.open(vfs, name, file, flags, said)
        if not failed:
            methods = c_void_p.from_address(file)
            if methods.value is not None:
                methods.value = ctypes.addressof(self.before_those(methods.value))
            self.names[file] = path
        else:
            c_void_p.from_address(file).value = None
        return int(code)

    def _deleted(self, vfs: int, name: bytes, sync: int) -> int:
        return int(self.before("delete", os.fsdecode(name), 0, 0) or self.delete(vfs, name, sync))

    def before_those(self, address: int) -> Methods:
        """The functions of a file with ours before four of them."""
        if address not in self.ours:
            own = Methods.from_address(address)
            ours = Methods.from_buffer_copy(own)
            ours.read = READ(
                lambda file, to, count, at: (
                    self.asked("read", file, at, count) or own.read(file, to, count, at)
                )
            )
            ours.write = WRITE(
                lambda file, what, count, at: (
                    self.asked("write", file, at, count) or own.write(file, what, count, at)
                )
            )
            ours.truncate = TRUNCATE(
                lambda file, size: self.asked("truncate", file, size, 0) or own.truncate(file, size)
            )
            ours.sync = SYNC(lambda file, flags: self.asked(
                "sync", file, 0, 0) or own.sync(file, flags))  # fmt: skip
            self.ours[address] = ours
        return self.ours[address]

    def asked(self, kind: str, file: int, at: int, count: int) -> int:
        """Asks before a call on an open file."""
        return self.before(kind, self.names.get(file, ""), at, count)


HAND = Hand()


@contextmanager
def disk_calls(before: Before) -> Iterator[None]:
    """Has this asked before each call to the disk of what SQLite opens meanwhile."""
    HAND.before = before
    HAND.theirs.open, HAND.theirs.delete = HAND.opened, HAND.deleted
    try:
        yield
    finally:
        HAND.theirs.open, HAND.theirs.delete = HAND.open, HAND.delete
        HAND.before = lambda *_: 0


class Power:
    """A disk that keeps for sure what it was told to sync; the rest is there or not when the
    power goes, sector by sector."""

    def __init__(self, dice: random.Random, last: int) -> None:
        self.dice, self.left = dice, last
        self.was: dict[str, dict[int, bytes]] = {}
        self.sizes: dict[str, int] = {}

    def __call__(self, kind: str, name: str, at: int, count: int) -> int:
        """Notes what a write replaces; the last call is not made, and nothing after it."""
        if kind in ("read", "open") or not name:
            return 0
        self.left -= 1
        if self.left == 0:
            self.goes()
        if kind == "sync":
            self.was.pop(name, None)
            self.sizes.pop(name, None)
        elif kind == "delete":
            self.was.pop(name, None)
        elif kind == "write":
            self.note(name, at, count)
        return 0

    def note(self, name: str, at: int, count: int) -> None:
        """Keeps the sectors as they were when the file was synced last."""
        was = self.was.setdefault(name, {})
        with open(name, "rb") as file:
            self.sizes.setdefault(name, os.fstat(file.fileno()).st_size)
            for sector in range(at // SECTOR, -(-(at + count) // SECTOR)):
                if sector not in was:
                    file.seek(sector * SECTOR)
                    was[sector] = file.read(SECTOR)

    def goes(self) -> NoReturn:
        """Half of what was not synced is as it was; then this process is gone."""
        for name, was in self.was.items():
            with open(name, "rb+") as file:
                for sector, old in was.items():
                    if old and self.dice.random() < 0.5:
                        file.seek(sector * SECTOR)
                        file.write(old)
                if self.dice.random() < 0.5:
                    file.truncate(max(self.sizes[name], 0))
        os.kill(os.getpid(), signal.SIGKILL)
        raise AssertionError("killed")
