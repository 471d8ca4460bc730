"""A real terminal of 80 columns and 24 rows, and a hand that types at it.

Commands begin as ``python -m tests.stockroom.hard.terminal`` forks them, with the program loaded
once: each gets a pseudo-terminal of its own as its screen and its keyboard.
"""

import fcntl
import json
import os
import re
import struct
import subprocess
import sys
import termios
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pyte
from pexpect import EOF, fdpexpect  # type: ignore[import-untyped]

__all__ = ["Talk", "Terminal"]

COLUMNS, ROWS = 80, 24
COLOURS = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")
PATIENCE = 120


class Terminal:
    """A terminal in a folder where the shop's record is; counts the commands and Enters typed."""

    def __init__(self, folder: Path, day: str) -> None:
        self.folder, self.where, self.day = folder, str(folder / "shop.db"), day
        self.commands = self.enters = 0
        self.more: dict[str, str] = {}
        self.nursery = subprocess.Popen(
            [sys.executable, "-m", "tests.stockroom.hard.terminal"], cwd=Path(__file__).parents[3],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip

    def close(self) -> None:
        """Nothing more is typed."""
        assert self.nursery.stdin is not None
        assert self.nursery.stdout is not None
        self.nursery.stdin.close()
        self.nursery.wait(PATIENCE)
        self.nursery.stdout.close()

    def begin(self, *words: str, who: str = "mia") -> "Talk":
        """A command that is typed, to be answered."""
        self.commands += 1
        self.enters += 1
        return Talk(self, ["--who", who, "--day", self.day, *words])

    def run(self, *words: str, answers: Sequence[tuple[str, str]] = (), who: str = "mia") -> str:
        """A command, its questions answered as they come; gives what stood on the terminal."""
        talk = self.begin(*words, who=who)
        for question, typed in answers:
            talk.answer(question, typed)
        return talk.end()

    def told(self, *words: str) -> list[dict[str, Any]]:
        """The rows of a list, as JSON."""
        said = self.run(*words, "--as", "json")
        rows: list[dict[str, Any]] = json.JSONDecoder().raw_decode(said, said.index("["))[0]
        return rows


class Talk:
    """A command that runs at a terminal of its own."""

    def __init__(self, terminal: Terminal, words: list[str]) -> None:
        self._nursery, self._terminal, self.said, self.code = terminal.nursery, terminal, "", 0
        self.screen: list[str] = []
        ours, theirs = os.openpty()
        fcntl.ioctl(ours, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
        environment = {"TERM": "xterm", "STOCKROOM_SHOP": terminal.where, "STOCKROOM_PAGER": "off",
                       "LC_ALL": "de_AT.UTF-8", **terminal.more}  # fmt: skip
        self._send(words=words, tty=os.ttyname(theirs), folder=str(terminal.folder),
                   environment=environment)  # fmt: skip
        self.pid = self._heard()["pid"]
        os.close(theirs)
        self._child = fdpexpect.fdspawn(ours, encoding="utf-8", timeout=PATIENCE)

    def _send(self, **told: object) -> None:
        assert self._nursery.stdin is not None
        self._nursery.stdin.write(f"{json.dumps(told)}\n")
        self._nursery.stdin.flush()

    def _heard(self) -> dict[str, Any]:
        assert self._nursery.stdout is not None
        told: dict[str, Any] = json.loads(self._nursery.stdout.readline())
        return told

    def ask(self, question: str) -> str:
        """Waits for a question; gives what stood on the terminal since the last."""
        if self._child.expect_exact([question, EOF]):
            raise AssertionError(f"{question!r} was not asked: {self.said}{self._child.before}")
        shown = plain(self._child.before)
        self.said += shown + question
        return shown

    def next_question(self) -> tuple[str, str] | None:
        """Waits for any question; gives what stood before it, and it; nothing at the end."""
        if self._child.expect([EOF, r"\n[^\n]*(?:\d+ of \d+|\]): "]) == 0:
            return None
        shown, question = plain(self._child.before), plain(self._child.after).strip()
        self.said += f"{shown}\n{question}"
        return shown, question

    def type(self, line: str) -> None:
        """A line and Enter."""
        self._terminal.enters += 1
        self._child.sendline(line)

    def answer(self, question: str, typed: str) -> None:
        """Waits for a question, and answers it."""
        self.ask(question)
        self.type(typed)

    def end(self) -> str:
        """Waits for the end of the command; gives all that stood on the terminal."""
        if not self._child.flag_eof:
            self._child.expect(EOF)
        shown = self._child.before or ""
        self.said += plain(shown)
        self._send(wait=self.pid)
        self.code = self._heard()["ended"]
        os.close(self._child.child_fd)
        assert "Traceback" not in self.said, self.said
        screen = pyte.Screen(COLUMNS, ROWS)
        pyte.Stream(screen).feed(shown)
        self.screen = list(screen.display)
        return self.said


def plain(shown: str) -> str:
    """What stood on a terminal, without colours."""
    return COLOURS.sub("", shown).replace("\r\n", "\n")


def nursery() -> None:
    """Begins a command at a terminal, or waits for the end of one, for each line read; the program
    is loaded once, and several commands may run side by side."""
    import planner.solve  # noqa: F401
    from stockroom.cli.command_list import COMMANDS

    for listed in COMMANDS.values():
        listed.load()
    for line in sys.stdin:
        told = json.loads(line)
        if "wait" in told:
            _, status = os.waitpid(told["wait"], 0)
            print(json.dumps({"ended": os.waitstatus_to_exitcode(status)}), flush=True)
            continue
        tty = os.open(told["tty"], os.O_RDWR | os.O_NOCTTY)
        if (pid := os.fork()) == 0:
            at_terminal(tty, told)
        os.close(tty)
        print(json.dumps({"pid": pid}), flush=True)


def at_terminal(tty: int, told: dict[str, Any]) -> None:
    """The command itself, in its own process, its terminal in place of ours."""
    os.login_tty(tty)
    os.chdir(told["folder"])
    os.environ.update(told["environment"])
    for name in ("COLUMNS", "LINES", "NO_COLOR"):
        os.environ.pop(name, None)
    sys.stdin, sys.stdout, sys.stderr = open(0), open(1, "w"), open(2, "w", buffering=1)  # noqa: SIM115
    sys.argv = ["stockroom", *told["words"]]
    from stockroom.__main__ import main

    code = 0
    try:
        main()
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else 1
    finally:
        sys.stdout.flush()
        os._exit(code)


if __name__ == "__main__":
    nursery()
