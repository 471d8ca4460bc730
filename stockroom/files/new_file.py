"""New files: readable by their owner alone, never over another, whole or not at all.

A file is written under a name of its own beside the one it is to have, and gets that name when all
of it is on the disk. What a process that was killed left behind is taken away by the next.
"""

import os
import shutil
import tempfile
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from secrets import token_hex

from stockroom.refusals import NoShop

__all__ = ["as_text", "folder_aside", "made_whole", "new_file", "opened_own", "private_folder",
           "sync_folder", "write_new"]  # fmt: skip

ASIDE = "stockroom-aside-"
BEGUN, ENDING = ".stockroom-", ".part"
LEFT_BEHIND_SECONDS = 600
"""A file that nothing was written to for so long was left behind by a process that was killed."""
BESIDE = ("", "-wal", "-shm", "-journal")
"""What SQLite keeps beside a record's file."""
OWNER_ENTERS, OWNER_READS = 0o700, 0o600
NO_LINK = getattr(os, "O_NOFOLLOW", 0)
"""Where the system knows it: a link is not opened."""


def new_file(path: Path) -> None:
    """Makes a file readable by its owner alone, before anything is written to it.

    Raises:
        FileExistsError: there is one of this name.
        NoShop: it cannot be made.
    """
    try:
        if not path.parent.is_dir():
            made_private(path.parent)
        os.close(os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, OWNER_READS))
    except FileExistsError:
        if path.exists():
            raise
        raise NoShop("is_no_folder", path=path.parent) from None
    except NotADirectoryError:
        raise NoShop("is_no_folder", path=path.parent) from None
    except OSError as error:
        raise NoShop("cannot_be_made", path=path, why=error.strerror) from error


def private_folder(folder: Path) -> Path:
    """A folder of the program's own, which its owner alone may enter; made where there is none.

    Raises:
        NoShop: a link stands in its place, which could lead what is private anywhere, or a file.
    """
    if folder.is_symlink():
        raise NoShop("folder_is_link", path=folder)
    try:
        if not folder.is_dir():
            made_private(folder)
    except OSError as error:
        raise NoShop("cannot_be_made", path=folder, why=error.strerror) from error
    return folder


def made_private(folder: Path) -> None:
    """Makes a folder that its owner alone may enter, whatever the umask."""
    folder.mkdir(mode=OWNER_ENTERS, parents=True, exist_ok=True)
    folder.chmod(OWNER_ENTERS)


def opened_own(path: Path, how: int) -> int:
    """A file of the program's own, opened to be written, and no link; gives its number.

    Raises:
        OSError: it is a link, or cannot be written.
    """
    return os.open(path, os.O_WRONLY | os.O_CREAT | NO_LINK | how, OWNER_READS)


@contextmanager
def made_whole(to: Path) -> Iterator[Path]:
    """A new file to write to, which gets its name when all of it is written, or goes again.

    Raises:
        NoShop: there is a file of this name, or it cannot be written.
    """
    if os.path.lexists(to):
        raise NoShop("file_in_the_way", path=to)
    part = to.with_name(f"{BEGUN}{token_hex(8)}{ENDING}")
    clear_left_behind(to.parent)
    try:
        new_file(part)
        yield part
        name_for_good(part, to)
    except FileExistsError:
        raise NoShop("file_in_the_way", path=to) from None
    except OSError as error:
        raise NoShop("cannot_be_written", path=to, why=error.strerror) from error
    finally:
        remove(part)


def name_for_good(part: Path, to: Path) -> None:
    """Gives a file that is written its name, never over another, and has the disk keep both.

    Raises:
        FileExistsError: there is one of this name by now.
    """
    with part.open("rb+") as file:
        os.fsync(file.fileno())
    try:
        os.link(part, to)
    except FileExistsError:
        raise
    except OSError:
        # A disk that knows no second names: the name is taken first, then filled.
        os.close(os.open(to, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
        part.replace(to)
    sync_folder(to.parent)


def sync_folder(folder: Path) -> None:
    """Has the disk keep the names in a folder, where the system lets a folder be opened."""
    with suppress(OSError):
        number = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(number)
        finally:
            os.close(number)


def remove(path: Path) -> None:
    """Takes away a file that was begun, and what SQLite kept beside it."""
    for suffix in BESIDE:
        with suppress(OSError):
            path.with_name(path.name + suffix).unlink(missing_ok=True)


def clear_left_behind(folder: Path) -> None:
    """Takes away files that processes which were killed had begun here."""
    with suppress(OSError, ValueError):
        for path in folder.glob(f"{BEGUN}*{ENDING}*"):
            if time.time() - path.lstat().st_mtime > LEFT_BEHIND_SECONDS:
                path.unlink(missing_ok=True)


@contextmanager
def folder_aside() -> Iterator[Path]:
    """A folder of our own in the system's temporary one; what killed processes left there goes.

    Raises:
        NoShop: it cannot be made.
    """
    prefix = f"{ASIDE}{os.getpid()}-"
    try:
        for left in Path(tempfile.gettempdir()).glob(f"{ASIDE}*-*"):
            if is_gone(left.name.removeprefix(ASIDE).split("-")[0]):
                shutil.rmtree(left, ignore_errors=True)
        made = tempfile.TemporaryDirectory(prefix=prefix, ignore_cleanup_errors=True)
    except OSError as error:
        path = error.filename or prefix
        raise NoShop("cannot_be_made", path=path, why=error.strerror) from error
    with made as folder:
        yield Path(folder)


def is_gone(process: str) -> bool:
    """True where no process of this number runs; unknown where the system has no such question."""
    if os.name != "posix" or not process.isdecimal():
        return False
    try:
        os.kill(int(process), 0)
    except ProcessLookupError:
        return True
    except (OSError, OverflowError):
        return False
    return False


def write_new(to: Path, chunks: Iterable[bytes]) -> None:
    """Writes a new file that only its owner can read, whole or not at all.

    Raises:
        NoShop: it is there already or cannot be written.
    """
    with made_whole(to) as part, part.open("wb") as file:
        file.writelines(chunks)


def as_text(lines: Iterable[str]) -> Iterable[bytes]:
    """Lines of text as they stand in a file."""
    return (f"{line}\n".encode() for line in lines)
