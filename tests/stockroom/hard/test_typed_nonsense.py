"""Whatever is typed for any option of any command is read or refused, never a fault of ours."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer
from typer.testing import CliRunner

from stockroom.cli import app
from stockroom.cli.app import loaded
from stockroom.cli.command_list import COMMANDS
from tests.stockroom.cli.bench import SHARED
from tests.stockroom.conftest import stocked
from tests.stockroom.hard.shopwork import accepted, sticks, take

NASTY = ("", "0", "-1", "30000", "ja", "1/0", "nan", "99999999999", "x\x01", "٣", "=1+1", "a=b",
         "ASH-22", "J1", "1", "2,6", "4.12.", "..", "1..2", "é" * 300)  # fmt: skip
LASTING = {"serve", "demo", "replay", "worth"}
"""Commands that run on, or for long; their options are read by the same readers."""


def leaves(command: Any, words: list[str]) -> Iterator[tuple[list[str], Any]]:
    """Each command with its words, the parts of a group among them."""
    parts = getattr(command, "commands", None)
    if not parts:
        yield words, command
        return
    for name, part in parts.items():
        yield from leaves(part, [*words, name])


def typed(parameters: list[Any], place: int) -> Iterator[list[str]]:
    """The words of a command with each nonsense in turn for one option or argument."""
    for nonsense in NASTY[place % 12 :: 12]:
        words = []
        for number, parameter in enumerate(parameters):
            value = nonsense if number == place else usual(parameter)
            if value is None:
                continue
            option = [parameter.opts[0]] if parameter.param_type_name == "option" else []
            words += [*option, "--", value] if value.startswith("-") and not option else [
                *option, value]  # fmt: skip
        yield words


def usual(parameter: Any) -> str | None:
    """Something sensible for what a command needs; nothing for what may be left out."""
    if not parameter.required:
        return None
    known = {"profile": "ASH-22", "batch": "B1", "length": "600", "lengths": "3000",
             "start": "1", "end": "20", "why": "a test", "place": "A1"}  # fmt: skip
    return known.get(parameter.name or "", "1")


CALLS = [
    (words, command)
    for name in sorted(COMMANDS.keys() - LASTING)
    for words, command in leaves(loaded(name), [name])
]


@pytest.fixture(scope="module")
def where(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A shop with sticks, a job and a plan; what a nonsense does to it is nobody's loss."""
    made = stocked(str(tmp_path_factory.mktemp("nonsense") / "shop.db"))
    sticks(made, 2)
    take(made)
    accepted(made)
    return str(made.engine.url.database)


@pytest.mark.parametrize("words", [words for words, _ in CALLS], ids=" ".join)
@pytest.mark.unaudited
def test_no_typed_text_gives_a_traceback(
    words: list[str], where: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    command = next(command for told, command in CALLS if told == words)
    texts = [p for p in command.params if not getattr(p, "is_flag", False) and p.name != "help"]
    runner = CliRunner()
    for place in range(len(texts)):
        for told in typed(texts, place):
            done = runner.invoke(app, ["--shop", where, *SHARED, *words, *told], input="")
            fault = done.exception
            assert fault is None or isinstance(fault, SystemExit | typer.Exit), (words, told, fault)
            assert done.exit_code != 17, (words, told, done.output)
