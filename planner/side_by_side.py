"""Profiles planned side by side: in processes of this computer, or through a Dask cluster."""

import multiprocessing
import os
import signal
import threading
from collections.abc import Collection, Iterator
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from typing import Any

from planner.stop import Stop
from planner.values import Plan, Problem

__all__ = ["PAYS_AFTER", "dask_cluster", "done_first", "planned_there", "processes", "processors"]

PAYS_AFTER = 1.5
"""Seconds that a plan is worked on in one process before others are started: about what they take
to start, so that it never takes twice as long as with the better choice."""
LOOKED_AT = 0.2
"""Seconds after which it is asked again whether the search is to end."""


class SharedFlag(threading.Event):
    """A flag that processes share; cheap to look at, since solvers do it all the time."""

    def __init__(self, value: Any) -> None:
        super().__init__()
        self._value = value

    def set(self) -> None:
        """Raise it, for every process."""
        self._value.value = 1

    def is_set(self) -> bool:
        """It was raised, in any process."""
        return bool(self._value.value)


_told: SharedFlag | None = None


def processors() -> int:
    """How many processors of this computer the program may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def planned_there(part: Problem) -> Plan:
    """The plan of one profile, in the time that its limits give, wherever this runs."""
    from planner.search.profile import plan_profile

    return plan_profile(part, Stop(part.limits.seconds, _told))


@contextmanager
def processes(count: int) -> Iterator[tuple[Executor, threading.Event]]:
    """Fresh processes, and the flag that ends what they search for."""
    context = multiprocessing.get_context("spawn")
    value = context.RawValue("b", 0)
    with ProcessPoolExecutor(count, context, _begin, (value,)) as pool:
        yield pool, SharedFlag(value)


def _begin(value: Any) -> None:
    """A process begins: Ctrl-C is its parent's to hear, and it ends with its parent."""
    global _told
    _told = SharedFlag(value)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    if parent := multiprocessing.parent_process():
        parent.join()
        os._exit(1)


def done_first(
    running: Collection["Future[Plan]"], stop: Stop, flag: threading.Event | None
) -> Collection["Future[Plan]"]:
    """What of some plans made elsewhere is there first; the flag is raised when it is to stop."""
    while True:
        if flag is not None and stop.told.is_set():
            flag.set()
        if done := wait(running, LOOKED_AT, FIRST_COMPLETED).done:
            return done


@contextmanager
def dask_cluster(address: str) -> Iterator[Executor]:
    """The executor of the Dask cluster whose scheduler has this address.

    Raises:
        ImportError: the extra ``dask`` is not installed.
        OSError: nothing answers there within five seconds.
    """
    from distributed import Client

    client: Any = Client
    with client(address, timeout=5, set_as_default=False) as reached:
        yield reached.get_executor()
