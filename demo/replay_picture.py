"""The picture of a replay: what each policy bought above need, and what lay on the rack, by day.

Lines are told apart by their marks, so that the legend can be read in black and white.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stockroom.paper.drawing import Area, Drawing, Words

__all__ = ["Chart", "charts"]

Spot = tuple[float, float]
Mark = Area | Words
LEFT, ACROSS, DOWN = 20.0, 172.0, 82.0
HEAD, BELOW, LINE = 12.0, 14.0, 5.0
MARKS = 9
"""Marks along a line."""
# Corners around a point, in halves of a mark's size: square, triangle, diamond, star, bar, cross.
SHAPES: tuple[tuple[Spot, ...], ...] = (
    ((-1, -1), (1, -1), (1, 1), (-1, 1)),
    ((-1.2, 1), (0, -1.2), (1.2, 1)),
    ((0, -1.4), (1.4, 0), (0, 1.4), (-1.4, 0)),
    tuple((math.sin(n * math.pi / 4), math.cos(n * math.pi / 4)) for n in range(8)),
    ((-0.4, -1.5), (0.4, -1.5), (0.4, 1.5), (-0.4, 1.5)),
    ((-1.2, -1), (1.2, -1), (0, 1.2)),
)
GREYS = (0, 255)


@dataclass(frozen=True, slots=True)
class Chart:
    """Lines by name over the days of a year, with what is measured and its unit."""

    title: str
    unit: str
    lines: Mapping[str, Sequence[float]]


def charts(title: str, found: Sequence[Chart]) -> Drawing:
    """Charts one below the other, each with axes, numbers and a legend with the last values."""
    marks: list[Mark] = []
    top = 6.0
    for chart in found:
        marks += drawn(chart, top)
        top += HEAD + DOWN + BELOW + LINE * len(chart.lines) + 6
    return Drawing(title, LEFT + ACROSS + 8, top, tuple(marks))


def drawn(chart: Chart, top: float) -> list[Mark]:
    """One chart, its title at this height."""
    values = [value for line in chart.lines.values() for value in line]
    steps = ticks(min(0.0, *values), max(values))
    days = max(len(line) for line in chart.lines.values())
    scale = _Scale(top + HEAD, steps[0], steps[-1], days)
    marks: list[Mark] = [Words(LEFT - 12, top + 4, f"{chart.title}, {chart.unit}", 4, bold=True)]
    marks += axes(scale, steps)
    marks.append(Words(LEFT, scale.top + DOWN + 9, "on the last day:", 3.2))
    order = sorted(chart.lines, key=lambda name: -chart.lines[name][-1])
    for number, name in enumerate(chart.lines):
        marks += line_of(scale, chart.lines[name], number)
        low = scale.top + DOWN + BELOW + LINE * order.index(name)
        marks += [mark_at((LEFT + 2, low - 1.2), number, name),
                  Words(LEFT + 17, low, f"{chart.lines[name][-1]:.1f}", 3.4, align="end"),
                  Words(LEFT + 20, low, name, 3.4)]  # fmt: skip
    return marks


@dataclass(frozen=True, slots=True)
class _Scale:
    """From days and values to millimetres on the page."""

    top: float
    low: float
    high: float
    days: int

    def at(self, day: float, value: float) -> Spot:
        """Where a value of a day stands."""
        up = (value - self.low) / (self.high - self.low)
        return LEFT + ACROSS * day / max(1, self.days - 1), self.top + DOWN * (1 - up)


def ticks(low: float, high: float) -> list[float]:
    """Round numbers from at or below the low to at or above the high, about eight of them."""
    step = 10.0 ** math.floor(math.log10(max(high - low, 1e-9) / 8))
    step *= next(n for n in (1, 2, 5, 10) if (high - low) / (step * n) <= 8)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [number * step for number in range(first, max(last, first + 1) + 1)]


def axes(scale: _Scale, steps: Sequence[float]) -> list[Mark]:
    """The two axes with their ticks, numbers and names, and a line where nothing is."""
    marks: list[Mark] = []
    for step in steps:
        x, y = scale.at(0, step)
        reach = ACROSS if step == 0 else -1.5
        marks.append(Area(((x, y), (x + reach, y), (x, y)), 0, "tick" if step else "nothing"))
        marks.append(Words(x - 3, y + 1.1, f"{step:g}", 3.2, align="end"))
    for day in range(0, scale.days + 1, 30):
        x, y = scale.at(day, scale.low)
        marks.append(Area(((x, y), (x, y + 1.5), (x, y)), 0, "tick"))
        marks.append(Words(x, y + 5, f"{day}", 3.2, align="middle"))
    corner, up = scale.at(0, scale.low), scale.at(0, scale.high)
    marks.append(Area((corner, up, corner), 0, "axis"))
    marks.append(Words(LEFT + ACROSS, corner[1] + 9, "day of the year", 3.2, align="end"))
    return marks


def line_of(scale: _Scale, values: Sequence[float], number: int) -> list[Mark]:
    """A line over the days, with its marks; lines that lie together have them at other days."""
    spots = [scale.at(day, value) for day, value in enumerate(values)]
    marks: list[Mark] = [Area((*spots, *reversed(spots)), 0, f"line {number}")] if spots[1:] else []
    step = max(1, len(spots) // MARKS)
    first = step * (number % 12) // 12
    return marks + [mark_at(spot, number, f"mark {number}") for spot in spots[first::step]]


def mark_at(spot: Spot, number: int, name: str) -> Area:
    """The mark of a line: its shape and ink are its own up to the twelfth line."""
    shape, ink = SHAPES[number % len(SHAPES)], GREYS[number // len(SHAPES) % len(GREYS)]
    return Area(tuple((spot[0] + 1.1 * x, spot[1] + 1.1 * y) for x, y in shape), ink, name)
