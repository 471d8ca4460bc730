"""A chart of bars: names at the left, their bars to one scale, their values in words."""

from collections.abc import Sequence

from stockroom.paper.drawing import Area, Drawing, Words, words_width
from stockroom.paper.pictures import BIG, MARGIN, SMALL, fitted

__all__ = ["bar_chart"]

ACROSS, ROW, TALL, NAMES, VALUES = 180.0, 7.0, 4.6, 42.0, 34.0


def bar_chart(title: str, rows: Sequence[tuple[str, float, str]]) -> Drawing:
    """Rows of name, value from 0, and the value in words; the largest bar fills its room.

    Raises:
        ValueError: a value is below 0.
    """
    if any(value < 0 for _, value, _ in rows):
        raise ValueError("a bar below nothing")
    most = max((value for _, value, _ in rows), default=0) or 1
    room = ACROSS - 2 * MARGIN - NAMES - VALUES
    marks: list[Area | Words] = [Words(MARGIN, 15, title, BIG, bold=True)]
    y = 22.0
    for name, value, said in rows:
        left, wide = MARGIN + NAMES, room * value / most
        marks.append(Words(MARGIN, y + 3.5, fitted(name, NAMES - 2), SMALL))
        if wide > 0:
            marks.append(Area(((left, y), (left + wide, y), (left + wide, y + TALL),
                               (left, y + TALL)), 160, name))  # fmt: skip
        marks.append(Words(left + wide + 2, y + 3.5, fitted(said, VALUES - 4), SMALL))
        y += ROW
    across = max(ACROSS, words_width(title, BIG, bold=True) + 2 * MARGIN)
    return Drawing(title, across, y + MARGIN - 2, tuple(marks))
