"""What every page is made of: a part's title, numbers aligned, sentences."""

from collections.abc import Sequence

from stockroom.paper.page import BODY, SMALL, Paper

__all__ = ["number", "sentences", "title"]


def title(paper: Paper, x: float, y: float, wide: float, words: str) -> None:
    """A part's title over a thin line."""
    paper.text(x, y, words, SMALL, bold=True, within=wide)
    paper.line((x, y + 1.2), (x + wide, y + 1.2), 0.15)


def number(
    paper: Paper, stop: float, y: float, value: str, size: float = BODY, *, bold: bool = False
) -> None:
    """A number with its decimal point or its fraction at ``stop``."""
    cut = next((at for at, sign in enumerate(value) if sign in ". "), len(value))
    cut = 0 if "/" in value[:cut] else cut
    paper.text(stop, y, value[:cut], size, bold=bold, align="right")
    beside = stop + 1.5 * value[cut:].startswith(" ")
    paper.text(beside, y, value[cut:].strip(), size, bold=bold)


def sentences(
    paper: Paper, x: float, y: float, wide: float, words: str, said: Sequence[str]
) -> float:
    """Sentences, each from a line of its own; gives where the next part begins."""
    title(paper, x, y, wide, words)
    lines = [line for sentence in said for line in paper.folded(sentence, wide, SMALL)]
    for row, line in enumerate(lines):
        paper.text(x, y + 5 + 4 * row, line, SMALL)
    return y + 5 + 4 * len(lines) + 3
