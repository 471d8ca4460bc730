"""Pages to draw on: millimetres from the top left corner, one typeface in four sizes.

The only module that knows the PDF library. The typeface is embedded, so that text prints alike
everywhere and can be selected; a letter that it lacks is drawn from another font, and printed as
``?`` where none has it.
"""

from bisect import bisect_right
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from importlib.resources import files
from typing import TYPE_CHECKING, Any, Literal

from stockroom.paper.letters import LetterRun, Letters, Step, lost_said

if TYPE_CHECKING:
    from fpdf import FPDF

__all__ = [
    "BODY",
    "FORMATS",
    "LARGE",
    "MARGIN",
    "MIDDLE",
    "NOTE",
    "POINT_MM",
    "SMALL",
    "Pages",
    "Paper",
]

Align = Literal["left", "right", "centre"]
Point = tuple[float, float]

LARGE, MIDDLE, BODY, NOTE, SMALL = 24.0, 13.0, 10.0, 9.0, 8.0
"""The sizes of type, in points; what is read at the saw is in the middle one, and nothing there is
smaller than a note."""
TINY = 6.0
MARGIN = 15.0
FORMATS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Across and down, millimetres: ISO 216, and 8 1/2 x 11 in."""
POINT_MM = 25.4 / 72
"""A point of type, in millimetres."""


class Pages(bytes):
    """A finished document; ``lost`` are the letters that no font had."""

    lost: str

    def __new__(cls, content: bytes | bytearray, lost: str = "") -> "Pages":
        """The document's bytes, with the letters that were lost in it."""
        made = super().__new__(cls, content)
        made.lost = lost
        return made


