"""A drawing as plain marks in millimetres, written as SVG or painted as PNG.

Both draw the same marks. SVG is text, written here; PNG is painted by Pillow, which comes with the
PDF library anyway. The only module that knows Pillow.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from io import BytesIO
from typing import TYPE_CHECKING, Literal
from xml.sax.saxutils import escape, quoteattr

if TYPE_CHECKING:
    from PIL.ImageFont import FreeTypeFont

__all__ = ["Area", "Drawing", "Words", "png", "svg", "words_width"]

DOTS_PER_MM = 6.0
MOST_DOTS = 60_000_000
WEIGHT = 0.25


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
    """Marks on a white ground, across by down mm, painted in their order."""

    title: str
    across: float
    down: float
    marks: tuple[Area | Words, ...]


def svg(drawing: Drawing) -> bytes:
    """The drawing as SVG, its measures in millimetres and its words as text."""
    across, down = short(drawing.across), short(drawing.down)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{across}mm" height="{down}mm" '
        f'viewBox="0 0 {across} {down}" font-family="Roboto, Helvetica, Arial, sans-serif">',
        f"<title>{plain(drawing.title)}</title>",
        '<rect width="100%" height="100%" fill="white"/>',
        *svg_marks(drawing.marks),
        "</svg>",
    ]
    return "".join(f"{line}\n" for line in lines).encode()


def svg_marks(marks: Iterable[Area | Words]) -> Iterable[str]:
    """Each mark as an element."""
    for mark in marks:
        if isinstance(mark, Area):
            points = " ".join(f"{short(x)},{short(y)}" for x, y in mark.points)
            ink = f"#{mark.grey:02x}{mark.grey:02x}{mark.grey:02x}"
            yield (f'<polygon points="{points}" fill="{ink}" stroke="black" '
                   f'stroke-width="{WEIGHT}" class={quoteattr(plain(mark.name))}/>')  # fmt: skip
        else:
            weight = ' font-weight="bold"' if mark.bold else ""
            yield (f'<text x="{short(mark.x)}" y="{short(mark.y)}" font-size="{short(mark.size)}" '
                   f'text-anchor="{mark.align}"{weight}>{plain(mark.text)}</text>')  # fmt: skip


def short(value: float) -> str:
    """A measure to a thousandth of a millimetre, without idle zeros."""
    return f"{value:.3f}".rstrip("0").rstrip(".")


def plain(text: str) -> str:
    """Text as XML takes it."""
    return escape(printable(text))


def printable(text: str) -> str:
    """Text without what cannot be shown."""
    return "".join(char for char in text if char.isprintable())


def png(drawing: Drawing) -> bytes:
    """The drawing as a grey PNG at 6 dots a millimetre, fewer where it is very large."""
    from PIL import Image, ImageDraw

    dots = min(DOTS_PER_MM, (MOST_DOTS / (drawing.across * drawing.down)) ** 0.5)
    image = Image.new("L", (round(drawing.across * dots), round(drawing.down * dots)), 255)
    pen = ImageDraw.Draw(image)
    for mark in drawing.marks:
        if isinstance(mark, Area):
            points = [(x * dots, y * dots) for x, y in mark.points]
            pen.polygon(points, fill=mark.grey, outline=0, width=max(1, round(WEIGHT * dots)))
        else:
            anchor = {"start": "ls", "middle": "ms", "end": "rs"}[mark.align]
            pen.text((mark.x * dots, mark.y * dots), printable(mark.text), fill=0, anchor=anchor,
                     font=typeface(mark.size * dots, mark.bold))  # fmt: skip
    content = BytesIO()
    image.save(content, "PNG", dpi=(dots * 25.4, dots * 25.4))
    return content.getvalue()


def words_width(text: str, size: float, *, bold: bool = False) -> float:
    """How wide words are at this height, in mm."""
    return float(typeface(100.0, bold).getlength(printable(text))) * size / 100


@cache
def typeface(size: float, bold: bool) -> "FreeTypeFont":
    """The shop's typeface at this height, in dots."""
    from PIL import ImageFont

    name = "Roboto-Bold.ttf" if bold else "Roboto-Regular.ttf"
    content = (files("font_roboto") / "files" / name).read_bytes()
    # The basic layout, so that every machine measures alike.
    return ImageFont.truetype(BytesIO(content), size, layout_engine=ImageFont.Layout.BASIC)
