"""The documents are true: every command of the README runs and prints what stands there.

Set UPDATE_README=1 to write what the commands print now into the README.
"""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from stockroom import refusals as errors
from stockroom.cli import app

ROOT = Path(__file__).parents[1]
README = ROOT / "README.md"
BLOCK = re.compile(r"```console\n(.*?)```", re.DOTALL)
COMMANDS = sorted(command.name for command in app.registered_commands if command.name)


def printed(command: str, folder: Path) -> str:
    """What a command of the README prints, run as a process of its own."""
    environment = {
        **os.environ, "STOCKROOM_SHOP": str(folder / "shop.db"), "STOCKROOM_DAY": "2026-11-23",
        "STOCKROOM_WHO": "ada", "COLUMNS": "80", "PYTHONUTF8": "1", "NO_COLOR": "1",
    }  # fmt: skip
    words = command.replace("stockroom ", f'"{sys.executable}" -m stockroom ', 1)
    done = subprocess.run(words, shell=True, cwd=ROOT, env=environment, text=True, check=False,
                          stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
                          encoding="utf-8")  # fmt: skip
    assert done.returncode == 0, f"{command}: {done.stdout}"
    shown = done.stdout.replace(str(folder), "~")
    return "".join(f"{line.rstrip()}\n" for line in shown.splitlines())


def played(block: str, folder: Path) -> str:
    """A console block with what its commands print now."""
    commands = [line for line in block.splitlines() if line.startswith("$ ")]
    return "".join(f"{line}\n{printed(line[2:], folder)}" for line in commands)


def test_every_command_of_the_readme_prints_what_stands_there(tmp_path: Path) -> None:
    text = README.read_text(encoding="utf-8")
    blocks = BLOCK.findall(text)
    assert len(blocks) > 5
    now = [played(block, tmp_path) for block in blocks]
    if os.environ.get("UPDATE_README"):
        fresh = iter(now)
        README.write_text(BLOCK.sub(lambda _: f"```console\n{next(fresh)}```", text), "utf-8")
    else:
        assert blocks == now


def test_every_picture_is_documented_with_an_example_and_in_the_readme() -> None:
    group = next(group for group in app.registered_groups if group.name == "picture")
    assert group.typer_instance is not None
    for command in group.typer_instance.registered_commands:
        words = f"stockroom picture {command.name} "
        assert f"Example: {words}" in (getattr(command.callback, "__doc__", "") or "")
        assert words in README.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_is_documented_with_an_example(name: str) -> None:
    command = next(c for c in app.registered_commands if c.name == name)
    assert command.callback is not None
    assert f"Example: stockroom {name}" in (command.callback.__doc__ or "").replace(
        f"Example, anything of ASH-22 over 30 in: stockroom {name}", f"Example: stockroom {name}"
    )


def test_every_exit_code_is_in_the_readme() -> None:
    codes = {getattr(errors, name).exit_code for name in errors.__all__ if name[0].isupper()}
    text = README.read_text(encoding="utf-8")
    assert codes <= {int(code) for code in re.findall(r"^\| (\d+) \|", text, re.MULTILINE)}


def test_the_two_commands_of_the_readme_are_the_ones_the_gate_runs() -> None:
    text = README.read_text(encoding="utf-8")
    for marker in ("the demo", "the tests"):
        block = text.split(f"<!-- {marker} -->\n", 1)[1].split("```", 2)[1]
        assert block.startswith("sh\npython3 -m venv .venv && .venv/bin/pip install")
