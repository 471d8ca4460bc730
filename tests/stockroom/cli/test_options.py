"""Options that do not go together, or say nothing alone, are refused before anything is done."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from stockroom.cli.app import loaded
from stockroom.cli.building.option_rules import RULES, Apart
from stockroom.cli.command_list import COMMANDS
from tests.stockroom.cli.bench import run


def command(words: str) -> Any:
    """A command, or a part of one, by its words."""
    first, *rest = words.split()
    found = loaded(first)
    for name in rest:
        found = found.commands[name]
    return found


def mixed() -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each command with names of options that are refused together: the first of each side, or the
    one that is alone."""
    for words, rules in RULES.items():
        for rule in rules:
            if isinstance(rule, Apart):
                yield words, (rule.sides[0][0], rule.sides[1][0])
            else:
                yield words, (rule.option,)


def typed(words: str, names: tuple[str, ...]) -> list[str]:
    """A command with these options, each with some value, and the arguments it has to have."""
    parts = words.split()
    for param in command(words).params:
        if param.name in names or param.required:
            value = "csv" if param.name == "how" else "letter" if param.name == "page" else "1"
            option = [param.opts[0]] if param.opts[0].startswith("-") else []
            parts += [*option, *([] if getattr(param, "is_flag", False) else [value])]
    return parts


@pytest.mark.parametrize(("words", "names"), list(mixed()))
def test_what_does_not_go_together_is_refused_and_named(words: str, names: tuple[str, ...]) -> None:
    # There is no shop here: it is refused before one is looked for.
    done = run("no/shop.db", *typed(words, names))
    assert done.exit_code == 12, done.output
    assert "do not go together" in done.output or "says nothing without" in done.output


def test_rules_name_options_that_there_are() -> None:
    for words, rules in RULES.items():
        known = {param.name for param in command(words).params}
        for rule in rules:
            named = (sum(rule.sides, ()) if isinstance(rule, Apart)
                     else (rule.option, *rule.others))  # fmt: skip
            assert set(named) <= known, (words, named)


@pytest.mark.parametrize(
    "words",
    [
        ("sizes", "-p", "ASH-22", "-p", "LEAF-40", "-w", "16", "--height", "20"),
        ("plan", "--until", "2026-11-24", "--until=2026-11-25"),
        ("orders", "place", "3", "--due", "fri", "--due", "mon"),
    ],
)
def test_an_option_that_takes_one_value_is_not_given_twice(words: tuple[str, ...]) -> None:
    done = run("no/shop.db", *words)
    assert done.exit_code == 12, done.output
    assert "is given 2 times; give it once" in done.output


def test_an_option_that_takes_several_may_be_given_again() -> None:
    done = run("no/shop.db", "readymade", "--size", "8x10", "--size", "11x14")
    assert "times" not in done.output


def arguments() -> Iterator[tuple[str, Any]]:
    """Every command, or part of one, with each of its arguments."""
    for name in COMMANDS:
        whole = loaded(name)
        for part, found in getattr(whole, "commands", {name: whole}).items():
            words = name if part == name else f"{name} {part}"
            yield from ((words, one) for one in found.params if one.param_type_name == "argument")


def test_a_plan_a_job_or_a_new_file_may_be_left_out_everywhere_and_means_the_same() -> None:
    changes = {"afresh", "supplied", "hold", "release", "change", "cancel"}
    reads = {"take-file", "restore", "import", "load-suppliers", "load-profiles", "load-rack",
             "load-past"}  # fmt: skip
    named = [(words, str(one.metavar or one.name).upper(), one) for words, one in arguments()]
    asked = {words for words, name, one in named
             if one.required and name in ("PLAN", "JOB", "FILE")}  # fmt: skip
    assert asked == changes | reads
    for name, said in (("PLAN", "The newest if left out."),
                       ("JOB", "Such as J12; the last taken in if left out.")):  # fmt: skip
        assert {one.help for _, each, one in named if each == name and not one.required} == {said}


@pytest.mark.unaudited
@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
@pytest.mark.usefixtures("shop")
def test_what_is_left_out_is_the_newest_plan_and_the_last_job(
    where: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    take = ("-p", "ASH-22", "-w", "300", "--height", "200", "--due")
    run(where, "receive", "ASH-22", "B1", "2x 3000")
    run(where, "take", "--customer", "A", *take, "2026-11-23")
    run(where, "plan", "--accept")
    run(where, "take", "--customer", "B", *take, "2026-11-24")
    run(where, "plan", "--until", "2026-11-24")
    assert run(where, "show").stdout.startswith("Plan 2, ")
    assert "Plan 2" in run(where, "picture", "plan").stdout
    for words in (("job",), ("hang",), ("moulding-price",), ("ticket",), ("paper", "receipt")):
        done = run(where, *words)
        assert done.exit_code == 0, done.output
        assert "J2" in done.output
    # Of plans that can be cut the newest is cut; of one's own drafts the newest is accepted.
    assert "plan-1.pdf" in run(where, "sheet").output
    assert "Plan 1 is finished" in run(where, "cut", "--as-planned", "--no-labels").output
    assert "Plan 2 is accepted" in run(where, "accept").output
