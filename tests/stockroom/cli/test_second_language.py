"""Help of every command in the second language: what is left of the first is typed so in each."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from typer import rich_utils

from stockroom.cli.app import loaded
from stockroom.cli.building.spoken_help import LIBRARY
from stockroom.cli.command_list import ALSO_CALLED, COMMANDS
from tests.stockroom.cli.bench import run
from tests.stockroom.words.second import first_language, speak_second, write_second

TYPED = re.compile(
    r"--?[a-z][a-z-]*|[\w=]+(?:\|[\w=]+)+|\b[A-Z]{2,}\b|<[a-z| ]*>"
    r"|[dé]+fáúlt: [^\]]*|énv vár: [^\]]*|\broot\b"
)
"""Options, types, choices, stand-ins and usual values are the same in every language."""


def helped() -> Iterator[tuple[tuple[str, ...], list[str]]]:
    """Every command with help, and its parts, with what their arguments are called."""
    for name in COMMANDS:
        command = loaded(name)
        yield (name,), [param.name for param in command.params]
        for called, part in getattr(command, "commands", {}).items():
            yield (name, called), [param.name for param in part.params]


def test_every_word_of_help_is_of_the_second_language(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in LIBRARY:  # The library has its own words back after the test.
        monkeypatch.setattr(rich_utils, name, getattr(rich_utils, name))
    asked = [*helped()]
    named = " ".join(name for words, names in asked for name in (*words, *names))
    known = {"stockroom", *re.findall("[a-z]+", named)}
    speak_second(tmp_path, monkeypatch)
    left = {}
    for words in ((), *(words for words, _ in asked)):
        told = run("none.db", *words, "--help").output
        if found := first_language(TYPED.sub("", told)) - known:
            left[words] = found
    assert left == {}
    listed = run("none.db", "commands").output
    assert first_language(TYPED.sub("", listed)) - known == set()
    assert "stocktake" in ALSO_CALLED


def test_a_shop_speaks_the_language_that_it_is_set_to(tmp_path: Path) -> None:
    shop, folder = str(tmp_path / "shop.db"), tmp_path / "second"
    folder.mkdir()
    run(shop, "setup", "--name", "Lark", "--unit", "mm")
    assert (
        "what is wanting: house.toml, paper.toml"
        in run(shop, "settings", "language", str(folder)).output
    )
    write_second(folder)
    page = (folder / "page.toml").read_text("utf-8")
    (folder / "page.toml").write_text(page.replace("scréén: {who}", "scréén: {whom}"), "utf-8")
    assert (
        "page.toml: At this screen: {who}" in run(shop, "settings", "language", str(folder)).output
    )
    (folder / "page.toml").write_text(page, "utf-8")
    assert run(shop, "settings", "language", str(folder)).exit_code == 0
    assert run(shop, "jobs").output.strip() == "Nó jób wáíts fór ánýthíng."
    assert "there is no piece" not in run(shop, "history", "7").output
    assert run(shop, "settings", "language", "english").exit_code == 0
    assert run(shop, "jobs").output.strip() == "No job waits for anything."