class Paper:
    """A document of one or more pages; the same calls on the same day give the same bytes.

    ``size`` is a format's name, or across and down in mm; ``font`` the file of the shop's own font
    for letters that the typeface lacks.

    Raises:
        ValueError: the format is none of ``FORMATS``.
    """

    def __init__(
        self, title: str, size: str | tuple[float, float], day: date, font: str = ""
    ) -> None:
        if isinstance(size, str) and size not in FORMATS:
            raise ValueError(f"a page of {size!r}; there are {' and '.join(FORMATS)}")
        self.across, self.down = FORMATS[size] if isinstance(size, str) else size
        self._pdf = blank(self.across, self.down)
        self._fonts: list[Any] = list(self._pdf.fonts.values())
        self._known = frozenset.intersection(*(frozenset(map(chr, each.cmap))
                                               for each in self._fonts))  # fmt: skip
        self._letters = Letters(self._known.__contains__, font)
        self._widths = [{chr(code): wide for code, wide in each.cw.items()}
                        for each in self._fonts]  # fmt: skip
        self._lost: dict[str, None] = {}
        self._set: tuple[bool, float] | None = None
        self._grey: int | None = None
        self._filled = filled()
        self._foot = isinstance(size, str)
        self._pdf.set_title(title)
        self._pdf.set_creation_date(datetime(day.year, day.month, day.day, tzinfo=UTC))

    def text(
        self, x: float, y: float, words: str, size: float = BODY, *, bold: bool = False,
        align: Align = "left", within: float | None = None,
    ) -> None:  # fmt: skip
        """Words on the baseline ``y``, from, to or around ``x``, shortened to fit ``within`` mm."""
        if not self._known.issuperset(words):
            self._lost |= dict.fromkeys(self._letters.lost(words))
        words = words if within is None else self.fitted(words, within, size, bold=bold)
        left = x
        if align != "left":
            left -= self.width(words, size, bold=bold) / (1 if align == "right" else 2)
        if self._known.issuperset(words):
            self.plain(left, y, words, size, bold)
            return
        for run in self._letters.runs(words, bold=bold):
            if run.font:
                self.outline((left, y), run.outline, size * POINT_MM)
            else:
                self.plain(left, y, run.words, size, bold)
            left += self.run_wide(run, bold) * size * POINT_MM

    def plain(self, x: float, y: float, words: str, size: float, bold: bool) -> None:
        """Words that the page's own typeface has, from ``x``."""
        if words:
            if self._set != (bold, size):
                self._pdf.set_font("body", "B" if bold else "", size)
                self._set = (bold, size)
            self._pdf.text(x, y, words)

    def outline(self, at: Point, steps: Sequence[Step], em: float) -> None:
        """A filled outline from its baseline's left end; an em is so many mm."""
        with self._pdf.new_path(*at) as path:
            path.style.fill_color, path.style.stroke_color = "#000000", None
            path.style.paint_rule = "fill_nonzero"
            draw: dict[str, Callable[..., object]] = {
                "M": path.move_to, "L": path.line_to, "Q": path.quadratic_curve_to,
                "C": path.curve_to, "Z": path.close,
            }  # fmt: skip
            for name, numbers in steps:
                draw[name](*(at[n % 2] + em * number * (-1 if n % 2 else 1)
                             for n, number in enumerate(numbers)))  # fmt: skip

    def next_page(self) -> None:
        """Ends this page and begins another of the same size."""
        self._pdf.add_page()

    def width(self, words: str, size: float = BODY, *, bold: bool = False) -> float:
        """How wide words are, mm."""
        if self._known.issuperset(words):
            return self.ems(words, bold) * size * POINT_MM
        runs = self._letters.runs(words, bold=bold)
        return sum(self.run_wide(run, bold) for run in runs) * size * POINT_MM

    def run_wide(self, run: LetterRun, bold: bool) -> float:
        """How wide a run is, beside the type's size; what only turns or joins letters is none."""
        return run.wide if run.font else self.ems(run.words, bold)

    def ems(self, words: str, bold: bool) -> float:
        """How wide words in the page's own typeface are, beside the type's size."""
        units: float = sum(map(self._widths[bold].__getitem__, words))
        return units / 1000

    def fitted(self, words: str, within: float, size: float = BODY, *, bold: bool = False) -> str:
        """Words shortened with an ellipsis until they are no wider than ``within`` mm."""
        if self.width(words, size, bold=bold) <= within:
            return words
        ends = range(len(words))
        fits = bisect_right(
            ends, within, key=lambda end: self.width(words[:end] + "…", size, bold=bold)
        )
        return words[: max(0, fits - 1)].rstrip() + "…"

    def folded(
        self, words: str, within: float, size: float = BODY, *, bold: bool = False
    ) -> list[str]:
        """Words in as many lines as they need, none wider than ``within`` mm."""
        lines = [""]
        for word in words.split():
            longer = f"{lines[-1]} {word}".strip()
            if lines[-1] and self.width(longer, size, bold=bold) > within:
                lines.append(word)
            else:
                lines[-1] = longer
        return [self.fitted(line, within, size, bold=bold) for line in lines]

    def line(self, start: Point, end: Point, width: float = 0.2) -> None:
        """A straight line, its width in mm."""
        self._pdf.set_line_width(width)
        self._pdf.line(*start, *end)

    def shape(self, points: Sequence[Point], grey: int = 255, width: float = 0.25) -> None:
        """A closed outline, filled with a grey from 0, black, to 255, white."""
        self._pdf.set_line_width(width)
        self.ink(grey)
        self._pdf.polygon(points, style="DF")

    def box(self, x: float, y: float, across: float, down: float, width: float = 0.3) -> None:
        """An empty box to write in, from its top left corner."""
        self._pdf.set_line_width(width)
        self._pdf.rect(x, y, across, down)

    def black(self, x: float, y: float, across: float, down: float) -> None:
        """A black area without an outline, such as a bar of a code."""
        self.ink(0)
        self._pdf.rect(x, y, across, down, style=self._filled)

    def ink(self, grey: int) -> None:
        """What areas are filled with from now on."""
        if self._grey != grey:
            self._pdf.set_fill_color(grey)
            self._grey = grey

    def finish(self) -> Pages:
        """The document; nothing can be drawn on it afterwards. Where letters were lost, the foot
        of its last page says which; labels have no foot.
        """
        lost = "".join(self._lost)
        if lost and self._foot:
            self.text(MARGIN, self.down - MARGIN - 1.0, lost_said(lost), TINY,
                      within=self.across - 2 * MARGIN - 40)  # fmt: skip
        content = Pages(self._pdf.output(), lost)
        self.close()
        return content

    def close(self) -> None:
        """Lets go of the typeface, where a document is given up before it is finished."""
        for font in self._fonts:
            font.ttfont.close()


def blank(across: float, down: float) -> "FPDF":
    """A document with one empty page and the typeface embedded."""
    from fpdf import FPDF

    pdf = FPDF(unit="mm", format=(across, down))
    pdf.set_auto_page_break(False)
    folder = files("font_roboto") / "files"
    pdf.add_font("body", "", str(folder / "Roboto-Regular.ttf"))
    pdf.add_font("body", "B", str(folder / "Roboto-Bold.ttf"))
    pdf.add_page()
    return pdf


def filled() -> Any:
    """The library's own word for an area that is filled and has no outline."""
    from fpdf.enums import RenderStyle

    return RenderStyle.F
