"""A chart of bars: names at the left, their bars on one axis, their values in words."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stockroom.paper.drawing import Area, Drawing, Words, words_width
from stockroom.paper.pictures import BIG, MARGIN, SMALL, fitted
from stockroom.words.language import word

__all__ = ["Bar", "bar_chart"]

ACROSS, ROW, TALL, NAMES, VALUES = 180.0, 7.0, 4.6, 48.0, 36.0
TOP, TICK = 28.0, 1.4
GREYS = (90, 215, 150)
"""Parts of a bar, dark and light in turn, so that they differ in black and white."""
TICKS = 5


@dataclass(frozen=True, slots=True)
class Bar:
    """A name, the parts of its bar in the axis' unit, and what they come to in words."""

    name: str
    parts: tuple[float, ...]
    said: str

    def __post_init__(self) -> None:
        if any(part < 0 for part in self.parts):
            raise ValueError("a bar below nothing")


def bar_chart(
    title: str, about: str, bars: Sequence[Bar], axis: str, parts: Sequence[str] = (), *,
    in_order: bool = False, font: str = "",
) -> Drawing:  # fmt: skip
    """Bars from 0 on an axis with ticks, the longest first unless they have an order of their own;
    ``about`` says whose they are and of what time, ``parts`` names what they are made of.

    Raises:
        ValueError: a bar has more parts than there are greys for.
    """
    if any(len(bar.parts) > len(GREYS) for bar in bars):
        raise ValueError(f"a bar of more than {len(GREYS)} parts")
    title, parts = word(title), tuple(map(word, parts))
    if not in_order:
        bars = sorted(bars, key=lambda bar: -sum(bar.parts))
    step = nice_step(max((sum(bar.parts) for bar in bars), default=0) or 1)
    end = step * math.ceil((max((sum(bar.parts) for bar in bars), default=0) or 1) / step - 1e-9)
    scale = (ACROSS - 2 * MARGIN - NAMES - VALUES) / end
    marks: list[Area | Words] = [
        Words(MARGIN, 15, title, BIG, bold=True),
        Words(MARGIN, 21, fitted(about, ACROSS - 2 * MARGIN, font), SMALL),
    ]
    y = TOP + (ROW if parts else 0)
    marks += legend(parts) if parts else []
    for bar in bars:
        marks += bar_marks(bar, y, scale, font)
        y += ROW
    if bars:
        marks += axis_marks(axis, y, step, round(end / step), scale)
        y += 10
    across = max(ACROSS, words_width(title, BIG, bold=True) + 2 * MARGIN)
    return Drawing(title, across, y + MARGIN - 2, tuple(marks), font)


def nice_step(most: float) -> float:
    """The distance of ticks: 1, 2 or 5 times a power of ten, so that there are about five."""
    power = float(10 ** math.floor(math.log10(most / TICKS)))
    return next(power * times for times in (1, 2, 5, 10) if power * times * TICKS >= most * 0.999)


def box(left: float, top: float, wide: float, tall: float, grey: int, name: str) -> Area:
    """A filled rectangle."""
    right, down = left + wide, top + tall
    return Area(((left, top), (right, top), (right, down), (left, down)), grey, name)


def legend(parts: Sequence[str]) -> list[Area | Words]:
    """What the greys of the parts stand for."""
    marks: list[Area | Words] = []
    x = MARGIN + NAMES
    for grey, name in zip(GREYS, parts, strict=False):
        marks += [box(x, TOP - 1, TALL, TALL - 1, grey, "legend"),
                  Words(x + TALL + 2, TOP + 2, name, SMALL)]  # fmt: skip
        x += TALL + 8 + words_width(name, SMALL)
    return marks


def bar_marks(bar: Bar, y: float, scale: float, font: str) -> list[Area | Words]:
    """One bar with its name and its value."""
    marks: list[Area | Words] = [Words(MARGIN, y + 3.5, fitted(bar.name, NAMES - 2, font), SMALL)]
    x = MARGIN + NAMES
    for grey, part in zip(GREYS, bar.parts, strict=False):
        if part > 0:
            marks.append(box(x, y, part * scale, TALL, grey, bar.name))
            x += part * scale
    return [*marks, Words(x + 2, y + 3.5, fitted(bar.said, ACROSS - MARGIN / 2 - x), SMALL)]


def axis_marks(axis: str, y: float, step: float, ticks: int, scale: float) -> list[Area | Words]:
    """The axis under the bars: a line, ticks with their values, and what they count."""
    left = MARGIN + NAMES
    marks: list[Area | Words] = [box(left, y, step * ticks * scale, 0, 0, "axis")]
    for tick in range(ticks + 1):
        x = left + tick * step * scale
        marks += [box(x, y, 0, TICK, 0, "axis"),
                  Words(x, y + TICK + 3, f"{tick * step:g}", SMALL, align="middle")]  # fmt: skip
    return [*marks, Words(left, y + TICK + 7, axis, SMALL)]
