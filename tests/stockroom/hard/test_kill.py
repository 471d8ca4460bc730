"""Processes are killed (SIGKILL) at random points; the record is as before or after the entry."""

import json
import os
import random
import signal
import subprocess
import sys
import threading
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from stockroom.record.audit import audit
from stockroom.record.database import reading
from stockroom.record.numbering import serial
from stockroom.record.tables import Entry
from stockroom.services.shop import Shop
from tests.stockroom.hard.shopwork import EVERY

KILLS, SHOPS, AUDITED = 20, 10 if EVERY else 1, 5
"""In each of so many shops on each database, audited after so many; every other one between two
statements of a change."""
LONGEST_LIFE = 0.4
MOST_STATEMENTS = 500
KINDS = 3
"""So many kinds of entry at least were under way when a hand was killed."""
ROOT = Path(__file__).parents[3]
WRITTEN = {"receive", "take in", "plan", "accept", "cut", "count"}


class Nursery:
    """Begins hands at the bench as processes, and kills them."""

    def __init__(self, where: str) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.stockroom.hard.hand", "nursery", where],
            cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip

    def live_and_die(self, seed: int, statements: int | None, seconds: float) -> list[Any]:
        """What a hand told from its birth until it was killed, by us or at its own statement."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(json.dumps({"seed": seed, "statements": statements}) + "\n")
        self.process.stdin.flush()
        pid = json.loads(self.process.stdout.readline())["pid"]
        killer = threading.Timer(seconds, os.kill, (pid, signal.SIGKILL))
        if statements is None:
            killer.start()
        told = []
        for line in self.process.stdout:
            told.append(json.loads(line))
            if "ended" in told[-1]:
                break
        killer.cancel()
        return told

    def close(self) -> None:
        """Ends the nursery."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.close()
        self.process.wait()
        self.process.stdout.close()


def state(shop: Shop, *, audited: bool) -> tuple[int, list[object]]:
    """How many entries stand in the record, and its faults where they are looked for."""
    with reading(shop.engine) as session:
        return serial(session, Entry) - 1, list(audit(session)) if audited else []


@pytest.mark.parametrize("seed", range(SHOPS))
@pytest.mark.parametrize("where", ["sqlite", "postgresql"], indirect=True)
def test_a_killed_process_leaves_the_record_as_before_or_after_the_entry(
    shop: Shop, where: str, seed: int
) -> None:
    dice = random.Random(2026 + seed)
    nursery = Nursery(where)
    killed: Counter[str] = Counter()
    try:
        for number in range(KILLS):
            statements = dice.randint(1, MOST_STATEMENTS) if number % 2 else None
            told = nursery.live_and_die(
                seed * KILLS + number, statements, dice.uniform(0.02, LONGEST_LIFE)
            )
            assert told[-1] == {"ended": -signal.SIGKILL}
            # A fault stays in the record, so that the next audit finds it.
            entries, faults = state(shop, audited=number % AUDITED == AUDITED - 1)
            assert faults == []
            # What was said to be done is there; nothing but the one thing begun may be beyond it.
            done = [line["entries"] for line in told if "done" in line]
            assert 0 <= entries - max(done, default=entries) <= 1
            killed[next((line["begun"] for line in reversed(told) if "begun" in line), "")] += 1
    finally:
        nursery.close()
    assert sum(killed.values()) == KILLS
    assert len(WRITTEN & set(killed)) >= KINDS
