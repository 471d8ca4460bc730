"""The stop list's rows: a length that the stop is set to once, and all the rails of that length."""

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby

from stockroom.paper.page import BODY, MARGIN, MIDDLE, NOTE, Paper
from stockroom.paper.parts import number, title
from stockroom.paper.strips import Strip
from stockroom.settings.shop_settings import Settings
from stockroom.views.collating import MANY, Stopped, job_of, stop_list
from stockroom.views.sheet import Sheet, SheetPiece
from stockroom.views.sheet_rows import also_read
from stockroom.words.language import word

__all__ = ["stop_rows"]

TITLE, LENGTH, CELL, TICK = 8.0, 7.0, 7.4, 6.0
ACROSS = 4


def stop_rows(paper: Paper, sheet: Sheet, settings: Settings) -> list[list[Strip]]:
    """A block for each length of each profile, the first of a profile with its title."""
    blocks: list[list[Strip]] = []
    for words, stops in groupby(stop_list(sheet), key=lambda stop: heading(stop[0])):
        for at, stop in enumerate(stops):
            rows = list(length_rows(paper, stop, settings))
            blocks.append([title_strip(paper, words), *rows] if not at else rows)
    return blocks


def heading(piece: SheetPiece) -> str:
    """The profile, the machine where there are several, and what its stop reads."""
    named = {"profile": piece.profile, "machine": piece.machine, "stop": word(piece.stop)}
    if piece.machine:
        return word("{profile}, on {machine}: the stop reads {stop}", **named)
    return word("{profile}: the stop reads {stop}", **named)


def title_strip(paper: Paper, words: str) -> Strip:
    """A profile's title."""
    wide = paper.across - 2 * MARGIN
    return Strip(TITLE, lambda top: title(paper, MARGIN, top + 4, wide, words))


def length_rows(paper: Paper, stop: Stopped, settings: Settings) -> Iterator[Strip]:
    """What the stop reads, large, the other measures, and a box for each rail of that length."""
    piece, rail, cut = stop
    read = piece.measures(rail)[0][1]
    small = ", ".join(map(word, also_read(piece, rail, settings)))
    held = word("(!) shorter than {clear}: clamp or jig",
                clear=settings.length_with_unit(piece.shortest))  # fmt: skip
    held = word("(!) too short to cut") if piece.too_short(rail) else held
    said = ", ".join(filter(None, (word("{rails:rail}", rails=len(cut)), small,
                                   held if rail.hard_to_hold else "")))  # fmt: skip

    def draw(top: float) -> None:
        stop_at = MARGIN + settings.measure.number_wide
        number(paper, stop_at, top + 5, settings.length(read), MIDDLE, bold=True)
        paper.text(MARGIN + 38, top + 5, said, NOTE, within=paper.across - 2 * MARGIN - 38)

    yield Strip(LENGTH, draw)
    told = counted_cells(cut)
    for start in range(0, len(told), ACROSS):
        yield cells(paper, told[start : start + ACROSS])


def counted_cells(cut: Sequence[tuple[int, str]]) -> list[tuple[str, str]]:
    """From where each rail comes and for which frame; those for many equal frames of a job by
    their count from a piece."""
    frames: dict[str, dict[str, None]] = {}
    for _, frame in cut:
        frames.setdefault(job_of(frame), {})[frame] = None
    many = {job for job, own in frames.items() if len(own) >= MANY}
    several = Counter((piece, job_of(frame)) for piece, frame in cut if job_of(frame) in many)
    return [
        *((word("{count} × from {piece}", count=count, piece=piece), job)
          for (piece, job), count in several.items()),
        *((word("from {piece}", piece=piece), frame)
          for piece, frame in cut if job_of(frame) not in many),
    ]  # fmt: skip


def cells(paper: Paper, rails: Sequence[tuple[str, str]]) -> Strip:
    """A box to tick for each rail, or for some of a piece, and the frame."""
    wide = (paper.across - 2 * MARGIN) / ACROSS

    def draw(top: float) -> None:
        for column, (words, frame) in enumerate(rails):
            x = MARGIN + column * wide
            paper.box(x, top + 0.5, TICK, TICK)
            paper.text(x + 7.2, top + 5, words, NOTE)
            beyond = 9 + paper.width(words, NOTE)
            paper.text(x + beyond, top + 5, frame, BODY, bold=True, within=wide - beyond - 1)

    return Strip(CELL, draw)
