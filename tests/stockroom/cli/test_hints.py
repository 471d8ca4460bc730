"""Small things that a terminal says: empty lists, other spellings, what stands first."""

import json
import shutil
from pathlib import Path

import pytest

from tests.stockroom.cli.bench import run

pytestmark = pytest.mark.unaudited
TAKE = ("take", "-p", "ASH-22", "-w", "300", "--height", "200", "--customer")


@pytest.fixture
def where(tmp_path: Path, stocked_file: Path) -> str:
    """Where a stocked shop's record is."""
    return str(shutil.copyfile(stocked_file, tmp_path / "shop.db"))


def test_an_empty_list_says_so_and_what_follows(where: str, tmp_path: Path) -> None:
    for words in ("jobs", "jobs --late", "find", "plans", "orders list", "dead", "readymade"):
        done = run(where, *words.split())
        assert (done.exit_code, done.stdout) == (0, ""), words
        assert done.stderr.strip(), words
    fresh = str(tmp_path / "fresh.db")
    run(fresh, "setup", "--unit", "mm")
    assert "Nothing needs to be ordered." in run(fresh, "order").stderr
    for words in ("profiles", "suppliers"):
        assert "Next: stockroom load-" in run(fresh, words).stderr


def test_late_jobs_stand_first_and_are_marked(where: str) -> None:
    run(where, *TAKE, "A", "--due", "2026-12-04")
    run(where, *TAKE, "B", "--due", "2026-11-27")
    shown = run(where, "--day", "2026-11-30", "jobs").stdout.splitlines()
    assert ["J2" in shown[2], "J1" in shown[3]] == [True, True]
    assert "late" in shown[2]
    assert "late" not in shown[3]


def test_a_job_is_scanned_shown_and_told_by_its_number_alone(where: str) -> None:
    run(where, *TAKE, "A", "--due", "2026-12-04")
    assert run(where, "history", "J1").stdout == run(where, "history", "job", "1").stdout != ""
    assert run(where, "scan", "j1").stdout == run(where, "job", "J1").stdout
    run(where, "receive", "ASH-22", "B1", "3000")
    assert "stick 1, ASH-22 B1" in run(where, "history", "1").stdout


def test_four_borders_are_read_and_a_matted_work_has_its_rows(where: str) -> None:
    shown = run(where, "sizes", "-p", "ASH-22", "-w", "600", "--height", "400", "--mat",
                "60/60/60/75").stdout  # fmt: skip
    rows = [line.split("  ")[0] for line in shown.splitlines()[1:5]]
    assert rows == ["artwork", "window", "mat and glass", "opening, inside"]
    # 600 + 2 (60 - 5) mm across, 400 + 60 + 75 - 2 5 mm down: a mat overlaps by 5 mm.
    assert "710 x 525" in shown


def test_a_header_in_capitals_is_read_and_one_that_is_wrong_names_the_columns(
    where: str, tmp_path: Path
) -> None:
    (tmp_path / "s.csv").write_text("CODE;Name\nWREN;Wren Yard\n", "utf-8")
    assert "1 supplier loaded" in run(where, "load-suppliers", str(tmp_path / "s.csv")).stderr
    (tmp_path / "s.csv").write_text("cod;name\nTERN;Tern\n", "utf-8")
    said = run(where, "load-suppliers", str(tmp_path / "s.csv")).stderr
    assert "there is no column 'cod'" in said
    assert "columns: code, name" in said
    assert said.count(" code,") == 1


def test_a_setting_is_shown_by_its_name_alone_and_as_it_is_after_a_change(where: str) -> None:
    one = json.loads(run(where, "settings", "kerf", "--as", "json").stdout)
    assert [row["setting"] for row in one] == ["kerf"]
    assert run(where, "settings", "kerf", "3,1").stdout.count("3.1 mm") == 1
    assert run(where, "settings", "kerv").exit_code == 11
