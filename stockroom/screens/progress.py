"""Progress of what takes more than a moment, on standard error, on a terminal only."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from stockroom.screens.console import spinner

__all__ = ["working"]


@contextmanager
def working(what: str) -> Iterator[Callable[[str, int, int], None]]:
    """Shows that work goes on; call what it gives with a name, how many are done, of how many."""
    with spinner(f"{what} …") as status:

        def tell(name: str, done: int, of: int) -> None:
            if status is not None:
                status.update(f"{what}: {name}, {done} of {of} …")

        yield tell
