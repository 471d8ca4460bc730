"""What the counter should say before a frame is agreed."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from stockroom.units.lengths import Micrometres

__all__ = ["Notice", "notice", "notice_text", "notices"]

USUAL_DROP = (3_000, 10_000)
"""A floated canvas sits about 1/4 in below the front (common practice); beyond this it is said."""
NEAR_UM = 500
"""What a cover may be beyond the usual before it is said: less shows on no tape."""

Code = Literal[
    "out of square", "proud", "drop unusual", "cover little", "cover much", "painting covered",
    "package deep", "too wide", "too tall", "rail short",
    "no time",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Notice:
    """Something that the counter should say: what it is, and the lengths it is about."""

    code: Code
    amounts: tuple[Micrometres, ...]
    which: str = ""


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


def notice(code: Code, *amounts: int, which: str = "") -> Notice:
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


def notice_text(notice: Notice, show: Callable[[int], str]) -> str:
    """A notice as a sentence, its lengths as the shop shows them."""
    shown = [show(amount) for amount in notice.amounts]
    if notice.code == "out of square":
        return (f"Out of square: the {notice.which} differ by {shown[0]}, more than the "
                f"{shown[1]} of play forgives; the largest counts.")  # fmt: skip
    if notice.code == "proud":
        return f"The canvas stands {shown[0]} proud of the frame's front."
    if notice.code == "drop unusual":
        return f"The canvas sits {shown[0]} below the front; about 1/4 in (6 mm) is usual."
    if notice.code == "cover little":
        return (f"The lip holds {shown[0]} of each edge; {shown[1]} to {shown[2]} is usual. "
                "See that the artwork cannot slip through.")  # fmt: skip
    if notice.code == "cover much":
        return (f"The lip covers {shown[0]} of each edge; {shown[1]} to {shown[2]} is usual. "
                "Look for a signature near the edge.")  # fmt: skip
    if notice.code == "painting covered":
        return (f"The lip covers {shown[0]} of each edge of the painting: "
                "look for a signature near the edge.")  # fmt: skip
    if notice.code in ("too wide", "too tall"):
        what = "face" if notice.code == "too wide" else "height"
        return f"Its {what} of {shown[0]} is more than the {shown[1]} of {notice.which}."
    if notice.code == "no time":
        return (f"The promise leaves no time at the bench: it was to be cut by {notice.which}. "
                "Promise a later day, or see who can hurry.")  # fmt: skip
    if notice.code == "rail short":
        return (f"A rail of {shown[0]} is shorter than the {shown[1]} that {notice.which} holds "
                "clear: use a clamp or jig, or cut it elsewhere.")  # fmt: skip
    return (f"The package is {shown[0]} deep and the rabbet {shown[1]}: it stands out behind; "
            "build the back up or choose a deeper rabbet.")  # fmt: skip
