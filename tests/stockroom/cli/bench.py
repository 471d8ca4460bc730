"""Commands as they are typed: in this process, or as processes of their own."""

import os
import subprocess
import sys
from datetime import date
from pathlib import Path

from typer.testing import CliRunner, Result

from stockroom.cli import app
from stockroom.record.copies import keep_lines
from stockroom.record.schema import NEWEST
from stockroom.services.shop import open_shop

RUNNER = CliRunner()
SHARED = ("--day", "2026-11-23", "--who", "ada")


def run(where: str, *words: str, typed: str | None = None) -> Result:
    """One command, typed by ada on Monday, and what she answers."""
    return RUNNER.invoke(
        app, ["--shop", where, *SHARED, *words], env={"COLUMNS": "80"}, input=typed
    )


def process(where: str, *words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """One command as a process of its own, its output and its messages apart."""
    return subprocess.run(
        [sys.executable, "-m", "stockroom", "--shop", where, *SHARED, *words],
        capture_output=True, text=True, check=False, encoding="utf-8", timeout=120,
        env={**os.environ, "PYTHONUTF8": "1", "COLUMNS": "80", **environment},
    )  # fmt: skip


def everything(where: str, folder: Path) -> str:
    """The whole record as text: the same before and after means that nothing was changed."""
    copy = folder / f"all-{len(list(folder.iterdir()))}.jsonl"
    engine = open_shop(where, "ada", date(2026, 11, 23)).engine
    keep_lines(engine, copy, NEWEST)
    engine.dispose()
    return copy.read_text("utf-8")
