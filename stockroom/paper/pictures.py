"""Pictures of a plan and of the rack: every piece to one scale, its back edge below."""

from collections.abc import Sequence
from datetime import date

from stockroom.paper.drawing import Area, Drawing, Words, words_width
from stockroom.settings.shop_settings import Settings
from stockroom.views.rack_row import RackRow, placed
from stockroom.views.sheet import CAUTIONS, Part, PartKind, Sheet, SheetPiece, plan_state

__all__ = ["plan_picture", "rack_picture"]

ACROSS, MARGIN, TALL, ROW, LINE = 280.0, 10.0, 7.0, 19.0, 5.0
BIG, SMALL = 5.0, 3.2
GREYS: dict[PartKind, int] = {
    "rail": 255, "leftover": 225, "trim": 150, "scrap": 150, "saw": 60, "flaw": 0,
}  # fmt: skip


def plan_picture(sheet: Sheet, settings: Settings) -> Drawing:
    """The pieces of a plan in the order of the walk, with the rails to cut."""
    name = f"Plan {sheet.plan}" if sheet.plan is not None else "Plan"
    head = f"{name}, {plan_state(sheet.state)}, frames due by {sheet.until.isoformat()}"
    pieces = [(caption(piece, settings), piece.length, piece.parts) for piece in sheet.pieces]
    return drawing(head, sheet.shop, pieces, settings, CAUTIONS)


def caption(piece: SheetPiece, settings: Settings) -> str:
    """Where a piece is and what it is."""
    where = f"at {piece.spot}" if piece.spot else "place unknown"
    return (f"{piece.number}  {where}, {piece.kind} {settings.stock_with_unit(piece.length)}, "
            f"{piece.profile}, batch {piece.batch}")  # fmt: skip


def rack_picture(rows: Sequence[RackRow], settings: Settings, day: date) -> Drawing:
    """All pieces on the rack, by their places."""
    pieces = [(rack_caption(row, settings), row.length, row.parts) for row in placed(rows)]
    return drawing(f"The rack on {day.isoformat()}", settings.name, pieces, settings)


def rack_caption(row: RackRow, settings: Settings) -> str:
    """Where a piece is and what it is, and the plan that holds it."""
    held = f", held by plan {row.plan}" if row.plan is not None else ""
    where = f"at {row.spot}" if row.spot else "place unknown"
    return (f"{row.number}  {where}, {row.kind} {settings.stock_with_unit(row.length)}, "
            f"{row.profile}, batch {row.batch}{held}")  # fmt: skip


Piece = tuple[str, int, tuple[Part, ...]]


def drawing(
    head: str, shop: str, pieces: Sequence[Piece], settings: Settings, cautions: Sequence[str] = ()
) -> Drawing:
    """Pieces below one another, the longest as wide as the drawing; cautions at the foot."""
    longest = max((length for _, length, _ in pieces), default=1)
    per_um = (ACROSS - 2 * MARGIN) / longest
    room = ACROSS - 2 * MARGIN - 2
    beside = room - words_width(head, BIG, bold=True) - 5
    marks: list[Area | Words] = [Words(MARGIN, 15, head, BIG, bold=True),
                                 Words(ACROSS - MARGIN, 15, fitted(shop, beside), SMALL,
                                       align="end"),
                                 Words(MARGIN, 22, legend(pieces), SMALL)]  # fmt: skip
    y = 30.0
    for text, _, parts in pieces:
        marks.append(Words(MARGIN, y, fitted(text, room), SMALL))
        unnamed = []
        for part in parts:
            marks += (drawn := part_marks(part, y + 2, per_um, settings))
            if part.kind == "rail" and len(drawn) == 1:
                unnamed.append(f"{part.frame} {settings.length(part.length)}")
        marks.append(Words(MARGIN, y + 12.6, fitted(", ".join(unnamed), room), SMALL))
        y += ROW
    for line in cautions:
        marks.append(Words(MARGIN, y, line, SMALL))
        y += LINE
    return Drawing(head, ACROSS, y, tuple(marks))


def legend(pieces: Sequence[Piece]) -> str:
    """What the fills mean, for those that are there."""
    said = {"rail": "white, mitred: rail", "leftover": "pale: back to the rack",
            "scrap": "grey: scrap", "trim": "grey at an end: trim", "saw": "dark: saw",
            "flaw": "black: flaw"}  # fmt: skip
    kinds = {part.kind for _, _, parts in pieces for part in parts}
    if not kinds - {"leftover", "flaw"}:
        said["leftover"] = "pale: clear"
    return "; ".join(text for kind, text in said.items() if kind in kinds)


def part_marks(part: Part, top: float, per_um: float, settings: Settings) -> list[Area | Words]:
    """A part: its outline, and its name and length where they fit."""
    left, right = MARGIN + part.start * per_um, MARGIN + (part.start + part.length) * per_um
    # A rail's mitres run at 45 degrees, its long points below on the back edge.
    slant = min(TALL, (right - left) / 3) if part.kind == "rail" else 0.0
    outline = ((left, top + TALL), (right, top + TALL), (right - slant, top), (left + slant, top))
    marks: list[Area | Words] = [Area(outline, GREYS[part.kind], part.kind)]
    length = settings.stock(part.length)
    text = {"rail": f"{part.frame}  {length}", "leftover": length, "scrap": length}.get(part.kind)
    if text and words_width(text, SMALL) < right - left - 2 * slant - 1:
        marks.append(Words((left + right) / 2, top + 4.7, text, SMALL, align="middle"))
    return marks


def fitted(text: str, within: float) -> str:
    """Words shortened with an ellipsis until they fit."""
    if words_width(text, SMALL) <= within:
        return text
    while text and words_width(text + "…", SMALL) > within:
        text = text[:-1]
    return text.rstrip() + "…"
