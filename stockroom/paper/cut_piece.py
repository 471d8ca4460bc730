"""A piece on the cut sheet: what to fetch, its drawing to scale, boxes to tick and to write in."""

from collections.abc import Iterator, Sequence
from functools import partial

from stockroom.frame.mitres import mitre_angle
from stockroom.paper.page import BODY, MARGIN, MIDDLE, SMALL, Paper
from stockroom.paper.parts import number
from stockroom.paper.strips import Strip
from stockroom.settings.shop_settings import Settings
from stockroom.views.sheet import Part, PartKind, SheetPiece
from stockroom.views.sheet_rows import cut_on, sayings
from stockroom.words.plan_reasons import in_words

__all__ = ["piece_block"]

HEAD, DRAWN, ROW, LINE, FINE, GAP = 7.2, 9.5, 6.2, 4.0, 3.6, 3.0
BAR, BOX = 7.0, 3.8
NAME = 31.5
"""Where a length's whole part ends, and where what follows it begins, from a cell's left edge."""
NAMED = 14.0
# How far the word behind a length stands off, as fractions may be wide.
APART = 1.5
GREYS: dict[PartKind, int] = {
    "rail": 255, "leftover": 232, "trim": 160, "scrap": 160, "saw": 60, "flaw": 0,
}  # fmt: skip
ANGLE = f"{mitre_angle(4)}°"
"""Every frame of the shop has four sides."""


def piece_block(paper: Paper, piece: SheetPiece, settings: Settings, per_um: float) -> list[Strip]:
    """A piece as strips; ``per_um`` is the drawing's scale, mm of paper to a micrometre."""
    strips = [
        Strip(HEAD, lambda top: heading(paper, top, piece, settings)),
        Strip(DRAWN, lambda top: drawing(paper, top, piece, settings, per_um)),
        *cell_rows(paper, piece, settings),
    ]
    wide = paper.across - 2 * MARGIN
    lines = paper.folded("; ".join(remarks(piece, settings)), wide, SMALL)
    strips += [Strip(LINE, partial(written, paper, line)) for line in lines]
    return [*strips, Strip(GAP, lambda top: None)]


def written(paper: Paper, line: str, top: float) -> None:
    """A line of remarks."""
    paper.text(MARGIN, top + 3, line, SMALL)


def heading(paper: Paper, top: float, piece: SheetPiece, settings: Settings) -> None:
    """Where a piece lies, its number, what it is."""
    base, edge = top + 4.4, paper.across - MARGIN
    kind = f"{piece.kind} {settings.length(piece.length)}"
    what = f"{piece.profile}, batch {piece.batch}"
    label = f"{piece.number}"
    right = edge - paper.width(kind, BODY, bold=True) - 4
    paper.text(MARGIN, base, piece.spot or "place ?", MIDDLE, bold=True, within=22)
    paper.text(MARGIN + 25, base, label, MIDDLE, bold=True)
    left = MARGIN + max(45.0, 29 + paper.width(label, MIDDLE, bold=True))
    paper.text(left, base, what, BODY, within=right - left)
    paper.text(edge, base, kind, BODY, bold=True, align="right")


def drawing(paper: Paper, top: float, piece: SheetPiece, settings: Settings, per_um: float) -> None:
    """The piece to scale, its back edge below: rails mitred, numbered, with their lengths."""
    rails = 0
    for part in piece.parts:
        rails = part.turn or rails + (part.kind == "rail")
        left, right = MARGIN + part.start * per_um, MARGIN + (part.start + part.length) * per_um
        slant = min(BAR / 2, (right - left) / 3) if part.kind == "rail" else 0.0
        paper.shape([(left, top + BAR), (right, top + BAR), (right - slant, top),
                     (left + slant, top)], GREYS[part.kind], 0.2)  # fmt: skip
        room = right - left - 2 * slant - 0.6
        for words in names(piece, part, rails, settings):
            if paper.width(words, SMALL) <= room:
                paper.text((left + right) / 2, top + 4.5, words, SMALL, align="centre")
                break


def names(piece: SheetPiece, part: Part, rail: int, settings: Settings) -> Sequence[str]:
    """What may stand in a part of the drawing, the fullest first."""
    if part.kind == "rail":
        return (f"{rail}:  {settings.length(piece.measures(part)[0][1])}", f"{rail}")
    return (settings.length(part.length),) if part.kind == "leftover" else ()


