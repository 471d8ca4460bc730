"""The demo: Monday is played with the program's own commands, and the record is true at its end."""

from pathlib import Path

import pytest
from rich.cells import cell_len

from demo.monday import play
from stockroom.refusals import Refused
from stockroom.services.counter.job_list import job_rows
from stockroom.services.morning.sheets import plan_rows
from stockroom.services.record.history import audit_shop
from stockroom.services.shop import open_shop


def test_monday_is_played_to_its_end(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    play(tmp_path / "kept")
    out, told = capfd.readouterr()
    shop = open_shop(str(tmp_path / "kept" / "shop.db"), "ada")
    assert audit_shop(shop) == []
    assert [row.state for row in plan_rows(shop)] == ["finished", "finished"]
    assert len(job_rows(shop, done=True)) == 40
    assert any(row.state == "cut" for row in job_rows(shop, done=True))
    said = "Can't be cut today"
    for words in ("--miscut 1", "--not-today", said, "stockroom order", "stockroom audit"):
        assert words in out
    shown = [line for line in f"{out}\n{told}".splitlines() if str(tmp_path) not in line]
    assert [line for line in shown if cell_len(line) > 80] == []


def test_a_folder_that_is_there_is_left_alone(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="there is a folder already"):
        play(tmp_path)
