"""Pictures of a plan and of the rack: every piece to one scale, its back edge below."""

from collections.abc import Sequence
from datetime import date
from itertools import groupby

from stockroom.paper.drawing import Area, Corner, Drawing, Words, words_width
from stockroom.settings.shop_settings import Settings
from stockroom.views.rack_row import RackRow, placed
from stockroom.views.sheet import CAUTIONS, Part, PartKind, Sheet, SheetPiece, plan_state
from stockroom.words.language import word
from stockroom.words.plan_reasons import whole as whole_list

__all__ = ["plan_picture", "rack_pictures"]

ACROSS, MARGIN, TALL, ROW, LINE = 280.0, 10.0, 7.0, 19.0, 5.0
BIG, SMALL = 5.0, 3.2
NAMED, LOW, A_PAGE = 66.0, 6.0, 17
"""On a page of the rack: the room of a piece's name, how high its drawing is, mm, and how many rows
a screen can show: no more than 1,000 dots."""
LABEL_MARK, OVER = 1.2, 0.8
"""How thick the mark of a label's end is, and how far it stands over its piece, mm."""
GREYS: dict[PartKind, int] = {
    "rail": 255, "leftover": 225, "trim": 150, "scrap": 150, "saw": 60, "flaw": 0,
}  # fmt: skip


def plan_picture(sheet: Sheet, settings: Settings) -> Drawing:
    """The pieces of a plan in the order of the walk, with the rails to cut."""
    name = word("Plan {number}", number=sheet.plan) if sheet.plan is not None else word("Plan")
    head = word("{name}, {state}, frames due by {until}", name=name,
                state=word(plan_state(sheet.state)), until=sheet.until.isoformat())  # fmt: skip
    pieces = [(caption(piece, settings), piece.length, piece.parts) for piece in sheet.pieces]
    return drawing(head, sheet.shop, pieces, settings, tuple(map(word, CAUTIONS)))


def caption(piece: SheetPiece, settings: Settings) -> str:
    """Where a piece is and what it is."""
    where = word("at {spot}", spot=piece.spot) if piece.spot else word("place unknown")
    return (word("{number}  {where}, {kind} {length}, {profile}, batch {batch}",
                 number=piece.number, where=where, kind=word(piece.kind),
                 length=settings.stock_with_unit(piece.length), profile=piece.profile,
                 batch=piece.batch))  # fmt: skip


def rack_pictures(
    rows: Sequence[RackRow], settings: Settings, day: date, of: str = ""
) -> list[Drawing]:
    """The pieces on the rack by their places, in pages that a screen can show; ``of`` says which
    pieces they are."""
    entries: list[str | RackRow] = []
    for spot, lying in groupby(placed(rows), key=lambda row: row.spot):
        entries += [word("at {spot}", spot=spot) if spot else word("place unknown"), *lying]
    pages = paged(entries)
    longest = max((row.length for row in rows), default=1)
    per_um = (ACROSS - 2 * MARGIN - NAMED) / longest
    title = word("The rack on {day}{of}", day=day.isoformat(), of=f", {of}" if of else "")
    return [rack_page(title, word("page {at} of {many}", at=at, many=len(pages)), page, per_um,
                      settings) for at, page in enumerate(pages, 1)]  # fmt: skip


def paged(entries: Sequence[str | RackRow]) -> list[list[str | RackRow]]:
    """Places and their pieces on pages; a place that goes on is named again, and none stands at the
    foot of a page without a piece."""
    pages: list[list[str | RackRow]] = [[]]
    place = ""
    for entry in entries:
        place = entry if isinstance(entry, str) else place
        if len(pages[-1]) >= A_PAGE - isinstance(entry, str):
            pages.append([] if isinstance(entry, str) else [word("{place}, more", place=place)])
        pages[-1].append(entry)
    return pages


def rack_page(
    title: str, page: str, entries: Sequence[str | RackRow], per_um: float, settings: Settings
) -> Drawing:
    """A page of the rack's picture: places, and each piece in a row, what it is at its left."""
    shown = [("", row.length, row.parts) for row in entries if not isinstance(row, str)]
    marks = head_marks(title, f"{settings.name}, {page}", shown, settings.font)
    y = 28.0
    for entry in entries:
        if isinstance(entry, str):
            marks.append(Words(MARGIN, y + 4.5, fitted(entry, ACROSS - 2 * MARGIN, settings.font),
                               SMALL, bold=True))  # fmt: skip
        else:
            named = fitted(rack_caption(entry, settings), NAMED - 2, settings.font)
            marks.append(Words(MARGIN, y + 4.5, named, SMALL))
            for part in entry.parts:
                marks += part_marks(part, (MARGIN + NAMED, y), per_um, settings, LOW)
            marks.append(label_mark((MARGIN + NAMED, y), LOW))
        y += LOW + 2
    return Drawing(title, ACROSS, y + 3, tuple(marks), settings.font)


