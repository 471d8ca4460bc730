"""A piece on the cut sheet: what to fetch, its drawing to scale, boxes to tick and to write in."""

from collections.abc import Iterator, Sequence
from functools import partial

from stockroom.paper.page import BODY, MARGIN, MIDDLE, NOTE, Paper
from stockroom.paper.parts import number
from stockroom.paper.piece_drawing import BAR, draw_part, mark_label_end
from stockroom.paper.strips import Strip
from stockroom.settings.shop_settings import Settings
from stockroom.views.sheet import Part, SheetPiece
from stockroom.views.sheet_rows import also_read, cut_on, sayings
from stockroom.words.language import word
from stockroom.words.plan_reasons import in_words

__all__ = ["piece_block"]

HEAD, DRAWN, ROW, LINE, FINE, GAP = 7.2, BAR + 2.0, 7.6, 4.2, 4.0, 3.0
TICK = 6.0
NAME = 35.0
"""Where what follows a length begins, from a cell's left edge, and how far a length's whole part
stands in from there as it does on a narrower box."""
INDENT = 2.3
# How far the word behind a length stands off, as fractions may be wide.
APART = 1.5
WIDE_LABEL = 8.4
"""A frame's label wider than this wants a third of the page for its rail, mm."""


def piece_block(paper: Paper, piece: SheetPiece, settings: Settings, per_um: float) -> list[Strip]:
    """A piece as strips; ``per_um`` is the drawing's scale, mm of paper to a micrometre."""
    strips = [
        Strip(HEAD, lambda top: heading(paper, top, piece, settings)),
        Strip(DRAWN, lambda top: drawing(paper, top, piece, settings, per_um)),
        *rail_rows(paper, piece, settings),
        *written_rows(paper, piece, settings),
    ]
    wide = paper.across - 2 * MARGIN
    lines = paper.folded("; ".join(remarks(piece, settings)), wide, NOTE)
    strips += [Strip(LINE, partial(remark, paper, line)) for line in lines]
    return [*strips, Strip(GAP, lambda top: None)]


def remark(paper: Paper, line: str, top: float) -> None:
    """A line of remarks."""
    paper.text(MARGIN, top + 3.2, line, NOTE)


def heading(paper: Paper, top: float, piece: SheetPiece, settings: Settings) -> None:
    """Where a piece lies, its number, what it is: each as wide as it needs."""
    base, edge = top + 4.4, paper.across - MARGIN
    kind = f"{word(piece.kind)} {settings.stock(piece.length)}"
    right = edge - paper.width(kind, BODY, bold=True) - 4
    named, label = batch_named(piece.profile, piece.batch), f"{piece.number}"
    beside = min(60.0, paper.width(named, BODY)) + paper.width(label, MIDDLE, bold=True) + 8
    room = max(60.0, right - MARGIN - beside)
    spot = paper.fitted(piece.spot or word("place ?"), room, MIDDLE, bold=True)
    paper.text(MARGIN, base, spot, MIDDLE, bold=True)
    x = MARGIN + max(25.0, paper.width(spot, MIDDLE, bold=True) + 4)
    paper.text(x, base, label, MIDDLE, bold=True)
    x = max(MARGIN + 45.0, x + paper.width(label, MIDDLE, bold=True) + 4)
    paper.text(x, base, named, BODY, within=right - x)
    paper.text(edge, base, kind, BODY, bold=True, align="right")


def batch_named(profile: str, batch: str) -> str:
    """A profile and one of its batches."""
    return word("{profile}, batch {batch}", profile=profile, batch=batch)


def drawing(paper: Paper, top: float, piece: SheetPiece, settings: Settings, per_um: float) -> None:
    """The piece to scale, its back edge below: rails mitred, numbered, with their lengths."""
    rails = 0
    for at, part in enumerate(piece.parts):
        rails = part.turn or rails + (part.kind == "rail")
        room, middle = draw_part(paper, piece.parts, at, (MARGIN, top), per_um)
        for words in names(piece, part, rails, settings):
            if paper.width(words, NOTE) <= room:
                paper.text(middle, top + 4.8, words, NOTE, align="centre")
                break
    mark_label_end(paper, MARGIN, top)


def names(piece: SheetPiece, part: Part, rail: int, settings: Settings) -> Sequence[str]:
    """What may stand in a part of the drawing, the fullest first."""
    if part.kind == "rail":
        return (f"{rail}:  {settings.length(piece.measures(part)[0][1])}", f"{rail}")
    return (settings.stock(part.length),) if part.kind == "leftover" else ()


def columns_of(paper: Paper, piece: SheetPiece) -> int:
    """How many rails stand beside one another: three where they say more than a length."""
    widest = max((paper.width(rail.frame, BODY, bold=True) for rail in piece.rails), default=0.0)
    said = max((len(piece.measures(rail)) for rail in piece.rails), default=1)
    return 3 if widest > WIDE_LABEL or said > 2 else 4


