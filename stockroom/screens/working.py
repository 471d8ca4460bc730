"""Progress of what takes more than a moment, on standard error, on a terminal only."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from stockroom.files.csv_rows import how_parted
from stockroom.screens.console import clean, spinner
from stockroom.words.language import Voice, word
from stockroom.words.languages import translated

__all__ = ["Telling", "reading_csv", "working"]


class Telling:
    """Call it with a name, how many are done, of how many; or tell it how far one has come."""

    def __init__(self, what: str, status: Any) -> None:
        self._what, self._status, self._count = what, status, ""

    def __call__(self, name: str, done: int, of: int) -> None:
        """One more is done."""
        self._count = word("{done} of {of} done", done=done, of=of)
        self._show(f"{clean(name, 24)}, {self._count}")

    def gap(self, name: str, words: str) -> None:
        """How far the one that is under way has come; Ctrl-C takes the best so far."""
        count = f", {self._count}" if self._count else ""
        said = word("{words}{count} (Ctrl-C: best so far)", words=words, count=count)
        self._show(f"{clean(name, 24)}: {said}")

    def _show(self, words: str) -> None:
        if self._status is not None:
            self._status.update(f"{translated(self._what)}: {words} …")


@contextmanager
def working(what: str) -> Iterator[Telling]:
    """Shows that work goes on, and what it is told of it."""
    with spinner(f"{translated(what)} …") as status:
        yield Telling(what, status)


@contextmanager
def reading_csv(file: Path) -> Iterator[None]:
    """A sign that a file is read; says what parts its cells, where that is no comma."""
    with spinner(word("Reading {file}", file=file.name)):
        yield
    if parted := how_parted(file):
        said = Voice("at_the_command_line").say(parted)
        sys.stderr.write(word("{file} is {said}.", file=file.name, said=said) + "\n")
