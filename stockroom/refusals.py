"""What the stockroom refuses; ``words`` has how it is said.

    StockroomError          what went wrong, and what to do about it
    ├── Mistyped        2   words that no command understands
    ├── Unreadable     10   a text that is no length, date, amount or number
    ├── Unknown        11   a code or number that the record does not know
    ├── Refused        12   a rule of the trade or of the record forbids it
    │   ├── Unlikely   12   it is far from what is usual; --odd says that it is right
    │   └── Unfit      12   a value of the trade that cannot be
    ├── Clash          13   somebody else moved it first
    ├── Busy           14   another command is writing; we waited and gave up
    ├── Recorded        0   it was recorded before, under the same key: nothing more to do
    ├── NoShop         15   the record is missing, foreign, newer or cannot be written
    │   └── Damaged    15   what is kept of it cannot be understood any more
    ├── BadFile        16   a file with faults, each listed by its row
    └── PlannerFault   17   a fault of the program itself

The number is the exit code of a command that ends so.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from stockroom.facts import Fact, Tellable
from stockroom.remedies import Remedy

__all__ = [
    "BadFile",
    "Busy",
    "Clash",
    "Damaged",
    "Mistyped",
    "NoShop",
    "PlannerFault",
    "Recorded",
    "Refused",
    "StockroomError",
    "Unfit",
    "Unknown",
    "Unlikely",
    "Unreadable",
]


class StockroomError(Exception):
    """What is refused, as a value: a code and what it is about; each front words it.

    A ``remedy`` that many refusals share is a value too; else it stands with the code's words.
    ``column`` is the field that was typed, where it is one of many. What a front itself refuses may
    be told in the front's own words in place of a code.
    """

    exit_code = 17

    def __init__(self, code: str, remedy: Remedy | str | None = None, /, **about: object) -> None:
        super().__init__(code)
        self.code = code
        self.remedy = remedy
        self.about: Mapping[str, Any] = about
        self.column = ""

    def __str__(self) -> str:
        return " ".join([self.code, *(f"{name}={told}" for name, told in self.about.items())])


class Mistyped(StockroomError):
    """Words that no command understands: an option, a value, a command's name."""

    exit_code = 2


class Unreadable(StockroomError):
    """A text that is no length, date, amount or number: what was read, what is accepted."""

    exit_code = 10

    def __init__(self, read: str, accepted: str, /, **about: object) -> None:
        super().__init__("cannot_read", read=read, accepted=Fact(accepted, about))


class Unknown(StockroomError):
    """A code or number that the record does not know, with the known ones that look like it."""

    exit_code = 11

    def __init__(
        self, code: str, typed: str, near: Sequence[str] = (), remedy: Remedy | None = None, /,
        **about: object,
    ) -> None:  # fmt: skip
        super().__init__(
            code, "did_you_mean" if near else remedy, typed=typed, near=tuple(near), **about
        )
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


class Unfit(Refused, ValueError):
    """A value of the trade that cannot be: a frame, a moulding, a label or a setting."""


class Recorded(StockroomError):
    """What is asked was recorded before, under the same key: nothing more was to be done."""

    exit_code = 0

    def __init__(self, entry: int, kind: str, who: str, undone_by: int | None) -> None:
        undone = Fact("and_undone", {"entry": undone_by}) if undone_by else None
        super().__init__("recorded_already", entry=entry, kind=kind, who=who, undone=undone)
        self.entry = entry
        self.undone_by = undone_by


class NoShop(StockroomError):
    """The record is missing, foreign, newer than the program, damaged, or cannot be written."""

    exit_code = 15


class Damaged(NoShop):
    """What is kept of the record cannot be understood any more; a restore puts it aside."""


class BadFile(StockroomError):
    """A file with faults: each is its row (0 where it is the whole file) and what is wrong."""

    exit_code = 16

    def __init__(
        self, name: str, faults: Sequence[tuple[int, Tellable]], remedy: Remedy | str | None = None,
        /, **about: object,
    ) -> None:  # fmt: skip
        super().__init__(
            "bad_file", remedy, file=name, many=len(faults), faults=tuple(faults), **about
        )
        self.faults = tuple(faults)


class PlannerFault(StockroomError):
    """A fault of the program itself: the judge found an answer wrong. Please report it."""

    exit_code = 17
