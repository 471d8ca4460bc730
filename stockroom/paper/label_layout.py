"""How a label's words and its code share its room: type as large as both its sides allow.

A label says what it has room for: of its wordings the fullest that can be read with ease. What
cannot stand even so is refused.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import inf

from stockroom.paper.codes import QR_QUIET, Code
from stockroom.paper.page import POINT_MM, Paper

__all__ = ["CAPITAL", "STEP", "LabelLine", "Layout", "Space", "Wording", "best_layout", "short"]

LEAST_TYPE, GOOD_TYPE, MOST_TYPE = 6.0, 7.5, 26.0
"""Points: what can still be read in the hand, what is read with ease, and across a rack."""
MOST_NUMBER = 96.0
NUMBER, SMALLER_NUMBER, LARGER_NUMBER = 2.2, 1.3, 4.0
"""A number beside the type of the lines: as it should be, at the least, at the most."""
CAPITAL, STEP, TAIL = 0.72, 1.2, 0.24
"""A capital's height, the step of lines and what hangs below one, beside its type's size."""
APART = 0.7
"""How far apart two words of a line stand, beside its type's size."""
FINE = 0.75
"""A note's type beside that of the lines."""
LEAST_MODULE, WIDEST_MODULE = 0.5, 1.0
"""A module is three dots of a printer of 150 dpi at the least, mm."""
BARS_SHARE, MOST_BARS = 0.3, 14.0
SHORT, MOST_GAP, ROUNDING = 12, 2.5, 0.01


@dataclass(frozen=True, slots=True)
class Space:
    """Room on a label: top left corner, width, height, mm."""

    x: float
    y: float
    wide: float
    high: float


@dataclass(frozen=True, slots=True)
class LabelLine:
    """Words at the left of a line and at its right; ``size`` is its type's beside the others'."""

    left: str
    right: str = ""
    bold: bool = False
    size: float = 1.0


@dataclass(frozen=True, slots=True)
class Wording:
    """What a label says: its heading, large; what its code reads; its lines, the fullest first;
    and what it is for, which no line leaves out, as a refusal says it."""

    heading: str
    code: str
    lines: tuple[tuple[LabelLine, ...], ...]
    needed: str


@dataclass(frozen=True, slots=True)
class Layout:
    """Where a label's code and words stand: the code's corner and module, its bars' height, the
    room of the words, their lines, and the type of number and lines, points."""

    code: tuple[float, float]
    module: float
    bars: float
    space: Space
    lines: tuple[LabelLine, ...]
    number: float = 0.0
    line: float = 0.0

    @property
    def high(self) -> float:
        """How high number and lines are, mm."""
        return block_high(self.lines, self.number, self.line)


def best_layout(paper: Paper, wording: Wording, space: Space, code: Code) -> Layout | None:
    """The fullest words in type that is read with ease, else the largest type; None where that is
    less than the least."""
    best: Layout | None = None
    for lines in wording.lines:
        for place in places(space, code, lines):
            found = typed(paper, wording.heading, place)
            if found.line >= GOOD_TYPE:
                return centred(found, space, code)
            if best is None or found.line > best.line:
                best = found
    if best is None or best.line < LEAST_TYPE:
        return None
    return centred(best, space, code)


def short(text: str, most: int = SHORT) -> str:
    """Words in few letters."""
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"


