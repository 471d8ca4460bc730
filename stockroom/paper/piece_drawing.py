"""A piece drawn to scale, face up, its back edge below: each part by a fill that a copier keeps."""

import math
from collections.abc import Sequence

from stockroom.paper.page import MARGIN, NOTE, Paper
from stockroom.views.sheet import Part, PartKind
from stockroom.words.language import word

__all__ = ["BAR", "LABEL_MARK", "draw_key", "draw_part", "mark_label_end"]

BAR = 7.0
GREYS: dict[PartKind, int] = {
    "rail": 255, "leftover": 225, "trim": 150, "scrap": 150, "saw": 0, "flaw": 255,
}  # fmt: skip
KEY: dict[PartKind, tuple[str, float]] = {
    "rail": ("rail", 9.0), "leftover": ("to the rack", 9.0), "scrap": ("scrap", 6.0),
    "saw": ("cutting loss", 0.8), "flaw": ("flaw", 6.0),
}  # fmt: skip
"""What each fill means, and how wide it is drawn where that is said, mm."""
LABEL_MARK, OVER = 1.0, 1.0
"""How thick the mark of a piece's label's end is, and how far it stands over the piece, mm."""
LEFT = ("leftover", "scrap")


def draw_part(
    paper: Paper, parts: Sequence[Part], at: int, corner: tuple[float, float], per_um: float
) -> tuple[float, float]:
    """Draws a part; gives how much room its words have, and where their middle is, mm."""
    part, (x, top) = parts[at], corner
    left, right = x + part.start * per_um, x + (part.start + part.length) * per_um
    first, last = leaning(parts, at, per_um)
    fill(paper, part.kind, (left, right), (left + first, right + last), top)
    return right - left - 2 * max(0.0, first) - 0.6, (left + right) / 2


def fill(
    paper: Paper, kind: PartKind, low: tuple[float, float], high: tuple[float, float], top: float,
    tall: float = BAR,
) -> None:  # fmt: skip
    """A part between two ends of its back edge and two of its front edge; a flaw is crossed out."""
    corners = [(low[0], top + tall), (low[1], top + tall), (high[1], top), (high[0], top)]
    paper.shape(corners, GREYS[kind], 0.2)
    if kind == "flaw":
        paper.line(corners[0], corners[2], 0.2)
        paper.line(corners[1], corners[3], 0.2)


def mitre(part: Part, per_um: float, end: int = 0) -> float:
    """How far a rail's short point stands in from its long point at an end, mm: by its angle, less
    where it is drawn very short; nothing at a square end."""
    lean = BAR / 2 * math.tan(math.radians(part.angles[end]))
    return min(lean, part.length * per_um / 3)


def leaning(parts: Sequence[Part], at: int, per_um: float) -> tuple[float, float]:
    """How far right a part's front edge begins and ends of where its back edge does, mm.

    A rail's mitres lean inwards. What is left beside it keeps that mitre and leans over it, as it
    comes off the saw, and so does the cut between the two.
    """
    part = parts[at]
    if part.kind == "rail":
        return mitre(part, per_um), -mitre(part, per_um, 1)
    if part.kind == "saw":
        over = rail_over(parts, at, -1, 1, per_um) - rail_over(parts, at, 1, -1, per_um)
        return -over, -over
    if part.kind in LEFT:
        return -beside(parts, at, -1, per_um), beside(parts, at, 1, per_um)
    return 0.0, 0.0


def rail_over(parts: Sequence[Part], at: int, rail: int, left: int, per_um: float) -> float:
    """The mitre of the rail on one side of a cut, where something is left on its other side."""
    ends = (at + rail, at + left)
    if not all(0 <= end < len(parts) for end in ends) or parts[at + left].kind not in LEFT:
        return 0.0
    return mitre(parts[at + rail], per_um) if parts[at + rail].kind == "rail" else 0.0


def beside(parts: Sequence[Part], at: int, way: int, per_um: float) -> float:
    """The mitre of the rail beside what is left, the loss of the cut between them passed over."""
    next_to = at + way
    if 0 <= next_to < len(parts) and parts[next_to].kind == "saw":
        next_to += way
    if not 0 <= next_to < len(parts) or parts[next_to].kind != "rail":
        return 0.0
    return mitre(parts[next_to], per_um)


def mark_label_end(paper: Paper, x: float, top: float, tall: float = BAR) -> None:
    """A heavy mark at the end of a piece that its label is on, whose left edge is at ``x``."""
    middle = x + LABEL_MARK / 2
    paper.line((middle, top - OVER), (middle, top + tall), LABEL_MARK)


def draw_key(paper: Paper, y: float) -> None:
    """What each fill means, in a row from the left margin; told apart in black and white."""
    x = MARGIN
    for kind, (name, wide) in KEY.items():
        words = word(name)
        first = {"rail": 1.5, "leftover": -1.5}.get(kind, 0.0)
        x -= min(0.0, first)
        last = -first if kind == "rail" else 0.0
        fill(paper, kind, (x, x + wide), (x + first, x + wide + last), y - 3, 3.0)
        paper.text(x + wide + 1.5, y, words, NOTE)
        x += wide + 4.5 + paper.width(words, NOTE)
    mark_label_end(paper, x, y - 3, 3.0)
    paper.text(x + LABEL_MARK + 1.5, y, word("label's end"), NOTE)
