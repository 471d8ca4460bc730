"""A second language for the tests: each vowel of the first has an accent, but in what is filled in.

What is left without one where people read is data, or a word that no file can change.
"""

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from string import Formatter

import pytest
from typer import rich_utils

from stockroom.cli.building.spoken_help import LIBRARY
from stockroom.words.languages import ENGLISH, FRONTS, HOUSE, read

__all__ = ["first_language", "quoted", "speak_second", "write_second"]

ACCENTS = str.maketrans("aeiouyAEIOUY", "áéíóúýÁÉÍÓÚÝ")
HOW = ("up", "down", "quoted", "day")
"""What says how something is filled in; any other word there is said."""
MARKED = re.compile(r"(\[/?(?:bold|dim|blue)?\])")
"""Marks of how a text is shown on a terminal."""


def accented(sentence: str) -> str:
    """A sentence of the second language."""
    said = ""
    for words, name, how, _ in Formatter().parse(sentence):
        said += in_second(words).replace("{", "{{").replace("}", "}}")
        if name is not None:
            spoken = how and how not in HOW and re.search("[a-z]{2}", how)
            filled = how.translate(ACCENTS) if spoken and how else how
            said += "{" + name + (f":{filled}" if filled else "") + "}"
    return said


def in_second(words: str) -> str:
    """Words with accents; marks of how they are shown stay."""
    return "".join(part if MARKED.fullmatch(part) else part.translate(ACCENTS)
                   for part in MARKED.split(words))  # fmt: skip


def write_second(folder: Path) -> None:
    """The second language as a folder of files."""
    for file in (*HOUSE, *FRONTS):
        lines = "\n".join(told_in_second(read(ENGLISH, file)))
        (folder / f"{file}.toml").write_text(lines, encoding="utf-8")


def speak_second(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The house in its second language; the library has its own words back after the test."""
    for name in LIBRARY:
        monkeypatch.setattr(rich_utils, name, getattr(rich_utils, name))
    write_second(folder)
    monkeypatch.setenv("STOCKROOM_LANGUAGE", str(folder))
    return folder


def told_in_second(table: Mapping[str, Mapping[str, str | list[str]]]) -> Iterator[str]:
    """A file of the second language, line by line."""
    for part, every in table.items():
        yield f"[{part}]"
        for code, told in every.items():
            said = [accented(one) for one in ([told] if isinstance(told, str) else told)]
            yield f"{quoted(code)} = {quoted(said[0]) if isinstance(told, str) else said}"


def quoted(text: str) -> str:
    """A text as a file has it."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'


def first_language(*texts: str) -> set[str]:
    """The words that are still of the first language; those without a vowel are of both."""
    words = re.findall(r"[^\W\d_]{2,}", " ".join(texts))
    return {word for word in words if word.isascii() and re.search("[aeiouyAEIOUY]", word)}
