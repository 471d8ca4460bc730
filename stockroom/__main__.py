"""Runs the program: ``python -m stockroom``, or the ``stockroom`` command."""

from stockroom.cli import app

__all__ = ["main"]


def main() -> None:
    """The program's entry point."""
    app(prog_name="stockroom")


if __name__ == "__main__":
    main()
