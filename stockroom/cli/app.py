"""The program itself: options that every command shares, and refusals turned into exit codes."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer
from typer.core import TyperCommand, TyperGroup
from typer.exceptions import TyperException

from stockroom.cli.asking.completing import jobs_known
from stockroom.cli.building.at_bench import AtBench, default_shop, user_name
from stockroom.cli.building.mistyped import mistyped
from stockroom.cli.building.option_rules import ruled
from stockroom.cli.building.spoken_help import speak_help, speak_library
from stockroom.cli.command_list import ALSO_CALLED, COMMANDS, one_screen
from stockroom.cli.remedies import worded
from stockroom.refusals import Refused, StockroomError, Unreadable
from stockroom.screens.pager import paged
from stockroom.units.texts import counted
from stockroom.words.language import word
from stockroom.words.languages import ENGLISH, spoken, translated

if TYPE_CHECKING:
    from stockroom.services.shop import Shop

__all__ = [
    "How",
    "JobNumber",
    "NewFile",
    "PlanNumber",
    "answer",
    "app",
    "bench",
    "counted",
    "day_typed",
    "done",
    "how_option",
    "new_name",
    "say",
]


NARROW = 40
"""A line that is shorter than this fits every terminal."""


class Program(TyperGroup):
    """All commands, each loaded when it is called; a refusal becomes its message and exit code."""

    def __init__(self, **told: Any) -> None:
        super().__init__(**told)
        for name, listed in COMMANDS.items():
            self.commands[name] = TyperCommand(name, help=translated(listed.line))

    def format_help(self, _ctx: Any, formatter: Any) -> None:
        """All commands by the parts of the day, on one screen."""
        formatter.write(one_screen())

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """The command that is called, loaded from its module; by another word for it too."""
        if args[0] in ALSO_CALLED and not ctx.resilient_parsing:
            args = [*other_words(args[0]), *args[1:]]
        name, _, rest = super().resolve_command(ctx, args)
        return name, None if name is None else loaded(name), rest

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Reads the options that all commands share; what is none of them is refused."""
        try:
            with told_if_unseen():  # Help is printed as it is read.
                return super().parse_args(ctx, args)
        except TyperException as error:
            raise refused(error, "") from error

    def invoke(self, ctx: Any) -> Any:
        """Runs the command; a StockroomError ends it with its own exit code."""
        with told_if_unseen():
            try:
                return super().invoke(ctx)
            except (StockroomError, TyperException) as error:
                sys.stdout.flush()
                raise refused(error, ctx.invoked_subcommand or "") from error
            except KeyboardInterrupt:
                say("stopped; what was recorded before stays recorded")
                raise typer.Exit(130) from None


@contextmanager
def told_if_unseen() -> Iterator[None]:
    """What was to be shown and could not be is told, and ends the command; but where whoever read
    it has read enough, it just ends. Nothing more is printed then, not even as the program ends."""
    try:
        yield
        sys.stdout.flush()
    except OSError as error:
        if error.filename is not None:
            raise
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if isinstance(error, BrokenPipeError):
            raise typer.Exit(0) from None
        say(word("it could not be shown: {strerror}; what was recorded stays recorded; see: "
                 "stockroom entries --last 3", strerror=error.strerror))  # fmt: skip
        raise typer.Exit(1) from error


def refused(error: StockroomError | TyperException, command: str) -> Exception:
    """The end of a command that is refused, once it was told why; help that was asked for by
    typing nothing passes."""
    if isinstance(error, TyperException):
        if type(error).__name__ == "NoArgsIsHelpError":
            return error
        at = getattr(error, "ctx", None)
        _, _, part = at.command_path.partition(" ") if at else ("", "", "")
        error = mistyped(error, f"stockroom {part or command}".rstrip())
    say(worded(error))
    return typer.Exit(error.exit_code)


def other_words(typed: str) -> list[str]:
    """The words of the command that is also called so.

    Raises:
        Refused: it takes other words than that; says which.
    """
    meant = ALSO_CALLED[typed]
    if "PIECE" in meant:
        raise Refused(word("nothing is called {typed}", typed=typed), f"stockroom {meant}")
    say(word("{typed} is called {meant} here: stockroom {meant}", typed=typed, meant=meant))
    return meant.split()


