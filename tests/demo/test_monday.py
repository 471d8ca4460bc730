"""The demo: Monday is played with the program's own commands, and the record is true at its end."""

from pathlib import Path

import pytest
from rich.cells import cell_len

from demo.monday import Runner, play
from demo.monday_paper import printed
from stockroom.refusals import Refused
from stockroom.services.counter.job_list import job_rows
from stockroom.services.morning.sheets import plan_rows
from stockroom.services.record.history import audit_shop
from stockroom.services.shop import open_shop
from tests.paper.reading import assert_inside, assert_words_apart, pages_of


def test_monday_is_played_to_its_end(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    play(tmp_path / "kept")
    out, told = capfd.readouterr()
    shop = open_shop(str(tmp_path / "kept" / "shop.db"), "ada")
    assert audit_shop(shop) == []
    assert [row.state for row in plan_rows(shop)] == ["drafted", "finished", "finished"]
    assert len(job_rows(shop, done=True)) == 43
    assert any(row.state == "cut" for row in job_rows(shop, done=True))
    said = "Can't be cut today"
    for words in (
        "--miscut 1",
        "--not-today",
        said,
        "stockroom order",
        "stockroom audit",
        "All its frames are of one batch with those of J41.",
    ):
        assert words in out
    shown = [line for line in f"{out}\n{told}".splitlines() if str(tmp_path) not in line]
    assert [line for line in shown if cell_len(line) > 80] == []
    # All of the day's paper is printed from the record as the day left it.
    run = Runner(tmp_path / "kept" / "shop.db")
    read = {file.stem: pages_of(file.read_bytes()) for file in printed(run, tmp_path)}
    assert list(read) == ["day", "sheet", "stops", "glass", "ticket-J1", "ticket-J5", "ticket-J7",
                          "shelf", "receipt", "backs", "labels", "week", "order"]  # fmt: skip
    for name, pages in read.items():
        for page in pages:
            assert_words_apart(page)
            assert_inside(page, 10, 10, page.width - 10, page.height - 10)
        assert name in ("backs", "labels") or "Gull Lane Framing" in pages[0].extract_text()
    week = " ".join(" ".join(page.extract_text() for page in read["week"]).split())
    lines = [box for page in read["week"] for box in page.rects if not box["fill"]]
    assert f"{len(lines)} profiles" in week  # A box to change each line's number.
    assert week.count("in all") == week.count("ordered today, here on") == 3
    assert "stockroom" not in week
    assert "--" not in week
    assert "J7" in read["ticket-J7"][0].extract_text()
    assert "ASH-22 plain ash 6" in read["order"][0].extract_text()


def test_a_folder_that_is_there_is_left_alone(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="there is a folder already"):
        play(tmp_path)
