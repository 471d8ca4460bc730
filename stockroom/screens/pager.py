"""What is longer than the screen is shown in a pager: on a terminal, and nowhere else.

It is the one that PAGER names, or less; PAGER=cat, or STOCKROOM_PAGER=off, shows all at once.
"""

import io
import os
import shutil
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from typing import Any, TextIO

__all__ = ["paged", "paging"]

LESS = "FRX"
"""It ends where all fits, shows colours, and leaves what was read on the screen."""


class HeldBack(io.StringIO):
    """What is printed to a terminal, kept until it is known how long it is."""

    def __init__(self, terminal: TextIO) -> None:
        super().__init__()
        self._terminal = terminal

    def isatty(self) -> bool:
        """True: it ends on a terminal."""
        return True

    def fileno(self) -> int:
        """The terminal's."""
        return self._terminal.fileno()

    @property
    def encoding(self) -> str:  # type: ignore[override]
        """The terminal's."""
        return self._terminal.encoding


@contextmanager
def paging() -> Iterator[None]:
    """What is printed in here is shown in a pager if the screen does not hold it."""
    terminal = sys.stdout
    if isinstance(terminal, HeldBack) or not pages():
        yield
        return
    held = HeldBack(terminal)
    sys.stdout = held
    try:
        yield
    finally:
        sys.stdout = terminal
        show(held.getvalue())


def paged(show: Callable[..., None]) -> Callable[..., None]:
    """What shows something, in a pager where the screen does not hold it."""

    @wraps(show)
    def within(*told: Any, **named: Any) -> None:
        with paging():
            show(*told, **named)

    return within


def pages() -> bool:
    """True where somebody sits at a terminal that can show a pager, and has not turned it off."""
    off = os.environ.get("STOCKROOM_PAGER", "").strip().lower() in ("off", "no", "0")
    dumb = os.environ.get("TERM", "dumb") == "dumb"
    return not off and not dumb and sys.stdin.isatty() and sys.stdout.isatty()


def show(text: str) -> None:
    """Shows a text, in a pager where it has more lines than the terminal."""
    if text.count("\n") < shutil.get_terminal_size().lines:
        sys.stdout.write(text)
        return
    import pydoc

    os.environ.setdefault("LESS", LESS)
    sys.stdout.flush()
    pydoc.pager(text)
