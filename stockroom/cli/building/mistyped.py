"""What is typed and no command understands: the library finds it, and it is told in our words."""

import re
from typing import Any

from typer.exceptions import TyperException

from stockroom.refusals import Mistyped
from stockroom.words.language import word

__all__ = ["mistyped", "typed_as"]

NOT_A_NUMBER = {"int_parsing", "float_parsing", "int_from_float"}
NO_COMMAND = re.compile(r"No such command '(?P<typed>.*)'\.|'(?P<near>[^']+)'")
TOO_MANY = re.compile(r"unexpected extra argument\(s\) \((?P<more>.*)\)")


def mistyped(error: TyperException, command: str) -> Mistyped:
    """What could not be understood, by a command as it is typed.

    What the library tells as values is taken as such; else its sentence is read, and one that is
    not known is passed on as it stands.
    """
    return TELLING.get(type(error).__name__, in_its_sentence)(error, command)


def no_option(error: Any, command: str) -> Mistyped:
    """An option that the command has not."""
    near = tuple(sorted(error.possibilities or ()))
    return Mistyped(
        "there is no option {option:quoted}", "did you mean {near: or }? See: {command} --help"
        if near else SEE, option=error.option_name, near=near, command=command,
    )  # fmt: skip


def not_given(error: Any, command: str) -> Mistyped:
    """Something that the command cannot do without."""
    return Mistyped("{what} is missing", SEE, what=typed_as(error.param), command=command)


def no_value(error: Any, command: str) -> Mistyped:
    """An option that was given without its value, or with one that it does not take."""
    said = "{option} wants a value after it" if "requires" in error.message else (
        "{option} takes no value")  # fmt: skip
    return Mistyped(said, SEE, option=error.option_name, command=command)


def bad_value(error: Any, command: str) -> Mistyped:
    """A value that is not what the option or the argument takes."""
    cause: Any = error.__cause__
    faults = cause.errors() if hasattr(cause, "errors") else []
    if not faults or error.param is None:
        return in_its_sentence(error, command)
    fault, what = faults[0], typed_as(error.param)
    read, limits = str(fault["input"]), fault.get("ctx", {})
    if fault["type"] in NOT_A_NUMBER:
        accepted = word("a whole number") if "int" in fault["type"] else word("a number")
    elif "ge" in limits:
        accepted = word("{least} or more", least=limits["ge"])
    elif "le" in limits:
        accepted = word("at most {most}", most=limits["le"])
    else:
        return in_its_sentence(error, command)
    return Mistyped("{what}: cannot read {read:quoted}", "accepted: {accepted}",
                    what=what, read=read, accepted=accepted)  # fmt: skip


def in_its_sentence(error: TyperException, command: str) -> Mistyped:
    """What the library tells in a sentence alone."""
    if more := TOO_MANY.search(error.message):
        return Mistyped(
            "{more:quoted} is more than it takes", "a text with a blank in it stands in quotation "
            'marks, such as "23 3/4"; see: {command} --help', more=more["more"], command=command,
        )  # fmt: skip
    told = [*NO_COMMAND.finditer(error.message)]
    if told and told[0]["typed"]:
        near = tuple(one["near"] for one in told[1:])
        return Mistyped(
            "there is no command {typed:quoted}", "did you mean {near: or }? See: {command} --help"
            if near else SEE, typed=told[0]["typed"], near=near, command=command,
        )  # fmt: skip
    return Mistyped("{said}", SEE, said=error.format_message(), command=command)


def typed_as(param: Any) -> str:
    """An option or an argument as help has it."""
    first: str = param.opts[0]
    return first if first.startswith("-") else str(param.metavar or param.name.upper())


SEE = "see: {command} --help"
TELLING = {
    "NoSuchOption": no_option,
    "MissingParameter": not_given,
    "BadParameter": bad_value,
    "BadOptionUsage": no_value,
}
"""Who reads which of the library's faults."""