def rack_caption(row: RackRow, settings: Settings) -> str:
    """What a piece is, and the plan that holds it; its length where it has flaws."""
    held = word(", plan {plan}", plan=row.plan) if row.plan is not None else ""
    whole = f" {settings.stock(row.length)}" if row.flaws else ""
    marks = f"; {whole_list(row.marks, settings)}" if row.marks else ""
    return f"{row.number}  {row.profile}, {row.batch}, {word(row.kind)}{whole}{held}{marks}"


Piece = tuple[str, int, tuple[Part, ...]]


def drawing(
    head: str, shop: str, pieces: Sequence[Piece], settings: Settings, cautions: Sequence[str] = ()
) -> Drawing:
    """Pieces below one another, the longest as wide as the drawing; cautions at the foot."""
    longest = max((length for _, length, _ in pieces), default=1)
    per_um = (ACROSS - 2 * MARGIN) / longest
    room = ACROSS - 2 * MARGIN - 2
    marks = head_marks(head, shop, pieces, settings.font)
    y = 30.0
    for text, _, parts in pieces:
        marks.append(Words(MARGIN, y, fitted(text, room, settings.font), SMALL))
        unnamed = []
        for part in parts:
            marks += (drawn := part_marks(part, (MARGIN, y + 2), per_um, settings))
            if part.kind == "rail" and len(drawn) == 1:
                unnamed.append(f"{part.frame} {settings.length(part.length)}")
        marks.append(label_mark((MARGIN, y + 2), TALL))
        marks.append(Words(MARGIN, y + 12.6, fitted(", ".join(unnamed), room), SMALL))
        y += ROW
    for line in cautions:
        marks.append(Words(MARGIN, y, line, SMALL))
        y += LINE
    return Drawing(head, ACROSS, y, tuple(marks), settings.font)


def label_mark(corner: Corner, tall: float) -> Area:
    """A heavy mark at the end of a piece that its label is on, from which flaws are told."""
    x, y = corner
    right = x + LABEL_MARK
    return Area(((x, y + tall), (right, y + tall), (right, y - OVER), (x, y - OVER)), 0, "label")


def head_marks(
    head: str, shop: str, pieces: Sequence[Piece], font: str
) -> list[Area | Words]:  # fmt: skip
    """What a picture shows, whose it is, and what its fills mean."""
    beside = ACROSS - 2 * MARGIN - 7 - words_width(head, BIG, bold=True, font=font)
    return [Words(MARGIN, 15, head, BIG, bold=True),
            Words(ACROSS - MARGIN, 15, fitted(shop, beside, font), SMALL, align="end"),
            Words(MARGIN, 22, legend(pieces), SMALL)]  # fmt: skip


def legend(pieces: Sequence[Piece]) -> str:
    """What the fills mean, for those that are there."""
    said = {"rail": "white, mitred: rail", "leftover": "pale: back to the rack",
            "scrap": "grey: scrap", "trim": "grey at an end: trim", "saw": "dark: cutting loss",
            "flaw": "black: flaw"}  # fmt: skip
    kinds = {part.kind for _, _, parts in pieces for part in parts}
    if not kinds - {"leftover", "flaw"}:
        said["leftover"] = "pale: clear"
    fills = [word(text) for kind, text in said.items() if kind in kinds]
    return "; ".join([*fills, word("heavy end: the label's")])


def part_marks(
    part: Part, corner: tuple[float, float], per_um: float, settings: Settings, tall: float = TALL
) -> list[Area | Words]:
    """A part: its outline, and its name and length where they fit."""
    x, top = corner
    left, right = x + part.start * per_um, x + (part.start + part.length) * per_um
    # A rail's mitres run at 45 degrees, its long points below on the back edge.
    slant = min(tall, (right - left) / 3) if part.kind == "rail" else 0.0
    outline = ((left, top + tall), (right, top + tall), (right - slant, top), (left + slant, top))
    marks: list[Area | Words] = [Area(outline, GREYS[part.kind], part.kind)]
    length = settings.stock(part.length)
    text = {"rail": f"{part.frame}  {length}", "leftover": length, "scrap": length}.get(part.kind)
    if text and words_width(text, SMALL) < right - left - 2 * slant - 1:
        marks.append(Words((left + right) / 2, top + tall / 2 + 1.2, text, SMALL, align="middle"))
    return marks


def fitted(text: str, within: float, font: str = "") -> str:
    """Words shortened with an ellipsis until they fit."""
    if words_width(text, SMALL, font=font) <= within:
        return text
    while text and words_width(text + "…", SMALL, font=font) > within:
        text = text[:-1]
    return text.rstrip() + "…"
