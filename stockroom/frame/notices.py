"""What the counter should say before a frame is agreed."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from stockroom.facts import Fact
from stockroom.units.lengths import Micrometres

__all__ = ["Notice", "notice", "notices"]

USUAL_DROP = (3_000, 10_000)
"""A floated canvas sits about 1/4 in below the front (common practice); beyond this it is said."""
NEAR_UM = 500
"""What a cover may be beyond the usual before it is said: less shows on no tape."""

Code = Literal[
    "out of square", "proud", "drop unusual", "cover little", "cover much", "painting covered",
    "package deep", "too wide", "too tall", "rail short",
    "no time", "one batch with", "corners by play", "corners by size",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Notice:
    """Something that the counter should say: what it is, and the lengths it is about."""

    code: Code
    amounts: tuple[Micrometres, ...]
    which: str | Fact = ""

    @property
    def about(self) -> Mapping[str, object]:
        """The lengths by their place, and which side, machine or day it is."""
        named = zip(("first_um", "second_um", "third_um", "fourth_um"), self.amounts, strict=False)
        return {**dict(named), "which": self.which}


def notices(
    *,
    out_of_square: tuple[int, int],
    forgives: int,
    drop: int | None,
    depth: Micrometres | None,
    rabbet_depth: int | None,
    cover: tuple[Micrometres, Micrometres] | None,
    usual_cover: tuple[int, int],
    painting: bool,
) -> tuple[Notice, ...]:
    """All that is to be said of a frame; micrometres.

    ``forgives`` is what takes up a work out of square: the gap, the play, or the mat's overlap.
    The lip is spoken of where what it covers is not usual, and over a painting always.
    """
    said: list[Notice] = []
    for which, off in zip(("widths", "heights"), out_of_square, strict=True):
        if off > forgives + 1:  # A micrometre is the rounding of what was typed.
            said.append(notice("out of square", off, forgives, which=which))
    if drop is not None and drop < 0:
        said.append(notice("proud", -drop))
    elif drop is not None and not USUAL_DROP[0] <= drop <= USUAL_DROP[1]:
        said.append(notice("drop unusual", drop))
    said += lip_notices(cover, usual_cover, painting) if cover else []
    if rabbet_depth is not None and depth is not None and depth > rabbet_depth:
        said.append(notice("package deep", depth, rabbet_depth))
    return tuple(said)


def notice(code: Code, *amounts: int, which: str | Fact = "") -> Notice:
    """A notice of these lengths."""
    return Notice(code, tuple(map(Micrometres, amounts)), which)


def lip_notices(
    cover: tuple[Micrometres, Micrometres], usual: tuple[int, int], painting: bool
) -> list[Notice]:
    """What is said of the lip: that it holds little, covers much, or covers a painting."""
    least, most = usual
    if min(cover) < least - NEAR_UM:
        return [notice("cover little", min(cover), least, most)]
    if max(cover) > most + NEAR_UM:
        return [notice("cover much", max(cover), least, most)]
    return [notice("painting covered", max(cover))] if painting else []
