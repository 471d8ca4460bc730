"""Strips that fill pages from top to bottom: blocks stay whole where a page can hold them."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

__all__ = ["Strip", "dealt"]


@dataclass(frozen=True, slots=True)
class Strip:
    """A band across the page: how high it is in mm, and how it is drawn from its top."""

    tall: float
    draw: Callable[[float], None]


def dealt(blocks: Iterable[Sequence[Strip]], first: float, later: float) -> list[list[Strip]]:
    """The strips of each page; ``first`` is the room on the first one, ``later`` on all others.

    A block that no page can hold is broken between its strips.
    """
    pages: list[list[Strip]] = [[]]
    room = first
    for block in blocks:
        whole = sum(strip.tall for strip in block)
        if whole > room and pages[-1] and whole <= later:
            pages.append([])
            room = later
        for strip in block:
            if strip.tall > room and pages[-1]:
                pages.append([])
                room = later
            pages[-1].append(strip)
            room -= strip.tall
    return pages
