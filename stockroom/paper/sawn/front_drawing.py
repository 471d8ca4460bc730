"""A frame drawn from its front on a page or in a picture, its lengths beside its rails."""

from collections.abc import Callable, Iterator

from stockroom.frame.bench_ticket import Ticket
from stockroom.frame.front_view import FrontView, RailLabel, front_view
from stockroom.frame.shapes import FRAME
from stockroom.paper.drawing import Area, Drawing, Words
from stockroom.paper.page import SMALL, Paper
from stockroom.settings.shop_settings import Settings
from stockroom.views.saw_rows import named_from_edge, saw_rows
from stockroom.words.language import word

__all__ = ["draw_front", "front_picture", "label_words", "saw_lines"]

Box = tuple[float, float, float, float]
"""Left, top, width, height of a space, millimetres."""
At = Callable[[tuple[int, int]], tuple[float, float]]
GREY, APART_GREY = 225, 250
BESIDE, BELOW = 1.0, 4.0
"""How far words stand from the rail that they are about, and a line below it, mm."""
PICTURE, EDGE, LINE, SAID = 180.0, 10.0, 6.0, 4.0
"""How wide and high the frame may be in a picture, margin, step of lines, their size, mm."""


def placed(view: FrontView, box: Box) -> At:
    """Where a point of the view lies in a space, which it fills as far as it can."""
    left, top, wide, high = box
    low_x, low_y, right_x, high_y = view.extent
    scale = min(wide / (right_x - low_x), high / (high_y - low_y))

    def at(point: tuple[int, int]) -> tuple[float, float]:
        return left + (point[0] - low_x) * scale, top + (high_y - point[1]) * scale

    return at


def draw_front(paper: Paper, box: Box, ticket: Ticket, settings: Settings) -> None:
    """Draws a job's frame from its front into a space of a page."""
    view = front_view(ticket.sizes, ticket.moulding)
    at = placed(view, box)
    if view.apart:
        paper.shape([at(point) for point in view.apart], APART_GREY, 0.1)
    for outline in view.rails:
        paper.shape([at(point) for point in outline], GREY)
    for label in view.labels:
        x, y = beside(label, at)
        paper.text(x, y, label_words(label, settings), SMALL, bold=True, align=label.align)


def beside(label: RailLabel, at: At) -> tuple[float, float]:
    """Where a label's baseline lies."""
    x, y = at(label.point)
    aside = {"left": BESIDE, "right": -BESIDE, "centre": 0.0}[label.align]
    return x + aside, y + (BELOW if label.below else -BESIDE)


def label_words(label: RailLabel, settings: Settings) -> str:
    """What a label says."""
    said = f"{label.many} × {settings.length(label.length_um)}"
    return said if label.angle is None else f"{said}  {float(label.angle):.4g}°"


def front_picture(ticket: Ticket, settings: Settings) -> Drawing:
    """A job's frame from its front as a picture, and below it what is set on the saw."""
    view = front_view(ticket.sizes, ticket.moulding)
    box = (EDGE, 30.0, PICTURE, PICTURE)
    at = placed(view, box)
    said = "" if ticket.shape == FRAME else f", {word(ticket.shape.said)}"
    marks: list[Area | Words] = [
        Words(EDGE, 14.0, f"{ticket.label}  {ticket.profile}{said}", 6.0, True),
        Words(
            EDGE,
            22.0,
            word("from the front; lengths in {unit}", unit=word(settings.measure.plural)),
            SAID,
        ),
    ]
    if view.apart:
        marks.append(Area(tuple(map(at, view.apart)), APART_GREY, "apart"))
    marks += [Area(tuple(map(at, outline)), GREY, "rail") for outline in view.rails]
    aligned = {"left": "start", "right": "end", "centre": "middle"}
    for label in view.labels:
        x, y = beside(label, at)
        marks.append(Words(x, y, label_words(label, settings), SAID, True,
                           aligned[label.align]))  # type: ignore[arg-type]  # fmt: skip
    y = at((0, view.extent[1]))[1] + 14.0
    for line in saw_lines(ticket, settings):
        marks.append(Words(EDGE, y, line, SAID))
        y += LINE
    return Drawing(ticket.label, PICTURE + 2 * EDGE, y, tuple(marks), settings.font)


def saw_lines(ticket: Ticket, settings: Settings) -> Iterator[str]:
    """What is set on the saw, a line for each length, and what the angle is called elsewhere."""
    rows = saw_rows(ticket.sizes, ticket.moulding, ticket.quantity)
    for row in rows:
        told = {"many": row.many, "length": settings.length(row.long_um), "ends": row.ends}
        if row.stop_um == row.long_um:
            yield word("{many} × {length}, {ends}", **told)
            continue
        read = {"read": word(ticket.sizes.stop), "stop": settings.length(row.stop_um)}
        yield word("{many} × {length} (stop, {read}: {stop}), {ends}", **told, **read)
    yield from map(word, named_from_edge(rows))
