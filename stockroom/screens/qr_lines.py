"""A QR code on a terminal: two rows of modules a line, so that they come out square."""

from collections.abc import Iterable, Iterator
from typing import Protocol

__all__ = ["Modules", "qr_lines"]

SIGNS = {(False, False): "█", (True, False): "▄", (False, True): "▀", (True, True): " "}
"""Light modules are drawn, since most terminals are light on dark; scanners read either."""


class Modules(Protocol):
    """A code: how wide and high it is, and its dark runs as left, row and length."""

    @property
    def across(self) -> int:
        """Modules across."""
        ...

    @property
    def down(self) -> int:
        """Modules down."""
        ...

    @property
    def runs(self) -> Iterable[tuple[int, int, int]]:
        """Dark runs: left, row, length."""
        ...


def qr_lines(code: Modules) -> Iterator[str]:
    """The code line by line."""
    dark = {(left + at, row) for left, row, length in code.runs for at in range(length)}
    for row in range(0, code.down, 2):
        yield "".join(SIGNS[(x, row) in dark, (x, row + 1) in dark] for x in range(code.across))
