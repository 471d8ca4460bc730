"""Pages read back: what stands on them, and that nothing overlaps or leaves them."""

import io
from collections.abc import Iterator, Sequence
from itertools import combinations
from pathlib import Path
from typing import Any
from weakref import WeakKeyDictionary

import pdfplumber
import pypdfium2
import pytest
from PIL import Image, ImageChops

from stockroom.paper.page import POINT_MM

READ: WeakKeyDictionary[Any, list[dict[str, Any]]] = WeakKeyDictionary()
GOLDEN = Path(__file__).parent / "golden"
TAILED = frozenset("gjpqyQ,;()/|{}[]_@…") | frozenset(map(chr, range(0x80, 0x3000)))
"""Letters that may hang below the line."""
MOST_DARK = 0.0003
"""Soft edges may fall otherwise in another renderer; a word that changed does more than that."""


def pages_of(pdf: bytes) -> list[Any]:
    """The pages of a PDF."""
    return list(pdfplumber.open(io.BytesIO(pdf)).pages)


def outlines(page: Any) -> Iterator[list[tuple[float, float]]]:
    """The filled outlines of a page, their points in mm from its top left corner; codes and letters
    that are drawn have no line around them."""
    for shape in [*page.curves, *page.rects]:
        if shape["fill"] and shape["stroke"]:
            yield [(x * POINT_MM, y * POINT_MM) for x, y in shape["pts"]]


def words_of(page: Any) -> list[dict[str, Any]]:
    """The words of a page with their boxes, points; each page is read once."""
    if page not in READ:
        READ[page] = page.extract_words(x_tolerance=1, y_tolerance=0.5)
    return READ[page]


def inked(word: dict[str, Any]) -> tuple[float, float]:
    """From a word's capitals down to its tails; its box has room above and below these."""
    tall = word["bottom"] - word["top"]
    tails = 0.05 if TAILED & set(str(word.get("text"))) else 0.2
    return word["top"] + 0.15 * tall, word["bottom"] - tails * tall


def apart(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """True where two words do not touch."""
    beside = one["x1"] <= other["x0"] + 0.3 or other["x1"] <= one["x0"] + 0.3
    below = inked(one)[1] <= inked(other)[0] or inked(other)[1] <= inked(one)[0]
    return beside or below


def assert_words_apart(page: Any) -> None:
    """No word overlaps another."""
    words = sorted(words_of(page), key=lambda word: word["top"])
    for one, other in combinations(words, 2):
        if other["top"] < one["bottom"]:
            assert apart(one, other), (one["text"], other["text"])


def assert_inside(page: Any, left: float, top: float, right: float, bottom: float) -> None:
    """All that is drawn or written lies between these, points from the top left corner."""
    for thing in [*words_of(page), *page.lines, *page.rects, *page.curves]:
        where = thing.get("text", thing.get("object_type"))
        assert left <= thing["x0"] <= thing["x1"] <= right, where
        assert top <= thing["top"] <= thing["bottom"] <= bottom, where


def assert_clear_of(page: Any, boxes: Sequence[Any]) -> None:
    """No word lies on the edge of a box, or in it where it is to be written in."""
    words = words_of(page)
    for box in boxes:
        for word in words:
            clear = (word["x1"] <= box["x0"] + 0.3 or box["x1"] <= word["x0"] + 0.3
                     or inked(word)[1] <= box["top"] + 0.3
                     or box["bottom"] <= inked(word)[0] + 0.3)  # fmt: skip
            assert clear, word["text"]


def picture(pdf: bytes, page: int, dots_per_inch: float) -> Image.Image:
    """A page as a grey picture."""
    with pypdfium2.PdfDocument(pdf) as document:
        drawn: Image.Image = (
            document[page].render(scale=dots_per_inch / 72, grayscale=True).to_pil()
        )
        return drawn.copy()


def assert_as_kept(pdf: bytes, page: int, name: str) -> None:
    """A page looks as its golden picture does; delete a picture to have it drawn afresh."""
    now = picture(pdf, page, 54)
    path = GOLDEN / f"{name}.png"
    if not path.exists():
        now.save(path, optimize=True)
        pytest.fail(f"{path.name} was drawn afresh; look at it and run again")
    with Image.open(path) as kept:
        assert kept.size == now.size
        difference = ImageChops.difference(kept.convert("L"), now)
    assert sum(difference.histogram()[96:]) < MOST_DARK * now.width * now.height
