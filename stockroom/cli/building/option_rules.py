"""Which options say nothing together, or nothing alone: they are refused, not dropped.

Held against what was given before a command begins, so that nothing is half done.
"""

from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from functools import wraps
from typing import Any

from stockroom.cli.building.mistyped import typed_as
from stockroom.refusals import Refused

__all__ = ["RULES", "Apart", "Requires", "ruled"]


@dataclass(frozen=True, slots=True)
class Apart:
    """At most one side is given: the options of each say different things of the same."""

    sides: tuple[tuple[str, ...], ...]

    def faults(self, given: Collection[str], spelt: Mapping[str, str]) -> Iterator[Refused]:
        """What is wrong with what was given, options as they are typed."""
        told = [side for side in self.sides if set(side) & set(given)]
        if len(told) > 1:
            both = tuple(listed(side, given, spelt) for side in told)
            yield Refused("{both: and } do not go together", "give one or the other", both=both)


@dataclass(frozen=True, slots=True)
class Requires:
    """An option that says nothing without one of others."""

    option: str
    others: tuple[str, ...]

    def faults(self, given: Collection[str], spelt: Mapping[str, str]) -> Iterator[Refused]:
        """What is wrong with what was given, options as they are typed."""
        if self.option in given and not set(self.others) & set(given):
            wanted = tuple(spelt.get(name, name) for name in self.others)
            yield Refused("{option} says nothing without {wanted: or }",
                          "give {wanted: or } too, or leave it out",
                          option=spelt.get(self.option, self.option), wanted=wanted)  # fmt: skip


def apart(*sides: str) -> Apart:
    """Sides of which one is given at most, each its options with blanks between."""
    return Apart(tuple(tuple(side.split()) for side in sides))


def need(options: str, *others: str) -> tuple[Requires, ...]:
    """Options that each say nothing without one of the others."""
    return tuple(Requires(option, others) for option in options.split())


def listed(names: Collection[str], given: Collection[str], spelt: Mapping[str, str]) -> str:
    """Those options that were given, as they are typed."""
    return ", ".join(spelt.get(name, name) for name in names if name in given)


OF_A_CUT = "instead miscut uncut again leftover at"
RULES: dict[str, tuple[Apart | Requires, ...]] = {
    "cut": (
        apart("file", "as_planned", "piece"), apart("left missing", OF_A_CUT),
        apart("left", "missing"), *need(f"{OF_A_CUT} flaw left missing why", "piece"),
        *need("odd", "piece", "file"),
    ),
    "drop": (apart("number", "job"),),
    "plan": need("paper", "take"),
    "afresh": (apart("scrap", "at"),),
    "labels": (apart("grid", "pieces plan start stuck"), apart("stuck", "start to")),
    "order": (apart("fill", "budget profile"), *need("page", "paper")),
    "orders show": need("page", "paper"),
    "settings": need("odd", "value"),
    "seen": need("why", "settle"),
    "profile": (apart("new", "why"), *need("why", "told")),
    "supplier": (apart("new", "why"), *need("why", "told")),
    "readymade": (apart("take", "how"),),
    "worth": (apart("profile", "every"), apart("points", "how")),
    "found": need("at flaws stick ends why odd", "length"),
    "hang": need("rise", "wire"),
    "ticket": need("rise", "wire"),
}  # fmt: skip
"""The rules of each command that has some, by its words; options by the names of its function."""


def ruled(command: Any, words: str) -> None:
    """Has a command, or each part of one, refuse what does not go together before it begins, and
    an option that is given twice."""
    parts = getattr(command, "commands", {})
    for name, part in parts.items():
        ruled(part, f"{words} {name}")
    if not parts:
        command.parse_args = once_each(command)
    if rules := RULES.get(words):
        command.callback = refusing(command, rules)


def once_each(command: Any) -> Any:
    """The command's reading of its words, that refuses an option which takes one value twice."""
    parse = command.parse_args

    def checked(ctx: Any, args: list[str]) -> Any:
        if not ctx.resilient_parsing:
            _, _, order = command.make_parser(ctx).parse_args(args=list(args))
            for param, times in Counter(order).items():
                once = param.param_type_name == "option" and not (param.multiple or param.is_flag)
                if times > 1 and once:
                    raise Refused("{option} is given {times} times", "give it once",
                                  option=param.opts[0], times=times)  # fmt: skip
        return parse(ctx, args)

    return checked


def refusing(command: Any, rules: Collection[Apart | Requires]) -> Any:
    """The command's function behind its rules."""
    run = command.callback
    usual = {param.name: param.default for param in command.params}
    spelt = {param.name: typed_as(param) for param in command.params}

    @wraps(run)
    def checked(**told: Any) -> Any:
        empty: tuple[Any, ...] = (None, False, "", (), [])
        given = [name for name, value in told.items() if value not in (*empty, usual.get(name))]
        for rule in rules:
            for fault in rule.faults(given, spelt):
                raise fault
        return run(**told)

    return checked
