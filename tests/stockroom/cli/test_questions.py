"""Questions on a real terminal: a job taken in, a plan cut, an answer that is not understood."""

import os
import pty
import re
import select
import subprocess
import sys
import time
from collections.abc import Sequence

import pytest

from stockroom.services.counter.job_list import job_rows
from stockroom.services.rack.pieces import find
from stockroom.services.record.history import audit_shop
from stockroom.services.shop import Shop
from tests.stockroom.cli.bench import SHARED, run

PATIENCE = 60.0
COLOURS = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")


def talk(where: str, words: Sequence[str], answers: Sequence[tuple[str, str]]) -> tuple[int, str]:
    """Runs a command on a terminal, answering each question as it comes.

    ``answers`` are (words of the question, what is typed). Gives the exit code and all that stood
    on the screen.
    """
    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "stockroom", "--shop", where, *SHARED, *words]
    running = subprocess.Popen(
        command, stdin=theirs, stdout=theirs, stderr=theirs, close_fds=True,
        env={**os.environ, "COLUMNS": "80", "TERM": "xterm", "PYTHONUTF8": "1"},
    )  # fmt: skip
    os.close(theirs)
    screen, asked = "", 0
    for question, typed in answers:
        screen, asked = wait_for(ours, screen, asked, question)
        os.write(ours, f"{typed}\n".encode())
    screen = read_on(ours, screen)
    os.close(ours)
    return running.wait(PATIENCE), COLOURS.sub("", screen).replace("\r\n", "\n")


def wait_for(terminal: int, screen: str, asked: int, question: str) -> tuple[str, int]:
    """Reads until a question stands on the screen after ``asked``."""
    end = time.monotonic() + PATIENCE
    while question not in COLOURS.sub("", screen[asked:]):
        assert time.monotonic() < end, f"{question!r} was not asked: {screen!r}"
        if select.select([terminal], [], [], 1)[0]:
            screen += os.read(terminal, 4096).decode("utf-8", "replace")
    return screen, len(screen)


def read_on(terminal: int, screen: str) -> str:
    """Reads to the end of a command."""
    while True:
        try:
            more = os.read(terminal, 4096)
        except OSError:
            return screen
        if not more:
            return screen
        screen += more.decode("utf-8", "replace")


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_a_job_is_taken_in_question_by_question(shop: Shop, where: str) -> None:
    code, screen = talk(where, ["take"], [
        ("Customer", "R. Aldous"), ("Title", "Harbour"), ("Profile", "ASH-23"),
        ("did you mean ASH-22", "ash-22"), ("Width", "forty"),
        ("cannot read 'forty'", "400 / 401"), ("Height", "500"), ("Depth", ""), ("Mat", ""),
        ("Due", "2026-11-27"), ("How many", "2"),
    ])  # fmt: skip
    assert code == 0, screen
    assert "rails, long point" in screen
    assert "Job J1 is taken in." in screen
    (row,) = job_rows(shop)
    assert (row.customer, row.title, row.profile, row.quantity) == (
        "R. Aldous", "Harbour", "ASH-22", 2)  # fmt: skip
    assert (row.across, row.upright) == (436_000, 535_000)


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_nothing_is_taken_in_when_the_questions_are_broken_off(shop: Shop, where: str) -> None:
    code, screen = talk(where, ["take"], [("Customer", "R. Aldous"), ("Title", "\x04")])
    assert (code, job_rows(shop)) == (130, [])
    assert "Traceback" not in screen


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_a_plan_is_cut_piece_by_piece_and_goes_on_where_it_was_broken_off(
    shop: Shop, where: str
) -> None:
    for words in (["receive", "ASH-22", "B1", "3 m", "3 m", "--at", "A1"],
                  ["take", "--customer", "A", "-p", "ASH-22", "-w", "900", "--height", "900",
                   "--due", "2026-11-23"], ["plan", "--accept"]):  # fmt: skip
        assert run(where, *words).exit_code == 0
    code, screen = talk(where, ["cut"], [
        ("1 of 2: ", "5 m"), ("Is that right?", "no"), ("1 of 2: ", "9,,2"),
        ("cannot read '9,,2'", "m2 C1 # slipped"),
        ("Cut rail 2 again from this piece now?", "no"), ("2 of 2: ", "s"),
    ])  # fmt: skip
    assert code == 0, screen
    assert "J1 goes into the next plan" in screen
    assert "1 piece of plan 1 still to be cut" in screen
    code, screen = talk(where, ["cut"], [
        ("1 of 1: ", "")])  # fmt: skip
    assert (code, "Plan 1 is finished." in screen) == (0, True)
    assert "C1" in {piece.spot for piece in find(shop)}
    assert audit_shop(shop) == []
