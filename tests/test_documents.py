"""The documents are true: every command of README and guide runs and prints what stands there.

Set UPDATE_DOCUMENTS=1 to write what the commands print now into them.
"""

import os
import re
import shlex
from difflib import unified_diff
from pathlib import Path

import pytest
from typer.testing import CliRunner

from stockroom import refusals as errors
from stockroom.cli import app, command_list
from stockroom.cli.making.paper_pages import pages
from stockroom.cli.making.picturing import pictures

ROOT = Path(__file__).parents[1]
README = ROOT / "README.md"
GUIDE = sorted((ROOT / "demo" / "guide").glob("*.md"))
TOLD = "".join(page.read_text(encoding="utf-8") for page in GUIDE)
BLOCK = re.compile(r"```console\n(.*?)```", re.DOTALL)
COMMANDS = sorted(command_list.COMMANDS.keys() - {"picture", "paper", "numbers", "orders"})


def printed(command: str, folder: Path) -> str:
    """What a command of the documents prints, its messages among its data as a terminal shows them.

    The commands run in this process, one after the other, as tests/stockroom/cli runs them: a
    process each would load the libraries two hundred times.
    """
    environment = {
        "STOCKROOM_SHOP": str(folder / "shop.db"), "STOCKROOM_DAY": "2026-11-23",
        "STOCKROOM_WHO": "ada", "COLUMNS": "80", "NO_COLOR": "1",
    }  # fmt: skip
    program, *words = shlex.split(command)
    assert program == "stockroom"
    done = CliRunner().invoke(app, words, env=environment, catch_exceptions=False)
    assert done.exit_code == 0, f"{command}: {done.output}"
    shown = done.output.replace(str(folder), "~")
    return "".join(f"{line.rstrip()}\n" for line in shown.splitlines())


def played(block: str, folder: Path) -> str:
    """A console block with what its commands print now."""
    commands = [line for line in block.splitlines() if line.startswith("$ ")]
    return "".join(f"{line}\n{printed(line[2:], folder)}" for line in commands)


@pytest.mark.parametrize("pages", [[README], GUIDE], ids=["readme", "guide"])
def test_every_command_of_the_documents_prints_what_stands_there(
    pages: list[Path], tmp_path: Path
) -> None:
    assert pages
    wrong = []
    for page in pages:
        text = page.read_text(encoding="utf-8")
        now = BLOCK.sub(lambda found: f"```console\n{played(found[1], tmp_path)}```", text)
        if os.environ.get("UPDATE_DOCUMENTS"):
            page.write_text(now, "utf-8")
        elif now != text:
            wrong.append("".join(unified_diff(text.splitlines(True), now.splitlines(True))))
    assert not wrong, "\n".join(wrong)


def test_every_picture_is_documented_with_an_example_and_in_the_guide() -> None:
    for command in pictures.registered_commands:
        words = f"stockroom picture {getattr(command.callback, '__name__', '')} "
        assert f"Example: {words}" in (getattr(command.callback, "__doc__", "") or "")
        assert words in TOLD


def test_every_page_of_paper_is_documented_with_an_example_and_in_the_guide() -> None:
    for command in pages.registered_commands:
        name = command.name or getattr(command.callback, "__name__", "")
        said = getattr(command.callback, "__doc__", "") or ""
        assert f"Example: stockroom paper {name} " in said
        assert f"stockroom paper {name}" in TOLD


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_is_documented_with_an_example(name: str) -> None:
    command = command_list.COMMANDS[name].load()
    assert f"Example: stockroom {name}" in (command.__doc__ or "").replace(
        f"Example, anything of ASH-22 over 30 in: stockroom {name}", f"Example: stockroom {name}"
    )


def test_every_exit_code_is_in_the_guide() -> None:
    kinds = [getattr(errors, name) for name in errors.__all__]
    codes = {kind.exit_code for kind in kinds if hasattr(kind, "exit_code")}
    assert codes <= {int(code) for code in re.findall(r"^\| (\d+) \|", TOLD, re.MULTILINE)}


def test_every_chapter_is_named_in_the_readme() -> None:
    text = README.read_text(encoding="utf-8")
    assert [page.name for page in GUIDE if f"demo/guide/{page.name}" not in text] == []


def test_the_two_commands_of_the_readme_are_the_ones_the_gate_runs() -> None:
    text = README.read_text(encoding="utf-8")
    for marker in ("the demo", "the tests"):
        block = text.split(f"<!-- {marker} -->\n", 1)[1].split("```", 2)[1]
        assert block.startswith("sh\npython3 -m venv .venv && .venv/bin/pip install")
