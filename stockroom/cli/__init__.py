"""The command line: thin commands over the services; a command is loaded when it is called."""

from stockroom.cli.app import app

__all__ = ["app"]
