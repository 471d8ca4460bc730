"""When to stop looking for better: a time limit, or a framer who has waited long enough."""

import signal
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

from planner.values import Reason

__all__ = ["OutOfTime", "Stop", "Tell", "stop_on_interrupt"]

Tell = Callable[[Reason], None]


class OutOfTime(Exception):
    """Time ran out in the middle of a step, which is given up."""


class Stop:
    """Over at a moment, or when told to be: solvers ask, and hand back the best so far."""

    def __init__(
        self, seconds: float, told: threading.Event | None = None, tell: Tell | None = None
    ) -> None:
        """``tell`` hears how far the search has come."""
        self.ends = time.monotonic() + seconds
        self.told = told or threading.Event()
        self._tell = tell

    def say(self, how_far: Reason | None) -> None:
        """Tell whoever listens how far the search has come, where there is something to tell."""
        if self._tell is not None and how_far is not None:
            self._tell(how_far)

    def left(self) -> float:
        """Seconds left, never below 0."""
        return 0.0 if self.told.is_set() else max(0.0, self.ends - time.monotonic())

    def over(self) -> bool:
        """Time to hand back the best so far."""
        return self.left() <= 0

    def check(self) -> None:
        """Give the step up if time is over.

        Raises:
            OutOfTime: it is.
        """
        if self.over():
            raise OutOfTime

    def within(self, seconds: float, tell: Tell | None = None) -> "Stop":
        """A stop of at most this many seconds that also heeds this one."""
        return Stop(min(seconds, self.left()), self.told, tell or self._tell)


@contextmanager
def stop_on_interrupt(stop: Stop) -> Iterator[None]:
    """The first Ctrl-C ends the search with the best so far, the second ends the program.

    Raises:
        KeyboardInterrupt: at the second Ctrl-C.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def told(number: int, frame: FrameType | None) -> None:
        if stop.told.is_set():
            raise KeyboardInterrupt
        stop.told.set()

    before = signal.signal(signal.SIGINT, told)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
