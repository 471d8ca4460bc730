"""The days that a frame is at the bench between its cutting and the day it is promised for."""

from dataclasses import dataclass
from datetime import date, timedelta

__all__ = ["BenchDays"]


@dataclass(frozen=True, slots=True)
class BenchDays:
    """How many days joining, filling and fitting take, and on which weekdays (Monday 0) nobody
    works.

    Raises:
        ValueError: the days are below nothing, or no day of the week is worked on.
    """

    days: int = 0
    closed: frozenset[int] = frozenset()

    def __post_init__(self) -> None:
        if self.days < 0 or self.closed >= set(range(7)):
            raise ValueError("days at the bench are not below nothing, and some day is worked on")

    def cut_by(self, due: date, own: int | None = None) -> date:
        """The last day to cut what is due then: so many working days before, its own if told."""
        day, left = due, self.days if own is None else own
        while left:
            day -= timedelta(1)
            left -= day.weekday() not in self.closed
        return day