def cell_rows(paper: Paper, piece: SheetPiece, settings: Settings) -> Iterator[Strip]:
    """A box to tick for each rail, then one to write in for each leftover, three or four a row."""
    widest = max((paper.width(rail.frame, SMALL, bold=True) for rail in piece.rails), default=0.0)
    columns = 3 if widest > 6.6 else 4
    wide = (paper.across - 2 * MARGIN) / columns
    kept = [part for part in piece.parts if part.kind == "leftover"]
    cells: list[tuple[Part, int]] = list(zip(piece.rails, range(1, 1000), strict=False))
    places = list(range(len(cells)))
    at = len(cells)
    for part in kept:
        at += at % columns % 2  # A leftover takes two places beside one another.
        at += columns == 3 and at % 3 == 2
        cells.append((part, 0))
        places.append(at)
        at += 2
    for row in range(-(-at // columns)):
        here = [(cell, place % columns) for cell, place in zip(cells, places, strict=True)
                if place // columns == row]  # fmt: skip

        def draw(top: float, here: Sequence[tuple[tuple[Part, int], int]] = here) -> None:
            for (part, rail), column in here:
                x, base = MARGIN + column * wide, top + 4.3
                if rail:
                    rail_cell(paper, (x, base), piece, part, rail, settings, wide)
                else:
                    leftover_cell(paper, (x, base), part, settings, wide)

        small = any(rail and len(piece.measures(part)) > 1 for (part, rail), _ in here)
        yield Strip(ROW + FINE if small else ROW, draw)


def rail_cell(
    paper: Paper, at: tuple[float, float], piece: SheetPiece, part: Part, rail: int,
    settings: Settings, wide: float,
) -> None:  # fmt: skip
    """A rail: a box to tick, its number in the drawing, what the stop reads, frame and angle;
    below it, small, the other measures."""
    x, base = at
    paper.box(x, base - 3.3, BOX, BOX)
    paper.text(x + 5, base, f"{rail}{'(!)' if part.hard_to_hold else ''}", SMALL)
    (_, read), *others = piece.measures(part)
    number(paper, x + settings.measure.number_wide, base, settings.length(read), MIDDLE, bold=True)
    small = ", ".join(f"{name} {settings.length(length)}" for name, length in others)
    if small:
        paper.text(x + 5, base + FINE, small, SMALL, within=wide - 7.4)
    paper.text(x + NAME, base, part.frame, SMALL, bold=True, within=wide - NAME - 6.6)
    paper.text(x + wide - 2.4, base, ANGLE, SMALL, align="right")


def leftover_cell(
    paper: Paper, at: tuple[float, float], part: Part, settings: Settings, wide: float
) -> None:
    """What goes back to the rack, and a box for what the tape says."""
    x, base = at
    paper.text(x, base, "rack", SMALL)
    number(paper, x + settings.measure.number_wide, base, settings.length(part.length), MIDDLE)
    said = x + NAME + APART
    paper.text(said, base, "measured", SMALL)
    paper.box(said + NAMED, base - 4, 2 * wide - NAME - APART - NAMED - 4, 5.2)


def remarks(piece: SheetPiece, settings: Settings) -> Iterator[str]:
    """What the saw and scrap take, where flaws lie, why a stick is opened, what to hold by jig."""
    show = settings.length
    if on := cut_on(piece):
        yield on
    scrap = piece.total("scrap") + piece.total("trim")
    yield ", ".join([f"saw {show(piece.total('saw'))}", *([f"scrap {show(scrap)}"] * bool(scrap))])
    for part in piece.parts:
        if part.kind == "flaw":
            end = show(part.start + part.length)
            yield f"flaw from {show(part.start)} to {end}, from the label's end"
    if any(rail.hard_to_hold for rail in piece.rails):
        clear = settings.length_with_unit(piece.shortest)
        yield f"(!) shorter than {clear}: use a clamp or jig, never fingers"
    yield from sayings(piece)
    if piece.why_opened:
        yield f"opened {in_words(piece.why_opened, settings.length_with_unit)}"
