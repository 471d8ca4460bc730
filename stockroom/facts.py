"""What is told from below the fronts, as a value: a code, and what it is about by name."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

__all__ = ["Fact", "FieldName", "Tellable"]


class Tellable(Protocol):
    """Anything that has a code and what it is about: facts, refusals, the planner's reasons."""

    @property
    def code(self) -> str:
        """Which sentence it is, in any language."""

    @property
    def about(self) -> Mapping[str, Any]:
        """What the sentence is about, by name."""


class FieldName(str):
    """What is typed in a field, by its name in files and options; each front calls it its way."""


@dataclass(frozen=True, slots=True)
class Fact:
    """Something that is so; who shows it finds the words in the table of its language.

    What it is about is a text, a number, a day, names, or another fact; what is named ``..._um``
    is a length in micrometres.
    """

    code: str
    about: Mapping[str, object] = field(default_factory=dict)
