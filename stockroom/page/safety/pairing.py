"""Letting another device in: a code of eight digits, good for one device, ten minutes, five tries.

Only the newest code counts. A wrong one is a try against it, whoever typed it.
"""

import time
from collections.abc import Callable
from hmac import compare_digest
from secrets import randbelow
from threading import Lock

from stockroom.page.safety.devices import Role
from stockroom.refusals import Refused

__all__ = ["DIGITS", "MINUTES", "TRIES", "Codes"]

DIGITS, MINUTES, TRIES = 8, 10, 5


class Codes:
    """The code that a new device is let in by, if there is one now."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = Lock()
        self._code = ""
        self._role: Role = "cutter"
        self._until = 0.0
        self._tries = 0

    def new(self, role: Role) -> str:
        """A fresh code for a device of this role; an older one is void."""
        with self._lock:
            self._code = f"{randbelow(10**DIGITS):0{DIGITS}d}"
            self._role, self._tries = role, TRIES
            self._until = self._clock() + 60 * MINUTES
            return self._code

    def use(self, typed: str) -> Role:
        """The role that a code gives; it is used up by that.

        Raises:
            Refused: it is wrong, used, too old, or was tried too often.
        """
        given = "".join(typed.split())
        with self._lock:
            live = bool(self._code) and self._clock() < self._until and self._tries > 0
            self._tries -= 1
            if not (live and compare_digest(given.encode(), self._code.encode())):
                raise Refused("this code lets nobody in",
                              "ask for a new one at the shop's computer")  # fmt: skip
            self._code = ""
            return self._role
