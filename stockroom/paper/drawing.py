"""A drawing as plain marks in millimetres, written as SVG or painted as PNG.

Both draw the same marks. SVG is text, written here; PNG is painted by Pillow, which comes with the
PDF library anyway. The only module that knows Pillow. Letters that the shop's typeface lacks are
outlines in both, as on paper.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from io import BytesIO
from itertools import chain, pairwise
from math import ceil, floor
from typing import TYPE_CHECKING, Literal
from xml.sax.saxutils import escape, quoteattr

from stockroom.paper.letters import LetterRun, Letters, Step, contours, lost_said
from stockroom.paper.page import Pages

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw
    from PIL.ImageFont import FreeTypeFont

__all__ = ["Area", "Corner", "Drawing", "Words", "png", "svg", "words_width"]

DOTS_PER_MM = 6.0
MOST_DOTS = 60_000_000
WEIGHT = 0.25
FINE, UNWOUND = 4, 128
"""Outlines are painted so many times finer; what stands for no turn around a dot."""
NOTE = 10.0
"""The room of a note at the foot, mm; its margin too."""

Corner = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Area:
    """A closed outline in mm, filled with a grey from 0, black, to 255; ``name`` says what it is.

    Raises:
        ValueError: it has fewer than three corners, or the grey is none.
    """

    points: tuple[tuple[float, float], ...]
    grey: int
    name: str = ""

    def __post_init__(self) -> None:
        if len(self.points) < 3 or not 0 <= self.grey <= 255:
            raise ValueError("an area has three corners at least and a grey from 0 to 255")


@dataclass(frozen=True, slots=True)
class Words:
    """Words on a baseline, from, to or around ``x``; ``size`` is their height in mm."""

    x: float
    y: float
    text: str
    size: float
    bold: bool = False
    align: Literal["start", "middle", "end"] = "start"


@dataclass(frozen=True, slots=True)
class Drawing:
    """Marks on a white ground, across by down mm, painted in their order; ``font`` is the file of
    the shop's own font for letters that the typeface lacks."""

    title: str
    across: float
    down: float
    marks: tuple[Area | Words, ...]
    font: str = ""


def with_lost(drawing: Drawing) -> tuple[Drawing, str]:
    """The drawing with a line at its foot on the letters that no font has, and those letters."""
    words = "".join(mark.text for mark in drawing.marks if isinstance(mark, Words))
    lost = letters_of(drawing.font).lost(words)
    if not lost:
        return drawing, ""
    said = Words(NOTE, drawing.down, lost_said(lost), NOTE / 4)
    return replace(drawing, down=drawing.down + NOTE / 2, marks=(*drawing.marks, said)), lost


def svg(drawing: Drawing) -> Pages:
    """The drawing as SVG, its measures in millimetres and its words as text."""
    drawing, lost = with_lost(drawing)
    across, down = short(drawing.across), short(drawing.down)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{across}mm" height="{down}mm" '
        f'viewBox="0 0 {across} {down}" font-family="Roboto, Helvetica, Arial, sans-serif">',
        f"<title>{plain(drawing.title)}</title>",
        '<rect width="100%" height="100%" fill="white"/>',
        *svg_marks(drawing),
        "</svg>",
    ]
    return Pages("".join(f"{line}\n" for line in lines).encode(), lost)


def svg_marks(drawing: Drawing) -> Iterable[str]:
    """Each mark as an element."""
    for mark in drawing.marks:
        if isinstance(mark, Area):
            points = " ".join(f"{short(x)},{short(y)}" for x, y in mark.points)
            ink = f"#{mark.grey:02x}{mark.grey:02x}{mark.grey:02x}"
            yield (f'<polygon points="{points}" fill="{ink}" stroke="black" '
                   f'stroke-width="{WEIGHT}" class={quoteattr(plain(mark.name))}/>')  # fmt: skip
        else:
            yield from svg_words(mark, drawing.font)


def svg_words(mark: Words, font: str) -> Iterator[str]:
    """Words as text where the typeface has all their letters; else run by run, each as wide as it
    is reckoned and letters of other fonts as outlines."""
    weight = ' font-weight="bold"' if mark.bold else ""
    runs = runs_of(mark, font)
    size = short(mark.size)
    if all(not run.font for _, run in runs):
        text = plain("".join(run.words for _, run in runs))
        yield (f'<text x="{short(mark.x)}" y="{short(mark.y)}" font-size="{size}" '
               f'text-anchor="{mark.align}"{weight}>{text}</text>')  # fmt: skip
        return
    for x, run in runs:
        if run.font:
            steps = "".join(name + " ".join(map(short, numbers)) for name, numbers in run.outline)
            yield (f'<path transform="translate({short(x)} {short(mark.y)}) scale({size} -{size})" '
                   f'd="{steps}" aria-label={quoteattr(plain(run.words))}/>')  # fmt: skip
        else:
            wide = short(run_wide(run, mark.size, mark.bold))
            yield (
                f'<text x="{short(x)}" y="{short(mark.y)}" font-size="{size}" '
                f'textLength="{wide}" xml:space="preserve"{weight}>{plain(run.words)}</text>'
            )


def short(value: float) -> str:
    """A measure to a thousandth of a millimetre, without idle zeros."""
    return f"{value:.3f}".rstrip("0").rstrip(".")


