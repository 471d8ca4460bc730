"""What the stockroom refuses, and how it says so.

    StockroomError          what went wrong, and what to do about it
    ├── Unreadable     10   a text that is no length, date, amount or number
    ├── Unknown        11   a code or number that the record does not know
    ├── Refused        12   a rule of the trade or of the record forbids it
    │   └── Unlikely   12   it is far from what is usual; --odd says that it is right
    ├── Clash          13   somebody else moved it first
    ├── Busy           14   another command is writing; we waited and gave up
    ├── Recorded        0   it was recorded before, under the same key: nothing more to do
    ├── NoShop         15   the record is missing, foreign, newer or cannot be written
    │   └── Damaged    15   what is kept of it cannot be understood any more
    ├── BadFile        16   a file with faults, each listed by its row
    └── PlannerFault   17   a fault of the program itself

The number is the exit code of a command that ends so.
"""

from collections.abc import Sequence

from stockroom.remedies import Remedy

__all__ = [
    "BadFile",
    "Busy",
    "Clash",
    "Damaged",
    "NoShop",
    "PlannerFault",
    "Recorded",
    "Refused",
    "StockroomError",
    "Unknown",
    "Unlikely",
    "Unreadable",
    "fault_lines",
    "quoted",
]

LONGEST_QUOTE = 40
MOST = 100
"""So many faults of a file are shown; the others are counted."""


def quoted(text: str) -> str:
    """What was typed, short and printable, in quotes."""
    cut = text if len(text) <= LONGEST_QUOTE else text[: LONGEST_QUOTE - 1] + "…"
    return "'" + "".join(c if c.isprintable() else ascii(c)[1:-1] for c in cut) + "'"


class StockroomError(Exception):
    """What went wrong, and what to do about it; each is a plain sentence without its full stop."""

    exit_code = 17

    def __init__(self, message: str, remedy: str | Remedy = "") -> None:
        super().__init__(message)
        self.message = message
        self.remedy = remedy

    def with_remedy(self, remedy: str) -> str:
        """The message with its remedy as a front words it."""
        return f"{self.message}; {remedy}" if remedy else self.message

    def __str__(self) -> str:
        return self.with_remedy(str(self.remedy))


class Unreadable(StockroomError):
    """A text that is no length, date, amount or number: what was read, what is accepted."""

    exit_code = 10

    def __init__(self, read: str, accepted: str) -> None:
        super().__init__(f"cannot read {quoted(read)}", f"accepted: {accepted}")
        self.read = read
        self.accepted = accepted


class Unknown(StockroomError):
    """A code or number that the record does not know, with the known ones that look like it."""

    exit_code = 11

    def __init__(self, what: str, typed: str, near: Sequence[str] = ()) -> None:
        remedy = f"did you mean {' or '.join(near)}?" if near else ""
        super().__init__(f"there is no {what} {quoted(typed)}", remedy)
        self.what = what
        self.typed = typed
        self.near = tuple(near)


class Refused(StockroomError):
    """A rule of the trade or of the record forbids it."""

    exit_code = 12


class Unlikely(Refused):
    """It is far from what the record expects: a slip of a digit, unless one says that it is so."""


class Clash(StockroomError):
    """Somebody else moved, holds or settled it first: who, when and what to do."""

    exit_code = 13


class Busy(StockroomError):
    """Another command was writing for longer than we wait."""

    exit_code = 14


class Recorded(StockroomError):
    """What is asked was recorded before, under the same key: nothing more was to be done."""

    exit_code = 0

    def __init__(self, entry: int, kind: str, who: str, undone_by: int | None) -> None:
        undone = f", and undone by entry {undone_by}" if undone_by else ""
        super().__init__(f"this was recorded already, as entry {entry} ({kind} by {who}){undone}",
                         "nothing was changed")  # fmt: skip
        self.entry = entry
        self.undone_by = undone_by


class NoShop(StockroomError):
    """The record is missing, foreign, newer than the program, damaged, or cannot be written."""

    exit_code = 15


class Damaged(NoShop):
    """What is kept of the record cannot be understood any more; a restore puts it aside."""


def fault_lines(faults: Sequence[tuple[int, str]]) -> list[str]:
    """Faults of a file's rows a line each: the first hundred, and how many more there are."""
    lines = [f"  row {row}: {text}" if row else f"  {text}" for row, text in faults[:MOST]]
    return lines + [f"  and {len(faults) - MOST:,} more"] * (len(faults) > MOST)


class BadFile(StockroomError):
    """A file with faults: each is its row (0 where it is the whole file) and what is wrong."""

    exit_code = 16

    def __init__(
        self, name: str, faults: Sequence[tuple[int, str]], remedy: str | Remedy = ""
    ) -> None:
        count = f"{len(faults)} fault{'s' if len(faults) != 1 else ''}"
        super().__init__("\n".join([f"{name}: {count}", *fault_lines(faults)]), "")
        self.faults = tuple(faults)
        self.remedy = remedy

    def with_remedy(self, remedy: str) -> str:
        """The faults a line each, then the remedy."""
        return f"{self.message}\n{remedy}" if remedy else self.message


class PlannerFault(StockroomError):
    """A fault of the program itself: the judge found an answer wrong. Please report it."""

    exit_code = 17
