"""What is written down of a job as plain text, beside its frames.

A new one is a field of ``JobNotes`` and a column of the record's jobs, and nothing else: the CSV
files, the commands, the page's forms and the ticket take them from here.
"""

from dataclasses import dataclass, field, fields
from typing import Any

__all__ = ["BESIDE_CUSTOMER", "JOB_NOTES", "JobNotes", "notes_of"]


def told(called: str, help_line: str, *, beside: bool = False) -> str:
    """A text that nobody has told yet: what it is called, what help says of it, and whether it
    stands beside the customer's name."""
    called_so: str = field(
        default="", metadata={"called": called, "help": help_line, "beside": beside}
    )
    return called_so


@dataclass(frozen=True, slots=True, kw_only=True)
class JobNotes:
    """The texts of a job, empty where none was told."""

    phone: str = told("Phone", "The customer's phone.", beside=True)
    note: str = told("Note", "Anything to remember.")


JOB_NOTES = {one.name: one.metadata for one in fields(JobNotes)}
"""Each text by its name: what it is ``called``, its ``help``."""
BESIDE_CUSTOMER = tuple(name for name, about in JOB_NOTES.items() if about["beside"])


def notes_of(job: object, *names: str) -> dict[str, Any]:
    """The texts of a job, a ticket or a row of the record, by their names; some alone if named."""
    return {name: getattr(job, name) for name in names or JOB_NOTES}
