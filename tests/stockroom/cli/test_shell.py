"""The command line as people expect it: help, near misses, pipes, colours, where things go."""

import csv
import io
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import typer

from stockroom.cli import app
from stockroom.cli.command_list import ALSO_CALLED, COMMANDS
from stockroom.services.shop import Shop
from tests.stockroom.cli.bench import RUNNER, process, run

LISTS = ("jobs", "find", "plans", "profiles", "suppliers", "settings", "entries", "order")


@pytest.mark.parametrize(
    "command", sorted(COMMANDS.keys() - {"picture", "numbers", "orders", "paper"})
)
def test_every_command_has_help_with_an_example_within_80_columns(command: str) -> None:
    done = RUNNER.invoke(app, [command, "--help"], env={"COLUMNS": "80"})
    assert done.exit_code == 0
    assert "Example" in done.output
    assert max(map(len, done.output.splitlines())) <= 80


def test_every_command_is_listed_with_the_first_paragraph_of_its_help() -> None:
    faults = [
        name for name, listed in COMMANDS.items() if first_paragraph(listed.load()) != listed.line
    ]
    assert faults == []


def first_paragraph(command: object) -> str:
    """What a command, or a group of commands, says of itself before anything else."""
    told = command.info.help if isinstance(command, typer.Typer) else command.__doc__
    return " ".join(str(told).split("\n\n")[0].split())


def test_a_near_miss_of_a_command_is_suggested(tmp_path: Path) -> None:
    done = process(str(tmp_path / "shop.db"), "recieve", "ASH-22")
    assert (done.returncode, done.stdout) == (2, "")
    assert "did you mean receive?" in done.stderr


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_a_shell_can_complete_commands(shell: str) -> None:
    done = subprocess.run(
        [sys.executable, "-c", "from stockroom.__main__ import main; main()"], capture_output=True,
        text=True, check=False,
        env={**os.environ, "_STOCKROOM_COMPLETE": f"complete_{shell}", "COMP_WORDS": "stockroom re",
             "COMP_CWORD": "1", "_TYPER_COMPLETE_ARGS": "stockroom re",
             "_TYPER_COMPLETE_FISH_ACTION": "get-args"},
    )  # fmt: skip
    assert "receive" in done.stdout
    assert "take-file" not in done.stdout


def test_help_names_every_command_on_one_screen() -> None:
    lines = RUNNER.invoke(app, ["--help"]).output.splitlines()
    assert len(lines) <= 24
    assert max(map(len, lines)) <= 80
    assert set(COMMANDS) <= set(" ".join(lines).split())


def test_other_words_lead_to_commands_that_there_are(tmp_path: Path) -> None:
    for word, meant in ALSO_CALLED.items():
        assert word not in COMMANDS
        assert meant.split()[0] in COMMANDS
    shop = str(tmp_path / "shop.db")
    run(shop, "setup")
    listed = run(shop, "stock")
    assert (listed.exit_code, "stock is called find here" in listed.stderr) == (0, True)
    lost = run(shop, "lost", "214")
    assert (lost.exit_code, "stockroom cut --piece PIECE --missing" in lost.stderr) == (12, True)


@pytest.mark.parametrize(
    ("words", "completed"),
    [("job J", "J1"), ("move 1", "1"), ("profile AS", "ASH-22"), ("settings ker", "kerf")],
)
def test_a_shell_completes_what_the_shop_knows(
    words: str, completed: str, tmp_path: Path, stocked_file: Path
) -> None:
    where = str(shutil.copyfile(stocked_file, tmp_path / "shop.db"))
    run(where, "take", "--customer", "A", "-p", "ASH-22", "-w", "300", "--height", "200",
        "--due", "2026-11-27")  # fmt: skip
    run(where, "receive", "ASH-22", "B1", "3000")
    done = subprocess.run(
        [sys.executable, "-c", "from stockroom.__main__ import main; main()"], capture_output=True,
        text=True, check=False,
        env={**os.environ, "STOCKROOM_SHOP": where, "_STOCKROOM_COMPLETE": "complete_bash",
             "COMP_WORDS": f"stockroom {words}", "COMP_CWORD": "2"},
    )  # fmt: skip
    assert done.stdout.split() == [completed]


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
@pytest.mark.parametrize("command", LISTS)
def test_every_list_is_also_csv_and_json_with_messages_apart(
    shop: Shop, where: str, command: str
) -> None:
    assert run(where, "receive", "ASH-22", "B7", "3 m").exit_code == 0
    as_csv = run(where, command, "--as", "csv")
    as_json = run(where, command, "--as", "json")
    assert (as_csv.exit_code, as_json.exit_code) == (0, 0)
    rows = list(csv.DictReader(io.StringIO(as_csv.stdout)))
    objects = json.loads(as_json.stdout)
    assert [list(row) for row in rows] == [list(each) for each in objects]


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_a_pipe_and_no_color_get_no_colour(shop: Shop, where: str) -> None:
    for environment in ({}, {"NO_COLOR": "1"}, {"TERM": "dumb"}):
        done = process(where, "profiles", **environment)
        assert (done.returncode, "\x1b" in done.stdout + done.stderr) == (0, False)


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_a_pipe_that_is_closed_early_ends_quietly(shop: Shop, where: str) -> None:
    done = subprocess.run(
        f'"{sys.executable}" -m stockroom --shop "{where}" profiles --as csv | true',
        shell=True, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.stderr == ""


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_a_terminal_without_box_drawing_gets_plain_letters(shop: Shop, where: str) -> None:
    done = process(where, "profiles", PYTHONUTF8="0", PYTHONIOENCODING="ascii")
    assert (done.returncode, done.stdout.isascii()) == (0, True)
    assert "ASH-22" in done.stdout


def test_the_shop_is_in_the_users_data_folder_unless_told_otherwise(tmp_path: Path) -> None:
    words = [sys.executable, "-m", "stockroom", "where"]
    env = {k: v for k, v in os.environ.items() if k != "STOCKROOM_SHOP"}
    done = subprocess.run(words, capture_output=True, text=True, check=True,
                          env={**env, "XDG_DATA_HOME": str(tmp_path)})  # fmt: skip
    assert str(tmp_path / "stockroom" / "shop.db") in done.stdout
    told = subprocess.run(words, capture_output=True, text=True, check=True,
                          env={**env, "STOCKROOM_SHOP": str(tmp_path / "x.db")})  # fmt: skip
    assert str(tmp_path / "x.db") in told.stdout


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_a_question_without_a_terminal_names_the_option_that_answers_it(
    shop: Shop, where: str
) -> None:
    done = process(where, "take")
    assert done.returncode == 12
    assert "there is no terminal; give --customer" in done.stderr