def plain(text: str) -> str:
    """Text as XML takes it."""
    return escape(printable(text))


def printable(text: str) -> str:
    """Text without what cannot be shown."""
    return "".join(char for char in text if char.isprintable())


def runs_of(mark: Words, font: str) -> list[tuple[float, LetterRun]]:
    """The runs of words by the fonts that have their letters, and where each begins, mm."""
    runs = letters_of(font).runs(printable(mark.text), bold=mark.bold)
    wide = [run_wide(run, mark.size, mark.bold) for run in runs]
    x = mark.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[mark.align] * sum(wide)
    return [(x + sum(wide[:at]), run) for at, run in enumerate(runs)]


def run_wide(run: LetterRun, size: float, bold: bool) -> float:
    """How wide a run is at this height, mm."""
    ems = run.wide if run.font else float(typeface(100.0, bold).getlength(run.words)) / 100
    return ems * size


def png(drawing: Drawing) -> Pages:
    """The drawing as a grey PNG at 6 dots a millimetre, fewer where it is very large."""
    from PIL import Image, ImageDraw

    drawing, lost = with_lost(drawing)
    dots = min(DOTS_PER_MM, (MOST_DOTS / (drawing.across * drawing.down)) ** 0.5)
    image = Image.new("L", (round(drawing.across * dots), round(drawing.down * dots)), 255)
    pen = ImageDraw.Draw(image)
    for mark in drawing.marks:
        if isinstance(mark, Area):
            points = [(x * dots, y * dots) for x, y in mark.points]
            pen.polygon(points, fill=mark.grey, outline=0, width=max(1, round(WEIGHT * dots)))
        else:
            paint_words(pen, mark, drawing.font, dots)
    content = BytesIO()
    image.save(content, "PNG", dpi=(dots * 25.4, dots * 25.4))
    return Pages(content.getvalue(), lost)


def paint_words(pen: "ImageDraw", mark: Words, font: str, dots: float) -> None:
    """Paints words, letters of other fonts as their outlines."""
    runs = runs_of(mark, font)
    if all(not run.font for _, run in runs):
        anchor = {"start": "ls", "middle": "ms", "end": "rs"}[mark.align]
        pen.text((mark.x * dots, mark.y * dots), "".join(run.words for _, run in runs), fill=0,
                 anchor=anchor, font=typeface(mark.size * dots, mark.bold))  # fmt: skip
        return
    for x, run in runs:
        at = (x * dots, mark.y * dots)
        if run.font:
            paint_outline(pen, at, run.outline, mark.size * dots)
        else:
            pen.text(at, run.words, 0, typeface(mark.size * dots, mark.bold), "ls")


def paint_outline(pen: "ImageDraw", at: Corner, steps: Sequence[Step], em: float) -> None:
    """Paints an outline from its baseline's left end, an em of so many dots: fine, then smoothed.

    A dot is inked where the contours wind around it, which is how fonts mean them.
    """
    from PIL import Image, ImageChops, ImageDraw

    if not steps:
        return
    lines = [[(x * em * FINE, -y * em * FINE) for x, y in contour] for contour in contours(steps)]
    across, down = zip(*chain.from_iterable(lines), strict=True)
    left, top = FINE * floor(min(across) / FINE), FINE * floor(min(down) / FINE)
    size = (ceil(max(across) - left) + FINE, ceil(max(down) - top) + FINE)
    wound = Image.new("L", size, UNWOUND)
    for line in lines:
        once = Image.new("L", size)
        ImageDraw.Draw(once).polygon([(x - left, y - top) for x, y in line], fill=1)
        turn = sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairwise([*line, line[0]]))
        wound = (ImageChops.add if turn > 0 else ImageChops.subtract)(wound, once)
    ink = wound.point([255 * (turns != UNWOUND) for turns in range(256)]).reduce(FINE)
    pen.bitmap((round(at[0]) + left // FINE, round(at[1]) + top // FINE), ink, fill=0)


def words_width(text: str, size: float, *, bold: bool = False, font: str = "") -> float:
    """How wide words are at this height, in mm."""
    runs = letters_of(font).runs(printable(text), bold=bold)
    return sum(run_wide(run, size, bold) for run in runs)


@cache
def letters_of(font: str) -> Letters:
    """Where letters are found that the shop's typeface lacks."""
    return Letters(typeface_has, font)


def typeface_has(letter: str) -> bool:
    """Whether the shop's typeface has a letter; its table is read for unusual ones alone."""
    return letter.isascii() or letter in typeface_letters()


@cache
def typeface_letters() -> frozenset[str]:
    """The letters that the shop's typeface has."""
    from fontTools.ttLib import TTFont

    with TTFont(BytesIO(typeface_file(bold=False)), lazy=True) as font:
        return frozenset(map(chr, font.getBestCmap()))


def typeface_file(*, bold: bool) -> bytes:
    """The shop's typeface."""
    name = "Roboto-Bold.ttf" if bold else "Roboto-Regular.ttf"
    return (files("font_roboto") / "files" / name).read_bytes()


@cache
def typeface(size: float, bold: bool) -> "FreeTypeFont":
    """The shop's typeface at this height, in dots."""
    from PIL import ImageFont

    # The basic layout, so that every machine measures alike.
    return ImageFont.truetype(
        BytesIO(typeface_file(bold=bold)), size, layout_engine=ImageFont.Layout.BASIC
    )
