"""What no command understands ends with 2, in our words and in those of any language."""

import shlex
from pathlib import Path

import pytest

from stockroom.cli.building.mistyped import mistyped
from tests.stockroom.cli.bench import run
from tests.stockroom.words.second import first_language, speak_second

TOLD = {
    "--foo jobs": "there is no option '--foo'; did you mean --who? See: stockroom --help",
    "-x": "there is no option '-x'; see: stockroom --help",
    "--day": "--day wants a value after it; see: stockroom --help",
    "--wait long jobs": "--wait: cannot read 'long'; accepted: a number",
    "fobar": "there is no command 'fobar'; see: stockroom --help",
    "load": "there is no command 'load'; did you mean load-rack or load-past? "
    "See: stockroom --help",
    "orders foo": "there is no command 'foo'; see: stockroom orders --help",
    "orders show --foo": "there is no option '--foo'; see: stockroom orders show --help",
    "plan --aheaad 3": "there is no option '--aheaad'; did you mean --ahead? "
    "See: stockroom plan --help",
    "plan --ahead x": "--ahead: cannot read 'x'; accepted: a whole number",
    "plan --ahead -1": "--ahead: cannot read '-1'; accepted: 0 or more",
    "plan --ahead 1000": "--ahead: cannot read '1000'; accepted: at most 365",
    "show 1.5": "PLAN: cannot read '1.5'; accepted: a whole number",
    "profile": "PROFILE is missing; see: stockroom profile --help",
    "cut --as-planned=3": "--as-planned takes no value; see: stockroom cut --help",
    "sizes -p ASH -w 23 3/4": "'3/4' is more than it takes; a text with a blank in it stands in "
    'quotation marks, such as "23 3/4"; see: stockroom sizes --help',
}  # fmt: skip
"""What is typed, and what is told of it."""
TYPED = {"foo", "who", "day", "wait", "long", "fobar", "load", "rack", "past", "plan", "ahead",
         "aheaad", "PLAN", "show", "profile", "PROFILE", "cut", "as", "planned", "sizes",
         "orders", "stockroom", "help"}  # fmt: skip
"""What is typed so in every language."""


def test_what_no_command_understands_is_told_in_our_words_and_in_any_language(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = {line: run("none.db", *shlex.split(line)) for line in TOLD}
    assert {line: done.output.rstrip() for line, done in told.items()} == TOLD
    assert {done.exit_code for done in told.values()} == {2}
    speak_second(tmp_path, monkeypatch)
    left = {}
    for line in TOLD:
        done = run("none.db", *shlex.split(line))
        if (found := first_language(done.output) - TYPED) or done.exit_code != 2:
            left[line] = (done.exit_code, found)
    assert left == {}


def test_what_the_library_finds_and_we_do_not_know_is_passed_on() -> None:
    from typer import BadParameter

    told = mistyped(BadParameter("no such colour"), "stockroom plan")
    assert told.about == {"said": "Invalid value: no such colour", "command": "stockroom plan"}