def rail_rows(paper: Paper, piece: SheetPiece, settings: Settings) -> Iterator[Strip]:
    """A box to tick for each rail, three or four a row, in the order in which they are cut."""
    columns = columns_of(paper, piece)
    wide = (paper.across - 2 * MARGIN) / columns
    rails = list(enumerate(piece.rails, 1))
    for start in range(0, len(rails), columns):
        here = rails[start : start + columns]

        last = start + columns >= len(rails) and amiss_beside(piece, columns)

        def draw(top: float, here: Sequence[tuple[int, Part]] = here, last: bool = last) -> None:
            for column, (turn, part) in enumerate(here):
                at = (MARGIN + column * wide, top + 5.2)
                rail_cell(paper, at, piece, part, turn, settings, wide)
            if last:
                amiss_cell(paper, (paper.across / 2, top + 5.2))

        small = any(also_read(piece, part, settings) for _, part in here)
        yield Strip(ROW + FINE if small else ROW, draw)


def rail_cell(
    paper: Paper, at: tuple[float, float], piece: SheetPiece, part: Part, turn: int,
    settings: Settings, wide: float,
) -> None:  # fmt: skip
    """A rail: a box to tick, its number in the drawing, what the stop reads, and its frame large
    enough to be copied onto the wood; below it the other measures."""
    x, base = at
    paper.box(x, base - 4.7, TICK, TICK)
    paper.text(x + 7.2, base, f"{turn}{'(!)' if part.hard_to_hold else ''}", NOTE)
    read = piece.measures(part)[0][1]
    stop = x + settings.measure.number_wide + INDENT
    number(paper, stop, base, settings.length(read), MIDDLE, bold=True)
    if small := ", ".join(map(word, also_read(piece, part, settings))):
        paper.text(x + 7.2, base + FINE, small, NOTE, within=wide - 8.4)
    paper.text(x + NAME, base, part.frame, BODY, bold=True, within=wide - NAME - 0.8)


def written_rows(paper: Paper, piece: SheetPiece, settings: Settings) -> Iterator[Strip]:
    """What is written at the saw, two a row: each leftover as the tape says and where it went,
    then a miscut rail and a flaw that came to light."""
    half = (paper.across - 2 * MARGIN) / 2
    kept: list[Part | None] = [part for part in piece.parts if part.kind == "leftover"]
    cells = kept if amiss_beside(piece, columns_of(paper, piece)) else [*kept, None]
    for start in range(0, len(cells), 2):

        def draw(top: float, here: Sequence[Part | None] = cells[start : start + 2]) -> None:
            for column, part in enumerate(here):
                at = (MARGIN + column * half, top + 5.2)
                if part is None:
                    amiss_cell(paper, at)
                else:
                    leftover_cell(paper, at, part, settings)

        yield Strip(ROW, draw)


def amiss_beside(piece: SheetPiece, columns: int) -> bool:
    """Whether what went amiss is written beside the last rails: nothing goes back to the rack, and
    their row has half the page to spare."""
    kept = any(part.kind == "leftover" for part in piece.parts)
    return not kept and 0 < len(piece.rails) % columns <= columns / 2


def boxes_after(paper: Paper, at: tuple[float, float], *named: tuple[str, float]) -> None:
    """Words, each with a box behind it to write in, so wide."""
    x, base = at
    for name, wide in named:
        words = word(name)
        paper.text(x, base, words, NOTE)
        x += paper.width(words, NOTE) + 1.5
        paper.box(x, base - 4.7, wide, TICK)
        x += wide + 2


def leftover_cell(paper: Paper, at: tuple[float, float], part: Part, settings: Settings) -> None:
    """What goes back to the rack, and boxes for what the tape says and where it went."""
    x, base = at
    paper.text(x, base, word("rack"), NOTE)
    stop = x + settings.measure.number_wide + INDENT
    number(paper, stop, base, settings.stock(part.length), MIDDLE)
    boxes_after(paper, (x + NAME + APART, base), ("tape", 22.0), ("at", 12.0))


def amiss_cell(paper: Paper, at: tuple[float, float]) -> None:
    """Boxes for a rail that was miscut, and for a flaw on what is left."""
    boxes_after(paper, at, ("miscut: rail", 8.0), ("flaw", 15.0), ("to", 15.0))


def remarks(piece: SheetPiece, settings: Settings) -> Iterator[str]:
    """What cuts and scrap take, where flaws lie, why a stick is opened, what to hold by jig."""
    show = settings.length
    if on := cut_on(piece):
        yield word(on)
    scrap = piece.total("scrap") + piece.total("trim")
    lost = word("cutting loss {length}", length=show(piece.total("saw")))
    yield word("{lost}, scrap {length}", lost=lost, length=show(scrap)) if scrap else lost
    for part in piece.parts:
        if part.kind == "flaw":
            end = show(part.start + part.length)
            yield word("flaw from {start} to {end}, from the label's end",
                       start=show(part.start), end=end)  # fmt: skip
    if short := [f"{turn}" for turn, rail in enumerate(piece.rails, 1) if piece.too_short(rail)]:
        yield word("too short to cut: rail {rails}", rails=tuple(short))
    if any(rail.hard_to_hold and not piece.too_short(rail) for rail in piece.rails):
        clear = settings.length_with_unit(piece.shortest)
        yield word("(!) shorter than {clear}: use a clamp or jig, never fingers", clear=clear)
    yield from map(word, sayings(piece))
    for mark in piece.marks:
        yield in_words(mark, settings)
    if piece.why_opened:
        yield word("opened {why}", why=in_words(piece.why_opened, settings))
