"""Connections kept open between transactions, for a server that is asked all day.

Opening one reads the schema anew, and closing SQLite's last one writes its log back: 9 ms of a cut.
"""

import os
from typing import Any, cast

from sqlalchemy import Engine, event
from sqlalchemy.exc import DisconnectionError
from sqlalchemy.pool import QueuePool

from stockroom.record.database import sqlite_path
from stockroom.record.databases.known_kinds import kind_of

__all__ = ["kept_open"]

MOST = 64
"""More than the threads that a server answers in, so that none waits for a connection."""


class Kept(QueuePool):
    """A few connections stay open; as many as are asked for at once are opened.

    Once it is disposed of none stays: one that a thread still holds then is closed as it comes
    back, and so is one that is opened after.
    """

    def __init__(self, creator: Any, **more: Any) -> None:
        # A server that was started anew has closed what was open: each is asked before its use.
        super().__init__(creator, **{**more, "max_overflow": MOST, "pre_ping": True})
        self.over = False

    def dispose(self) -> None:
        """Closes what is open, now or when it comes back."""
        self.over = True
        super().dispose()

    def recreate(self) -> "Kept":
        """What takes its place keeps nothing."""
        made = cast(Kept, super().recreate())
        made.over = True
        return made

    def _do_return_conn(self, record: Any) -> None:
        super()._do_return_conn(record)
        if self.over:
            super().dispose()


def kept_open(engine: Engine) -> Engine:
    """The same record through connections that stay open until the engine is disposed of."""
    path = sqlite_path(engine)
    kept = kind_of(engine).open(engine.url, Kept)
    if path is None:
        return kept

    @event.listens_for(kept, "connect")
    def remember(_connection: Any, record: Any) -> None:
        record.info["file"] = place_of(str(path))

    @event.listens_for(kept, "checkout")
    def same_file(_connection: Any, record: Any, _proxy: Any) -> None:
        check_same(record.info["file"], place_of(str(path)))

    return kept


def check_same(was: tuple[int, int] | None, now: tuple[int, int] | None) -> None:
    """What is open is what lies there; a restore puts another file in a record's place.

    Raises:
        DisconnectionError: it is not: a connection to the one that lies there is opened.
    """
    if was != now:
        raise DisconnectionError("the record is another file now")


def place_of(path: str) -> tuple[int, int] | None:
    """Which file lies there; None where none does."""
    try:
        found = os.stat(path)
    except OSError:
        return None
    return found.st_dev, found.st_ino
