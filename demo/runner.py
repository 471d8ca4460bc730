"""What plays the demo: the program's own commands, each shown as it would be typed."""

import shlex
import textwrap
from collections.abc import Sequence
from pathlib import Path

import typer

from stockroom.refusals import StockroomError
from stockroom.services.shop import Shop, open_shop

__all__ = ["WHO", "DemoFault", "Runner", "chapter"]

WHO = "marn"


class DemoFault(StockroomError):
    """A command of the demo failed: a fault of the program."""

    exit_code = 17


class Runner:
    """Runs the program's commands on one record and day, each shown before its output."""

    def __init__(self, record: Path, day: str) -> None:
        self.record = record
        self.shared = ["--shop", str(record), "--day", day, "--who", WHO]

    def shop(self) -> Shop:
        """The shop as it stands."""
        return open_shop(str(self.record), WHO)

    def __call__(self, *words: str) -> None:
        """Shows and runs one command.

        Raises:
            DemoFault: it failed.
        """
        from stockroom.cli import app

        shown = [Path(word).name if word.endswith(".csv") else word for word in words]
        typer.echo(f"\n{command_line(shown)}")
        code = app([*self.shared, *words], standalone_mode=False, prog_name="stockroom")
        if code:
            raise DemoFault(f"'{words[0]}' ended with exit code {code}", "please report this")


def command_line(words: Sequence[str]) -> str:
    """A command as it would be typed, continued on lines of its own where it is long."""
    lines = textwrap.wrap(f"$ stockroom {shlex.join(words)}", 78, subsequent_indent="    ",
                          break_long_words=False, break_on_hyphens=False)  # fmt: skip
    return " \\\n".join(lines)


def chapter(title: str) -> None:
    """A heading between two parts of the day."""
    typer.echo(f"\n{title}\n{'=' * len(title)}")
