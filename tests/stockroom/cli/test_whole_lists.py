"""Every command that lists: at 80 columns no date, state, code or number of it is cut."""

import json
import re

import pytest

from stockroom.cli.app import loaded
from stockroom.cli.command_list import COMMANDS
from stockroom.screens.console import width_of
from tests.stockroom.cli.bench import run
from tests.stockroom.conftest import stocked

WORKED = (
    "receive LEAF-40 K10-2026-117-NATURAL 2x2998,5 --at back-room-C12",
    "receive ASH-22 B7 3000 3002,5", "found ASH-22 1234,5 --batch B7 --flaw 500..550 "
    "--flaw 1200..1233,5", "take --customer Aldous-Wetherby -p ASH-22 -w 600 --height 500 "
    "--due 2026-11-23", "take --customer Ide -p LEAF-40 -w 300 --height 200 --due 2026-12-24",
    "take --customer Quill -p ASH-22 -w 500 --height 200 --due 2026-11-23 --quantity 2",
    "plan --until 2026-11-30 -p ASH-22", "accept", "cut 1 --piece 3", "drop 1",
    "order --draft -p ASH-22",
)  # fmt: skip
ARGUMENTS = {
    "worth": "ASH-22 --dry-run", "hang": "J1", "ways": "J1", "profile": "ASH-22",
    "supplier": "LARK", "dead": "--anyway", "count": "--at back-room-C12", "orders show": "1",
}  # fmt: skip
DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
WHOLE = ("state", "kind", "profile", "batch", "place", "piece", "job", "plan", "order", "sticks",
         "pieces", "waiting", "flaws", "code", "entry", "number", "customer")  # fmt: skip
UNSAID = {("replay", "profile")}
"""Where only one profile is there the table does not name it in each row."""


def lists() -> list[str]:
    """Each command that prints a list in more than one way."""
    found = []
    for name in COMMANDS:
        parts = getattr(loaded(name), "commands", None)
        for words, command in ({f"{name} {part}": one for part, one in parts.items()}
                               if parts else {name: loaded(name)}).items():  # fmt: skip
            if any(param.name == "how" for param in command.params):
                found.append(words)
    return found


@pytest.fixture(scope="module")
def worked(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A shop at work, with long names, a flawed piece, a job partly cut."""
    where = str(tmp_path_factory.mktemp("worked") / "shop.db")
    stocked(where).engine.dispose()
    for words in WORKED:
        done = run(where, *words.split())
        assert done.exit_code == 0, f"{words}: {done.output}"
    return where


@pytest.mark.parametrize("words", lists())
def test_no_date_state_code_or_number_of_a_list_is_cut_at_80_columns(
    words: str, worked: str
) -> None:
    command = [*words.split(), *ARGUMENTS.get(words, "").split()]
    done = run(worked, *command)
    assert done.exit_code == 0, done.output
    assert "…" not in done.stdout
    assert [line for line in done.stdout.splitlines() if width_of(line) > 80] == []
    there = done.stdout.replace("|", " ").split()
    left_out = done.output.partition("Left out for want of room: ")[2].partition(". All:")[0]
    for row in json.loads(run(worked, *command, "--as", "json").stdout):
        for name, value in row.items():
            seen = name in WHOLE or DATE.fullmatch(str(value))
            if not seen or name in left_out or (words, name) in UNSAID:
                continue
            lost = [word for word in str(value).split() if value and word not in there]
            assert not lost, f"{name}: {lost} of {value} is not in\n{done.stdout}"


def test_find_and_jobs_show_their_last_columns_whole(worked: str) -> None:
    assert "2026-11-23" in run(worked, "find").stdout
    shown = run(worked, "jobs").stdout
    assert "part cut" in " ".join(shown.split())
    assert shown.count("2026-11-23") >= 2
