"""Every page in the second language: what is left of the first is what people typed."""

import re
import sqlite3
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from stockroom.services.shop import Shop
from tests.page.browser import serving
from tests.page.test_look import PAGES
from tests.stockroom.words.second import first_language, speak_second

LABELS = ("aria-label", "placeholder", "title", "alt")
TYPED = {"profile": "code name species", "supplier": "code name note", "job": "customer title note",
         "batch": "code", "move": "spot", "entry": "who why", "setting": "value"}  # fmt: skip
"""What people typed, by the tables that keep it."""
UNITS = {"in", "mm"}


class Read(HTMLParser):
    """What a page shows and tells."""

    def __init__(self) -> None:
        super().__init__()
        self.said: list[str] = []

    def handle_starttag(self, _tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """The labels of a tag."""
        self.said += [value for name, value in attrs if name in LABELS and value]

    def handle_data(self, data: str) -> None:
        """What stands between tags."""
        self.said.append(data)


def test_every_word_of_every_page_is_of_the_second_language(
    planned: Shop, tab: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with serving(planned) as opened:
        speak_second(tmp_path, monkeypatch)
        known = typed(Path(str(planned.engine.url.database)))
        left = {}
        for path in dict.fromkeys(path for path, *_ in PAGES):
            read = Read()
            read.feed(opened.ask("GET", path).text)
            if words := first_language(*read.said) - known - UNITS:
                left[path] = words
        page = tab()
        page.goto(f"{opened.here}/saw")  # Its program says what is shown.
        page.get_by_role("button", name="ís cút").wait_for()
        page.get_by_role("button", name="Míscút").click()
        said = page.inner_text("main"), page.inner_text("dialog")
        assert "Whích ráíl ís spóílt?" in said[1]
        assert first_language(*said) - known - UNITS == set()
    assert left == {}


def typed(record: Path) -> set[str]:
    """The words that people typed."""
    kept = sqlite3.connect(record)
    texts = [
        str(text)
        for table, columns in TYPED.items()
        for column in columns.split()
        for (text,) in kept.execute(f"SELECT {column} FROM {table}")
    ]
    kept.close()
    return set(re.findall("[A-Za-z]+", " ".join(texts)))
