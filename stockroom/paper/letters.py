"""Letters that the page's own typeface lacks, shaped and drawn as outlines.

The only module that knows HarfBuzz, and in which packages fonts lie: both come with the extra
``letters``. Nothing of it is loaded for words that the page's typeface has.
"""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.util import find_spec
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any
from unicodedata import bidirectional, category

from stockroom.words.language import word

if TYPE_CHECKING:
    import uharfbuzz

__all__ = ["LetterRun", "Letters", "Step", "contours", "lost_said"]

FONTS = (("manimgx_fonts", "NotoSans[!-]*.ttf"), ("pylopdf_fonts_jp", "NotoSans*.otf"),
         ("manimgx_fonts", "NotoEmoji*.ttf"))  # fmt: skip
"""Packages and their upright fonts, one a script, in the order in which a letter is looked for; all
under the Open Font License."""
REGULAR, BOLD = 400, 700
STRETCH = re.compile("r(?:[^l]*r)?m*")
"""From the first to the last letter that runs right to left, none of the other kind between."""
PART = re.compile("n+(?:sn+)*|[^n]+")
"""Numbers run left to right even there."""
MOST_TOLD = 12
MIRRORED = str.maketrans("()[]{}<>«»", ")(][}{><»«")

BENDS = 6
"""So many straight lines make a curve where it is painted."""
Point = tuple[float, float]
Step = tuple[str, tuple[float, ...]]
"""A step of an outline as SVG names it (M, L, Q, C, Z), in ems, up from the baseline."""


@dataclass(frozen=True, slots=True)
class LetterRun:
    """Words in one font, as they follow one another from the left; ``wide`` in ems.

    Without a ``font`` they are in the page's own typeface, and have neither width nor outline.
    """

    words: str
    font: str = ""
    wide: float = 0.0
    outline: tuple[Step, ...] = ()
    leftward: bool = False


class Letters:
    """Finds a font for each letter; ``known`` says what the page's own typeface has, ``own`` is the
    file of a font of the shop's own, which goes before the extra's."""

    def __init__(self, known: Callable[[str], bool], own: str = "") -> None:
        self.known, self.own = known, own
        self._runs: dict[tuple[str, bool], tuple[LetterRun, ...]] = {}

    def runs(self, words: str, *, bold: bool = False) -> tuple[LetterRun, ...]:
        """Words as they are drawn, from left to right; a letter in no font is a question mark."""
        kept = self._runs.get((words, bold))
        if kept is None:
            if all(map(self.known, words)):
                kept = (LetterRun(words),) if words else ()
            else:
                kept = tuple(run for part, leftward in laid(words)
                             for run in self.in_fonts(part, leftward, bold))  # fmt: skip
            self._runs[words, bold] = kept
        return kept

    def lost(self, words: str) -> str:
        """The letters that stand in no font, each once."""
        return "".join(dict.fromkeys(
            letter for letter in words if letter.isprintable() and self.font_of(letter) is None
        ))  # fmt: skip

    def font_of(self, letter: str) -> str | None:
        """The font that has a letter: nothing for the page's own, None where none has it."""
        return "" if self.known(letter) else font_with(letter, self.own)

    def in_fonts(self, part: str, leftward: bool, bold: bool) -> list[LetterRun]:
        """A part that runs one way, by the fonts that have its letters."""
        pieces: list[tuple[str, str]] = []
        for letter in part:
            font = self.font_of(letter)
            before = pieces[-1][1] if pieces else ""
            if before and joins(letter) and (font is None or letter in letters_of(before)):
                font = before
            if font is None:
                letter, font = "?", ""
            if pieces and font == before:
                pieces[-1] = (pieces[-1][0] + letter, font)
            else:
                pieces.append((letter, font))
        runs = [shaped(words, font, leftward, bold) for words, font in pieces]
        return runs[::-1] if leftward else runs


def lost_said(letters: str) -> str:
    """Which letters were lost, by their numbers, since they cannot be printed there either."""
    shown = " ".join(f"U+{ord(letter):04X}" for letter in letters[:MOST_TOLD])
    more = " …" * (len(letters) > MOST_TOLD)
    return word("in no font, printed as ?: {letters}{more}", letters=shown, more=more)


def laid(words: str) -> Iterator[tuple[str, bool]]:
    """The parts of a line from left to right, and whether each runs right to left.

    A stretch of letters that run right to left is laid by itself, as between Unicode's isolates
    (Annex 9), so that numbers beside a name keep their places.
    """
    kinds = "".join(map(kind, words))
    start = 0
    for stretch in STRETCH.finditer(kinds):
        if stretch.start() > start:
            yield words[start : stretch.start()], False
        for part in reversed([*PART.finditer(stretch[0])]):
            begin, end = part.start() + stretch.start(), part.end() + stretch.start()
            yield words[begin:end], "n" not in part[0]
        start = stretch.end()
    if start < len(words):
        yield words[start:], False


