"""How a plan that is being worked out is ended from another thread."""

from dataclasses import dataclass, field
from threading import Event

__all__ = ["Halt"]


@dataclass
class Halt:
    """How somebody ends a plan that is being worked out: enough is known, or it is not wanted."""

    over: Event = field(default_factory=Event)
    thrown: bool = False

    def enough(self) -> None:
        """The best plan so far is kept."""
        self.over.set()

    def throw_away(self) -> None:
        """No plan is kept."""
        self.thrown = True
        self.over.set()
