"""The demo: a week is played with the program's own commands, and the record is true at its end."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from rich.cells import cell_len

from demo.monday import MONDAY, play
from demo.monday_paper import printed
from demo.runner import Runner
from demo.week import week
from stockroom.refusals import Refused
from stockroom.services.counter.job_list import job_rows
from stockroom.services.morning.sheets import plan_rows
from stockroom.services.record.history import audit_shop
from stockroom.services.shop import open_shop
from stockroom.services.weekly.quotes import quotes
from tests.paper.reading import assert_inside, assert_words_apart, pages_of

SAID = (
    "--miscut 1",
    "--not-today",
    "Can't be cut today",
    "stockroom order",
    "All its frames are of one batch with those of J41.",
    "BOX-42, round it",
    "FIL-8, the fillet in the mat's window",
    "strainer 1x0",
    "1 x, bars across",
    "ends 30°",
    "one end 45°, one square",
    "as sold",
    "as sample",
    "as gift",
    "bowed: rails up to 18 in",
    "a second",
    "the customer's own",
    "To say at the counter",
    "stale",
    "(inside 6 3/16, sight 5 3/4)",
)
"""What is in the week at least once, as it is said."""


def test_a_week_is_played_to_its_end(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    evening = tmp_path / "monday.db"

    def after_monday(record: Path) -> None:
        with closing(sqlite3.connect(record)) as whole, closing(sqlite3.connect(evening)) as copy:
            whole.backup(copy)
        week(record)

    monkeypatch.setattr("demo.monday.week", after_monday)
    play(tmp_path / "kept")
    out, told = capfd.readouterr()
    after = open_shop(str(tmp_path / "kept" / "shop.db"), "ada")
    assert audit_shop(after) == []
    jobs = {row.number: row for row in job_rows(after, done=True)}
    assert [jobs[number].shape for number in range(44, 55)] == [
        "", "", "strainer 1x0", "6 sides", "arch", "repair", "", "", "", "", "6 sides"]  # fmt: skip
    states = [jobs[number].state for number in range(44, 56)]
    assert states == ["cut"] * 10 + ["joined", "planned"]
    assert {row.state for row in quotes(after, every=True)} >= {"open", "quoted again", "taken"}
    assert [words for words in SAID if words not in out] == []
    assert "by the pair: 1 pair" in told
    assert "given back to C. Voss" in told
    assert "repeat: none -> 60 mm" in told
    shop = open_shop(str(evening), "ada")
    assert audit_shop(shop) == []
    assert [row.state for row in plan_rows(shop)] == ["drafted", "finished", "finished"]
    assert len(job_rows(shop, done=True)) == 43
    assert any(row.state == "cut" for row in job_rows(shop, done=True))
    shown = [line for line in f"{out}\n{told}".splitlines() if str(tmp_path) not in line]
    assert [line for line in shown if cell_len(line) > 80] == []
    # All of the day's paper is printed from the record as the day left it.
    run = Runner(evening, MONDAY)
    read = {file.stem: pages_of(file.read_bytes()) for file in printed(run, tmp_path)}
    assert list(read) == ["day", "sheet", "stops", "glass", "ticket-J1", "ticket-J5", "ticket-J7",
                          "shelf", "receipt", "backs", "labels", "week", "order"]  # fmt: skip
    for name, pages in read.items():
        for page in pages:
            assert_words_apart(page)
            assert_inside(page, 10, 10, page.width - 10, page.height - 10)
        assert name in ("backs", "labels") or "Gull Lane Framing" in pages[0].extract_text()
    listed = " ".join(" ".join(page.extract_text() for page in read["week"]).split())
    lines = [box for page in read["week"] for box in page.rects if not box["fill"]]
    assert f"{len(lines)} profiles" in listed  # A box to change each line's number.
    assert listed.count("in all") == listed.count("ordered today, here on") == 3
    assert "stockroom" not in listed
    assert "--" not in listed
    assert "J7" in read["ticket-J7"][0].extract_text()
    assert "ASH-22 plain ash 6" in read["order"][0].extract_text()


def test_a_folder_that_is_there_is_left_alone(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="there is a folder already"):
        play(tmp_path)
