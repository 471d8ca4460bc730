"""New files: readable by their owner alone, never over another, whole or not at all."""

import os
from collections.abc import Iterable
from pathlib import Path

from stockroom.refusals import NoShop

__all__ = ["as_text", "new_file", "write_new"]


def new_file(path: Path) -> None:
    """Makes a file readable by its owner alone, before anything is written to it.

    Raises:
        FileExistsError: there is one of this name.
        NoShop: it cannot be made.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        os.close(os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    except FileExistsError:
        if path.exists():
            raise
        raise NoShop(f"{path.parent} is not a folder", "check the path") from None
    except OSError as error:
        raise NoShop(f"{path} cannot be made: {error.strerror}", "check the path") from error


def write_new(to: Path, chunks: Iterable[bytes]) -> None:
    """Writes a new file that only its owner can read, whole or not at all.

    Raises:
        NoShop: it is there already or cannot be written.
    """
    try:
        new_file(to)
    except FileExistsError:
        raise NoShop(f"there is a file already: {to}", "name another") from None
    try:
        with to.open("wb") as file:
            file.writelines(chunks)
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        to.unlink(missing_ok=True)
        raise NoShop(f"{to} cannot be written: {error.strerror}",
                     "make room, or name another folder") from error  # fmt: skip


def as_text(lines: Iterable[str]) -> Iterable[bytes]:
    """Lines of text as they stand in a file."""
    return (f"{line}\n".encode() for line in lines)
