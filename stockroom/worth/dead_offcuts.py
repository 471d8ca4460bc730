"""Which offcuts the shop's demand is not likely ever to use, and when the others' turn comes."""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from planner.values import Micrometres

__all__ = ["Wait", "dead_offcuts", "waits"]

YEAR = Fraction(1)
"""An offcut whose turn comes later than this is dead."""


@dataclass(frozen=True, slots=True)
class Wait:
    """How long an offcut waits: what is asked for in a year that it would take, and its turn.

    ``years`` is when it would be used at this pace; None is never. ``dead`` says that a year's
    demand leaves it without work.
    """

    number: int
    fits: Fraction
    turn: int
    years: Fraction | None
    dead: bool


def waits(offcuts: Mapping[int, int], rails: Sequence[Micrometres], years: Fraction) -> list[Wait]:
    """When each offcut is used, shortest first; lengths in um, rails as asked for in ``years``.

    Each rail goes to one offcut at most, the shortest that takes it, and each offcut wants one
    rail. So many offcuts as a year's rails can serve have work; what is over is dead, and its
    turn comes after all that are shorter.

    Raises:
        ValueError: the rails were asked for in no time.
    """
    if years <= 0:
        raise ValueError(f"rails asked for in {years} years")
    asked, found, served, over = sorted(rails), list[Wait](), 0, 0
    for number, length in sorted(offcuts.items(), key=lambda item: (item[1], item[0])):
        fits = bisect_right(asked, length) / years
        dead = (served + 1) > fits * YEAR
        turn = served + over + 1
        found.append(Wait(number, fits, turn, turn / fits if fits else None, dead))
        served += not dead
        over += dead and fits > 0
    return found


def dead_offcuts(offcuts: Mapping[int, int], rails: Sequence[Micrometres]) -> list[int]:
    """The offcuts for which a year's rails leave no work, by number, shortest first."""
    return [wait.number for wait in waits(offcuts, rails, YEAR) if wait.dead]
