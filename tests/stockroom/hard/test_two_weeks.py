"""Two weeks of a small metric shop at a real terminal of 80 by 24, mishaps and all.

Its rack is kept beside it as a plain model: what was put on it, and what is left of what was cut,
as it was typed. At the end both agree, and the audit finds no fault.
"""

import json
import os
import re
import sys
from pathlib import Path

import pexpect  # type: ignore[import-untyped]
import pyte
import pytest

from stockroom.services.record.history import audit_shop
from stockroom.services.shop import open_shop

COLOURS = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")
PROFILES = """code;supplier;name;kind;face;rabbet_width;rabbet_depth;stick_length;price_per_stick;\
shortest_kept;end_trim;batch_matched
KLARA-30;LARK;Oak, limed;rabbeted;30;6;10;3000;8,39;300;10;ja
NELL-25;LARK;Black;rabbeted;25;6;10;3000;"1.012,50";300;10;nein
"""


class Terminal:
    """A terminal of 80 columns and 24 rows at which one works, and what stood on it."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.where, self.day = folder, str(folder / "shop.db"), "2026-12-07"
        self.env = {**os.environ, "TERM": "xterm", "PYTHONUTF8": "1", "STOCKROOM_SHOP": self.where}
        self.env.pop("COLUMNS", None)

    def run(self, *words: str, answers: tuple[tuple[str, str], ...] = (), who: str = "mia") -> str:
        """A command, its questions answered as they come; gives what stood on the screen."""
        words = ("-m", "stockroom", "--who", who, "--day", self.day, *words)
        child = pexpect.spawn(sys.executable, list(words), cwd=self.folder, env=self.env,
                              dimensions=(24, 80), encoding="utf-8", timeout=120)  # fmt: skip
        said = ""
        for question, typed in answers:
            child.expect_exact(question)
            said += f"{child.before}{child.after}"
            child.sendline(typed)
        child.expect(pexpect.EOF)
        said += child.before or ""
        child.close()
        assert "Traceback" not in said, said
        screen = pyte.Screen(80, 24)
        pyte.Stream(screen).feed(said)
        assert any(line.strip() for line in screen.display)
        return COLOURS.sub("", said).replace("\r\n", "\n")

    def cut(self, plan: str, rack: dict[int, float], *lines: str) -> str:
        """Pieces cut in their walk, a line each; ``{left}`` in it is what the plan leaves."""
        words = ["-m", "stockroom", "--who", "mia", "--day", self.day, "cut", plan]
        child = pexpect.spawn(sys.executable, words, cwd=self.folder, env=self.env,
                              dimensions=(24, 80), encoding="utf-8", timeout=120)  # fmt: skip
        said = ""
        for line in lines:
            child.expect(r"\d+ of \d+: |Is that right\?")
            shown = COLOURS.sub("", child.before or "").replace("\r\n", "\n")
            said += shown + (child.after or "")
            if found := re.search(r"then rack ([\d.]+)", shown):
                left = float(found[1])
            child.sendline(line.format(left=f"{left:g}", slip=f"{left / 10:.0f}"))
        child.expect(pexpect.EOF)
        child.close()
        said += COLOURS.sub("", child.before or "").replace("\r\n", "\n")
        for number, length in re.findall(r"label (\d+): ([\d.]+) mm", said):
            rack[int(number)] = float(length)
        for number in re.findall(r"^Piece (\d+): (?!recorded, nothing to keep\.$|.*not cut)", said,
                                 re.MULTILINE):  # fmt: skip
            rack.pop(int(number), None)
        return said

    def lengths(self) -> dict[int, float]:
        """The pieces on the rack by the record, each with its length in millimetres."""
        found = self.run("find", "--as", "json")
        return {row["piece"]: row["length_um"] / 1000 for row in json.loads(found)}


@pytest.mark.unaudited
def test_two_weeks_of_a_metric_shop_lose_nothing(tmp_path: Path) -> None:
    shop, rack = Terminal(tmp_path), dict[int, float]()
    (tmp_path / "suppliers.csv").write_text("code;name\nLARK;Lark Hollow\n", "utf-8")
    (tmp_path / "profiles.csv").write_text(PROFILES, "utf-8")
    shop.run("setup", "--name", "Die Leiste", "--unit", "mm", "--set", "currency=€",
             "--set", "timezone=Europe/Vienna", "--set", "csv=semicolon")  # fmt: skip
    assert "1 supplier" in shop.run("load-suppliers", "suppliers.csv")
    assert "2 profiles" in shop.run("load-profiles", "profiles.csv")
    shop.run("receive", "KLARA-30", "K10", "2x 2300", "--at", "A1")
    shop.run("receive", "KLARA-30", "K11", "3x 3000", "--at", "A2")
    shop.run("receive", "NELL-25", "N1", "2x 3000", "--at", "B1")
    rack |= {1: 2300, 2: 2300, 3: 3000, 4: 3000, 5: 3000, 6: 3000, 7: 3000}
    # A triptych asked for question by question: it hangs together, from one batch.
    taken = shop.run("take", answers=(
        ("Customer", "C. Voss"), ("Title", "Triptych"), ("Profile", "klara-30"),
        ("Width", "500"), ("Height", "400"), ("Depth", ""), ("Mat", ""), ("Due", "11.12."),
        ("How many", "3"),
    ))  # fmt: skip
    assert "Job J1 is taken in." in taken
    shop.run("take", "--customer", "Frau Ode", "-p", "NELL-25", "-w", "400", "--height", "300",
             "--due", "Fri")  # fmt: skip
    planned = shop.run("plan", "--until", "+4", "--accept")
    assert "Fri 2026-12-11" in planned
    assert "batch K10" not in planned
    # A slip of a digit is asked about, another's work is left alone, a missing piece believed.
    assert "To cut: " in shop.run(who="ben")
    assert "nothing that ben did stands to be undone" in shop.run("undo", who="ben")
    assert "says nothing without --piece" in shop.run("cut", "1", "--leftover", "500", "--at", "C9")
    said = shop.cut("1", rack, "{slip} C1", "no", "{left} C1", "s")
    assert "is far from it" in said
    assert "Without a label" in shop.run("cut", "1", "--piece", "6", "--missing")
    assert shop.lengths() == rack
    # The second week: the missing piece stays away, the rest is cut, one rail is miscut.
    shop.day = "2026-12-14"
    assert "Late: J1, J2" in shop.run()
    again = shop.run("plan", "--until", "Fri")
    assert " 6   NELL-25" not in again
    assert "J2" in again
    shop.cut("1", rack, "", "m2 # slipped")
    shop.run("move", "6", "C7")
    shop.run("plan", "--until", "Fri", "--accept")
    shop.run("cut", "--as-planned")
    assert "Undo entry" in shop.run("undo", answers=(("Undo entry", "no"),))
    assert "late" not in shop.run("jobs")
    audited = shop.run("audit")
    assert "every micrometre is accounted for" in audited
    assert audit_shop(open_shop(shop.where, "mia")) == []