def kind(letter: str) -> str:
    """Which way a letter runs: right, left, a number or what joins two, a mark, or neither."""
    found = bidirectional(letter)
    if found in ("R", "AL"):
        return "r"
    if found in ("EN", "AN"):
        return "n"
    return {"L": "l", "NSM": "m", "CS": "s", "ES": "s"}.get(found, "o")


def joins(letter: str) -> bool:
    """Whether a letter stands on the one before it: a mark, a joiner, a choice of form."""
    return category(letter) in ("Mn", "Mc", "Me", "Cf")


@cache
def fonts(own: str) -> tuple[str, ...]:
    """The files of fonts that there are, the shop's own first; none without the extra."""
    if find_spec("uharfbuzz") is None:
        return ()
    found = [str(path) for package, pattern in FONTS if find_spec(package) is not None
             for path in sorted(Path(str(files(package))).glob(pattern))]  # fmt: skip
    return ((own,) if own and Path(own).is_file() else ()) + tuple(found)


@cache
def font_with(letter: str, own: str) -> str | None:
    """The first font that has a letter."""
    return next((font for font in fonts(own) if letter in letters_of(font)), None)


@cache
def face(font: str) -> "uharfbuzz.Face":
    """A font's file, opened."""
    import uharfbuzz

    return uharfbuzz.Face(uharfbuzz.Blob.from_file_path(font))


@cache
def letters_of(font: str) -> frozenset[str]:
    """The letters that a font has."""
    return frozenset(map(chr, face(font).unicodes))


def shaped(words: str, font: str, leftward: bool, bold: bool) -> LetterRun:
    """Words as a font draws them: joined, in their forms, marks in their places."""
    import uharfbuzz

    if not font:
        return LetterRun(words[::-1].translate(MIRRORED) if leftward else words)
    sized = uharfbuzz.Font(face(font))
    sized.set_variations({"wght": BOLD if bold else REGULAR})
    buffer = uharfbuzz.Buffer()
    buffer.add_str(words)
    buffer.guess_segment_properties()
    buffer.direction = "rtl" if leftward else "ltr"
    uharfbuzz.shape(sized, buffer)
    pen, at, em = Pen(), 0, face(font).upem
    for glyph, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        pen.move((at + place.x_offset) / em, place.y_offset / em, em)
        sized.draw_glyph_with_pen(glyph.codepoint, pen)
        at += place.x_advance
    return LetterRun(words, font, at / em, tuple(pen.steps), leftward)


class Pen:
    """Takes down what HarfBuzz draws, a glyph where it is moved to, in ems."""

    def __init__(self) -> None:
        self.steps: list[Step] = []
        self._x, self._y, self._em = 0.0, 0.0, 1

    def move(self, x: float, y: float, em: int) -> None:
        """The next glyph begins here; ``em`` is how many units an em has."""
        self._x, self._y, self._em = x, y, em

    def _add(self, name: str, *points: tuple[float, float]) -> None:
        numbers = [n for x, y in points for n in (self._x + x / self._em, self._y + y / self._em)]
        self.steps.append((name, tuple(numbers)))

    def moveTo(self, point: Any) -> None:
        """A new contour."""
        self._add("M", point)

    def lineTo(self, point: Any) -> None:
        """A straight line."""
        self._add("L", point)

    def qCurveTo(self, *points: Any) -> None:
        """A quadratic curve."""
        self._add("Q", *points)

    def curveTo(self, *points: Any) -> None:
        """A cubic curve."""
        self._add("C", *points)

    def closePath(self) -> None:
        """The contour is closed."""
        self._add("Z")


def contours(steps: Sequence[Step]) -> Iterator[list[Point]]:
    """The contours of an outline with their curves as short straight lines (De Casteljau)."""
    contour: list[Point] = []
    for name, numbers in steps:
        points = list(zip(numbers[::2], numbers[1::2], strict=True))
        if name == "Z":
            yield contour
        elif name == "M":
            contour = points
        else:
            curve = [contour[-1], *points]
            contour += [on_curve(curve, part / BENDS) for part in range(1, BENDS + 1)]


def on_curve(points: Sequence[Point], share: float) -> Point:
    """The point of a Bézier curve at a share of its way."""
    while len(points) > 1:
        points = [(x1 + share * (x2 - x1), y1 + share * (y2 - y1))
                  for (x1, y1), (x2, y2) in pairwise(points)]  # fmt: skip
    return points[0]
