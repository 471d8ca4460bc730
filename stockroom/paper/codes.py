"""Codes that a scanner reads, as black areas in whole modules.

The only module that knows the libraries for QR codes (ISO/IEC 18004) and Code 128 (ISO/IEC 15417).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from stockroom.labelsheet import CodeKind
from stockroom.paper.page import Paper

__all__ = ["Code", "code_of", "draw_code"]

Run = tuple[int, int, int]
"""Left, row and length of a dark run, modules."""
QR_QUIET, BAR_QUIET = 4, 10
"""Modules that stay white around a code, as its standard asks."""


@dataclass(frozen=True, slots=True)
class Code:
    """A code's dark runs; ``across`` and ``down`` count its quiet zone too. A code of bars has one
    row, drawn as high as there is room.
    """

    kind: CodeKind
    across: int
    down: int
    runs: tuple[Run, ...]


def code_of(text: str, kind: CodeKind) -> Code:
    """The code of a text of printable ASCII.

    Raises:
        ValueError: the text is empty or holds other letters.
    """
    if not text or not text.isascii() or not text.isprintable():
        raise ValueError(f"no code for {text!r}")
    return qr(text) if kind == "qr" else bars(text)


def qr(text: str) -> Code:
    """A QR code, its error correction at least M."""
    import segno

    rows = segno.make_qr(text, error="m").matrix
    side = len(rows) + 2 * QR_QUIET
    return Code("qr", side, side, tuple(
        (start + QR_QUIET, number + QR_QUIET, length)
        for number, row in enumerate(rows)
        for start, length in dark_runs(row)
    ))  # fmt: skip


def bars(text: str) -> Code:
    """A Code 128."""
    from barcode.codex import Code128

    row = [int(module) for module in Code128(text).build()[0]]
    runs = tuple((start + BAR_QUIET, 0, length) for start, length in dark_runs(row))
    return Code("code128", len(row) + 2 * BAR_QUIET, 1, runs)


def dark_runs(row: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Where dark modules begin, and how many follow one another."""
    at = 0
    for dark, group in groupby(row):
        length = len(list(group))
        if dark:
            yield at, length
        at += length


def draw_code(paper: Paper, code: Code, x: float, y: float, module: float, tall: float) -> None:
    """Draws a code from its quiet zone's top left corner; ``tall`` is the height of bars, mm."""
    high = module if code.kind == "qr" else tall
    for left, row, length in code.runs:
        paper.black(x + left * module, y + row * high, length * module, high)