def loaded(name: str) -> Any:
    """A command or a group of commands, with its options."""
    found = COMMANDS[name].load()
    if not isinstance(found, typer.Typer):
        alone = typer.Typer(add_completion=False, rich_markup_mode="rich")
        alone.command(name)(found)
        found = alone
    command = typer.main.get_command(found)
    ruled(command, name)
    if spoken() != ENGLISH:
        speak_library(translated)
        speak_help(command, translated)
    for part in (command, *getattr(command, "commands", {}).values()):
        part.format_help = paged(part.format_help)
    return command


app = typer.Typer(
    cls=Program,
    invoke_without_command=True,
    add_completion=True,
    pretty_exceptions_enable=False,
    rich_markup_mode="rich",
    context_settings={"help_option_names": ["-h", "--help"]},
    help="A picture framer's rack, jobs, cuts and orders.\n\n"
    "Morning: [bold]plan[/bold], [bold]accept[/bold]. At the saw: [bold]cut[/bold]. "
    "Weekly: [bold]order[/bold].",
)


def day_typed(shop: "Shop", typed: str | None, *, past: bool = False) -> date | None:
    """A day as typed in this shop, ``past`` where it has been; None where none was.

    Raises:
        Unreadable: it is no day.
    """
    return None if typed is None else shop.day(typed, past=past)


def say(message: str) -> None:
    """A message to whoever is at the bench, on standard error."""
    step = word("Next: {next_step}", next_step="")
    for line in translated(message).splitlines():
        # A command that may be copied stays whole.
        on_terminal = len(line) > NARROW and sys.stderr.isatty() and not line.startswith(step)
        for part in whole_words(line[:2000]) if on_terminal else [line[:2000]]:
            answer(part, err=True)


def whole_words(line: str) -> list[str]:
    """A message in lines of the terminal, between words."""
    from stockroom.screens.console import folded, width

    return folded(line, width())


def answer(text: str, *, err: bool = False) -> None:
    """What was asked for, on standard output, whatever is stored: no text commands a screen."""
    from stockroom.screens.console import clean

    for line in translated(text).splitlines() or [""]:
        typer.echo(clean(line, len(line) + 1), err=err)


def done(message: str, next_step: str = "") -> None:
    """What was done, and the step that follows."""
    say(message)
    if next_step:
        say(word("Next: {next_step}", next_step=translated(next_step)))


@app.callback()
def shared(
    ctx: typer.Context,
    shop: Annotated[
        str | None,
        typer.Option(
            "--shop", envvar="STOCKROOM_SHOP", show_envvar=True, metavar="FILE|URL",
            help="The shop's record: a file, or a PostgreSQL URL.",
        ),
    ] = None,
    who: Annotated[
        str | None,
        typer.Option("--who", envvar="STOCKROOM_WHO", help="Who is at the bench."),
    ] = None,
    day: Annotated[
        str | None,
        typer.Option("--day", envvar="STOCKROOM_DAY", metavar="DAY",
                     help="Act as on this day of the shop, such as 2026-12-04 or Fri; "
                     "today unless given."),
    ] = None,
    wait: Annotated[
        float,
        typer.Option("--wait", min=0, max=600,
                     help="Seconds to wait while another command writes."),
    ] = 10.0,
    key: Annotated[
        str | None,
        typer.Option("--key", help="Record it once, however often it is repeated under this key."),
    ] = None,
) -> None:  # fmt: skip
    """Sets what all commands share."""
    ctx.obj = AtBench(shop or default_shop(), who or user_name(), day, wait, key)
    if ctx.invoked_subcommand is None:
        from stockroom.cli.what_now import say_now

        say_now(ctx)


def bench(ctx: typer.Context) -> AtBench:
    """What all commands share."""
    found: AtBench = ctx.obj
    return found


PlanNumber = Annotated[int | None, typer.Argument(metavar="PLAN", help="The newest if left out.")]
JobNumber = Annotated[
    str | None,
    typer.Argument(
        metavar="JOB", help="Such as J12; the last taken in if left out.", autocompletion=jobs_known
    ),
]
NewFile = Annotated[
    Path | None, typer.Argument(metavar="FILE", help="A new file; named by what it is if left out.")
]


def new_name(file: Path | None, name: str, ending: str) -> Path:
    """The file that was named, or else one here that is not taken yet."""
    from stockroom.record.copies import untaken

    return file or untaken(Path(), name, ending)


HOW = ("table", "csv", "json")
How = Annotated[str, typer.Option("--as", metavar="table|csv|json", help="How to print the list.")]


def how_option(typed: str) -> str:
    """How to print a list.

    Raises:
        Unreadable: it is none of the three.
    """
    if typed not in HOW:
        raise Unreadable(typed, "of_choices", choices=HOW)
    return typed