def places(space: Space, code: Code, lines: tuple[LabelLine, ...]) -> Iterator[Layout]:
    """Where the code may stand: left of the words in three sizes, or above; bars below them."""
    x, y, wide, high = space.x, space.y, space.wide, space.high
    pad = 0.08 * high if high < 25 else 2.0
    if code.kind == "code128":
        bars = min(BARS_SHARE * high, MOST_BARS)
        module = min(WIDEST_MODULE, wide / code.across)
        left = x + (wide - module * code.across) / 2
        yield Layout((left, y + high - bars - pad), module, bars,
                     Space(x + pad, y + pad, wide - 2 * pad, high - bars - 3 * pad),
                     lines)  # fmt: skip
        return
    # Above the words it leaves them the whole width: of a tall label it is the better place.
    side = min(wide, 0.4 * high, WIDEST_MODULE * code.across)
    if high > wide and side >= LEAST_MODULE * code.across:
        yield Layout((x + (wide - side) / 2, y), side / code.across, 0,
                     Space(x + pad, y + side, wide - 2 * pad, high - side - pad),
                     lines)  # fmt: skip
    largest = min(high, 0.45 * wide, WIDEST_MODULE * code.across)
    for share in (1.0, 0.85, 0.7):
        side = max(share * largest, min(largest, LEAST_MODULE * code.across))
        yield Layout((x, y + (high - side) / 2), side / code.across, 0,
                     Space(x + side, y + pad, wide - side - pad, high - 2 * pad),
                     lines)  # fmt: skip


def typed(paper: Paper, heading: str, place: Layout) -> Layout:
    """A place with the largest type that its room allows, and its words no wider than they are."""
    space, lines = place.space, place.lines
    if space.wide <= 0 or space.high <= 0:
        return place
    fits = min((space.wide / line_wide(paper, line) for line in lines), default=inf)
    line = min(fits, MOST_TYPE, space.high / block_high(lines, NUMBER, 1))
    if line < GOOD_TYPE:
        line = min(fits, GOOD_TYPE, space.high / block_high(lines, SMALLER_NUMBER, 1))
    room = (space.high - block_high(lines, 0, line)) / CAPITAL / POINT_MM
    number = min(room, space.wide / paper.width(heading, 1, bold=True), LARGER_NUMBER * line,
                 MOST_NUMBER)  # fmt: skip
    wide = max(paper.width(heading, number, bold=True),
               *(line_wide(paper, each) * line for each in lines))  # fmt: skip
    found = replace(place, number=number, line=line)
    return replace(found, space=replace(space, wide=min(wide, space.wide), high=found.high))


def centred(found: Layout, label: Space, code: Code) -> Layout:
    """A layout moved so that code and words stand as one block in the middle of the label, as far
    as the code keeps its white edge on it."""
    space, (x, y) = found.space, found.code
    quiet = QR_QUIET * found.module
    if code.kind == "code128":
        gap = min(y - space.y - space.high, MOST_GAP)
        top = label.y + (label.high - space.high - gap - found.bars) / 2
        words = replace(space, x=label.x + (label.wide - space.wide) / 2, y=top)
        return replace(found, code=(x, top + space.high + gap), space=words)
    side = code.across * found.module
    if space.x < x + side - ROUNDING:  # The words stand below the code.
        down = max(0.0, (label.y + label.high - space.y - space.high - (y + quiet - label.y)) / 2)
        words = Space(label.x + (label.wide - space.wide) / 2, space.y + down, space.wide,
                      space.high)  # fmt: skip
        return replace(found, code=(x, y + down), space=words)
    over = max(0.0, (label.x + label.wide - space.x - space.wide - (x + quiet - label.x)) / 2)
    words = replace(space, x=space.x + over, y=label.y + (label.high - space.high) / 2)
    return replace(found, code=(x + over, y), space=words)


def block_high(lines: tuple[LabelLine, ...], number: float, line: float) -> float:
    """How high a number and lines are in these sizes of type, mm."""
    sizes = sum(each.size for each in lines)
    return (CAPITAL * number + (STEP * sizes + TAIL) * line) * POINT_MM


def line_wide(paper: Paper, line: LabelLine) -> float:
    """How wide a line is at one point of type, mm."""
    wide = paper.width(line.left, 1, bold=line.bold)
    if line.right:
        wide += APART * POINT_MM + paper.width(line.right, 1)
    return max(wide, 0.01) * line.size * 1.002
