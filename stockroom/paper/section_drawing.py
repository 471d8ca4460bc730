"""A section drawn on a page: to a printed scale, each dimension a letter that a key explains."""

from collections.abc import Callable
from string import ascii_lowercase

from stockroom.paper.page import BODY, SMALL, Paper
from stockroom.paper.section import Dimension, Section, scale_for
from stockroom.words.language import word

__all__ = ["Box", "draw_section"]

Box = tuple[float, float, float, float]
"""Left, top, width, height of a space on a page, millimetres."""
STEP, TICK, KEY = 5.0, 1.2, 44.0
ROOM, CLOSE = 14.0, 4.4


def draw_section(paper: Paper, box: Box, section: Section, show: Callable[[int], str]) -> None:
    """Draws a section into a space, with the key of its dimensions and names at its right.

    ``show`` prints a length with its unit.
    """
    left, top, width, height = box
    rows = sum(d.way == "across" for d in section.dimensions)
    sides = len(section.dimensions) - rows
    room = (width - KEY - sides * STEP - ROOM, height - rows * STEP - 8)
    drawn, real = scale_for(section, *room)
    low_x, _, right_x, high_y = section.extent
    origin = (left + STEP * sides + 2, top + STEP * rows + 2)

    def at(point: tuple[int, int]) -> tuple[float, float]:
        """Where a point of the section lies on the page."""
        return (origin[0] + (point[0] - low_x) * drawn / real / 1000,
                origin[1] + (high_y - point[1]) * drawn / real / 1000)  # fmt: skip

    for shape in section.shapes:
        paper.shape([at(point) for point in shape.points], shape.grey)
    placed = {"across": 0, "up": 0}
    for letter, dimension in zip(ascii_lowercase, section.dimensions, strict=False):
        place = placed[dimension.way]
        placed[dimension.way] += 1
        (across if dimension.way == "across" else upright)(
            paper, dimension, letter, place, at, (left, top)
        )
    edge = at((right_x, high_y))[0]
    name_shapes(paper, section, at, edge)
    for number, mark in enumerate(section.marks, 1):
        x, y = at(mark.point)
        paper.text(x, y + 1, f"{number}", SMALL, bold=True, align="centre")
    rows = len(section.dimensions) + len(section.marks)
    key(paper, left + width - KEY + 3, top + 3, min(STEP, (height - 6) / max(rows, 1)), section,
        show)  # fmt: skip
    paper.text(
        left + width - KEY + 3,
        top + height - 1,
        word("scale {drawn} : {real}", drawn=drawn, real=real),
        SMALL,
    )


At = Callable[[tuple[int, int]], tuple[float, float]]


def across(
    paper: Paper, dimension: Dimension, letter: str, place: int, at: At, corner: tuple[float, float]
) -> None:
    """A dimension line above the drawing, in a row of its own, its letter at its right end."""
    y = corner[1] + STEP * place + 2.5
    (x1, edge), (x2, _) = at((dimension.start, dimension.at)), at((dimension.end, dimension.at))
    paper.line((x1, y), (x2, y))
    for x in (x1, x2):
        paper.line((x, y - TICK), (x, y + TICK))
        paper.line((x, y + TICK), (x, edge), 0.05)
    paper.text(max(x1, x2) + 1.2, y + 1, letter, SMALL, bold=True)


def upright(
    paper: Paper, dimension: Dimension, letter: str, place: int, at: At, corner: tuple[float, float]
) -> None:
    """A dimension line left of the drawing, in a column of its own, its letter below it."""
    x = corner[0] + STEP * place + 1.5
    (_, y1), (edge, y2) = at((0, dimension.start)), at((0, dimension.end))
    paper.line((x, y1), (x, y2))
    for y in (y1, y2):
        paper.line((x - TICK, y), (x + TICK, y))
        paper.line((x + TICK, y), (edge, y), 0.05)
    paper.text(x, max(y1, y2) + 3.4, letter, SMALL, bold=True, align="centre")


def name_shapes(paper: Paper, section: Section, at: At, edge: float) -> None:
    """The names of what lies in the frame, right of the drawing, each led to its shape."""
    lowest = 0.0
    for shape in section.shapes:
        if shape.name == "moulding":
            continue
        ups = [at(point)[1] for point in shape.points]
        middle = (min(ups) + max(ups)) / 2
        y = max(middle, lowest + 3.6)
        lowest = y
        paper.line((edge, middle), (edge + 3, y), 0.1)
        paper.text(edge + 3.6, y + 1, word(shape.name), SMALL)


def key(
    paper: Paper, x: float, y: float, step: float, section: Section, show: Callable[[int], str]
) -> None:
    """What each letter means, and which moulding each number; small where the rows are close."""
    size = BODY if step >= CLOSE else SMALL
    for row, (letter, dimension) in enumerate(
        zip(ascii_lowercase, section.dimensions, strict=False)
    ):
        base = y + step * row
        paper.text(x, base, letter, size, bold=True)
        of = f"{dimension.number} " if dimension.number else ""
        paper.text(x + 4, base, f"{of}{word(dimension.name)}", SMALL)
        paper.text(x + KEY - 3, base, show(dimension.length_um), size, align="right")
    for row, mark in enumerate(section.marks):
        base = y + step * (len(section.dimensions) + row)
        paper.text(x, base, f"{row + 1}", size, bold=True)
        paper.text(x + 4, base, mark.name, SMALL)
