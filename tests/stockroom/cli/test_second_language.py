"""Help of every command in the second language: what is left of the first is typed so in each."""

import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import pytest

from stockroom.cli.app import loaded
from stockroom.cli.command_list import ALSO_CALLED, COMMANDS
from tests.stockroom.cli.bench import run
from tests.stockroom.conftest import stocked
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
    assert run(shop, "jobs").output.startswith("Nó jób wáíts fór ánýthíng.")
    assert "there is no piece" not in run(shop, "history", "7").output
    assert run(shop, "settings", "language", "english").exit_code == 0
    assert run(shop, "jobs").output.startswith("No job waits for anything.")


DAY = (
    "found ASH-22 2900 --batch B1 --at A1", "find",
    "take --customer Ide -p ASH-22 -w 500 --height 400 --due 2026-11-27",
    "sizes -p ASH-22 -w 500 --height 400", "jobs", "job J1", "moulding-price J1", "ways J1",
    "plan --until 2026-11-30", "plans", "accept 1", "cut 1 --as-planned", "joined J1",
    "history 1", "history J1", "entries", "undo", "numbers waste --by cause", "audit", "quotes",
    "orders list", "readymade", "calibrate", "job J99", "accept 77", "now",
)  # fmt: skip
"""A day's commands, and some that are refused."""
DATA = {"Ide", "The", "workshop", "ada", "Lark", "stockroom", "main", "saw", "waste"}
COMMAND = re.compile(r"stockroom [^,;\n]*|'[^']*'|\S*/\S+")
"""What is typed is the same in every language."""


def test_every_word_of_a_day_at_the_command_line_is_of_the_second_language(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = str(tmp_path / "shop.db")
    stocked(shop).engine.dispose()
    (tmp_path / "second").mkdir()
    speak_second(tmp_path / "second", monkeypatch)
    left = {}
    for line in DAY:
        told = run(shop, *shlex.split(line)).output
        if found := first_language(COMMAND.sub("", TYPED.sub("", told))) - DATA:
            left[line] = found
    assert left == {}
