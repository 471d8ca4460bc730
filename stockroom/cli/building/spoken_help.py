"""Help in another language: a command's own words and its options', and the library's, as built."""

from collections.abc import Callable
from typing import Any

__all__ = ["speak_help", "speak_library"]

Said = Callable[[str], str]
LIBRARY = (
    "DEPRECATED_STRING", "DEFAULT_STRING", "ENVVAR_STRING", "REQUIRED_LONG_STRING",
    "ARGUMENTS_PANEL_TITLE", "OPTIONS_PANEL_TITLE", "COMMANDS_PANEL_TITLE", "ABORTED_TEXT",
)  # fmt: skip
"""What the library says around commands, as it calls it."""
AS_BUILT: dict[str, str] = {}
"""What it says before another language is spoken."""
USAGE = "Usage: "


def speak_help(command: Any, said: Said) -> None:
    """Has a command and its parts say their help in a language."""
    for part in getattr(command, "commands", {}).values():
        speak_help(part, said)
    command.help = by_paragraph(command.help, said)
    for param in command.params:
        if told := getattr(param, "help", None):
            param.help = by_paragraph(told, said)
    option, usage = command.get_help_option, command.get_usage

    def help_option(ctx: Any) -> Any:
        if found := option(ctx):
            found.help = said(found.help)
        return found

    command.get_help_option = help_option
    command.get_usage = lambda ctx: usage(ctx).replace(USAGE, said(USAGE), 1)


def by_paragraph(told: str | None, said: Said) -> str | None:
    """A help text, a paragraph at a time, however its lines are folded."""
    if not told:
        return told
    return "\n\n".join(said(" ".join(part.split())) for part in told.split("\n\n"))


def speak_library(said: Said) -> None:
    """Has the library say its own words around help in a language."""
    from typer import rich_utils

    for name in LIBRARY:
        built = AS_BUILT.setdefault(name, getattr(rich_utils, name))
        setattr(rich_utils, name, said(built))
