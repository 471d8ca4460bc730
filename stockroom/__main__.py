"""Runs the program: ``python -m stockroom``, or the ``stockroom`` command."""

import gc
import os
import sys

__all__ = ["COLLECTED", "main"]

COLLECTED = 50_000, 20, 20
"""So many things are made before garbage is looked for: the lists of a large rack are none, and
looking for it among them takes a quarter of their time."""


def main() -> None:
    """The program's entry point."""
    try:
        # Nothing is loaded before this, so that a Ctrl-C at any moment is told in a line.
        end_well()
        gc.set_threshold(*COLLECTED)
        ready()
        from stockroom.cli import app

        app(prog_name="stockroom")
    except KeyboardInterrupt:
        sys.stderr.write("stopped; what was recorded before stays recorded\n")
        sys.exit(130)


def end_well() -> None:
    """Has what tells this program to end, or that its terminal is closed, end it as a failure does;
    but where whoever began it has it go on."""
    import signal

    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) == signal.SIG_DFL:
            signal.signal(number, ended)


def ended(number: int, _frame: object) -> None:
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
