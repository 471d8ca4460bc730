"""Runs the program: ``python -m stockroom``, or the ``stockroom`` command."""

import os
import signal
import sys
from typing import Any

__all__ = ["main"]


def main() -> None:
    """The program's entry point."""
    try:
        signal.signal(signal.SIGTERM, ended)
        ready()
        from stockroom.cli import app

        app(prog_name="stockroom")
    except KeyboardInterrupt:
        sys.stderr.write("stopped; what was recorded before stays recorded\n")
        sys.exit(130)


def ended(number: int, _frame: Any) -> None:
    """Ends as after a failure, so that nothing half made is left behind."""
    sys.exit(128 + number)


def ready() -> None:
    """Prints what a console cannot show as its code, and nothing where there is no console."""
    if sys.stdout is None:
        sys.stdout = open(os.devnull, "w")  # noqa: SIM115
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w")  # noqa: SIM115
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")


if __name__ == "__main__":
    main()
