"""Codes that a scanner reads, as black areas in whole modules.

The only module that knows the library for QR codes (ISO/IEC 18004). Code 128 (ISO/IEC 15417) is
reckoned here, for digits alone.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from stockroom.paper.page import Paper
from stockroom.settings.label_sheet import CodeKind

__all__ = ["Code", "code_of", "draw_code"]

Run = tuple[int, int, int]
"""Left, row and length of a dark run, modules."""
QR_QUIET, BAR_QUIET = 4, 10
"""Modules that stay white around a code, as its standard asks."""
TABLE = """
212222 222122 222221 121223 121322 131222 122213 122312 132212 221213 221312 231212
112232 122132 122231 113222 123122 123221 223211 221132 221231 213212 223112 312131
311222 321122 321221 312212 322112 322211 212123 212321 232121 111323 131123 131321
112313 132113 132311 211313 231113 231311 112133 112331 132131 113123 113321 133121
313121 211331 231131 213113 213311 213131 311123 311321 331121 312113 312311 332111
314111 221411 431111 111224 111422 121124 121421 141122 141221 112214 112412 122114
122411 142112 142211 241211 221114 413111 241112 134111 111242 121142 121241 114212
124112 124211 411212 421112 421211 212141 214121 412121 111143 111341 131141 114113
114311 411113 411311 113141 114131 311141 411131 211412 211214 211232
"""
WIDTHS = tuple(TABLE.split())
"""Widths of the bars and spaces of each value from 0 to 105, modules (ISO/IEC 15417, from memory;
a decoder reads each pair of digits in the tests)."""
HAIR = 0.02
"""So much does a row of modules lie over the next, mm: rows that only meet show a white seam where
a renderer rounds, and scanners fail on it."""
STOP = (2, 3, 3, 1, 1, 1, 2)
START_B, START_C, SWITCH_C, CHECK = 104, 105, 99, 103


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
    """A Code 128 of digits: pairs in code set C, after a single one in set B where they are odd.

    Raises:
        ValueError: the text is no digits.
    """
    if not text.isdecimal():
        raise ValueError(f"bars for digits alone, not {text!r}")
    odd = len(text) % 2
    values = [START_B, ord(text[0]) - ord(" "), SWITCH_C] if odd else [START_C]
    values += [int(text[at : at + 2]) for at in range(odd, len(text), 2)]
    check = (values[0] + sum(at * value for at, value in enumerate(values))) % CHECK
    widths = [int(width) for value in (*values, check) for width in WIDTHS[value]]
    row = [1 - at % 2 for at, width in enumerate([*widths, *STOP]) for _ in range(width)]
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
        paper.black(x + left * module, y + row * high, length * module, high + HAIR)
