"""The commands that keep the record, as they are typed."""

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from stockroom.cli import app
from stockroom.services.record.history import job_life, piece_life
from stockroom.services.record.undo import undo
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop
from stockroom.words.language import word
from tests.stockroom.hard.shopwork import accepted, sticks, take

RUNNER = CliRunner()


def run(where: str, *words: str) -> Result:
    """One command, typed by ada on Monday."""
    shared = ["--shop", where, "--day", "2026-11-23", "--who", "ada"]
    return RUNNER.invoke(app, [*shared, *words])


def test_a_backup_is_made_and_brought_back_by_command(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    sticks(shop)
    made = run(where, "backup", "--to", str(tmp_path / "b"))
    (copy,) = (tmp_path / "b").iterdir()
    assert (made.exit_code, f"The record up to entry 2 is safe in {copy}" in made.output) == (
        0,
        True,
    )
    sticks(shop)
    refused = run(where, "restore", str(copy))
    assert (refused.exit_code, "restore all the same with --newer" in refused.output) == (13, True)
    back = run(where, "restore", str(copy), "--newer")
    assert (back.exit_code, "The record is back, up to entry 2; what it" in back.output) == (
        0,
        True,
    )
    assert run(where, "audit").exit_code == 0


def test_the_record_moves_by_export_and_import(shop: Shop, where: str, tmp_path: Path) -> None:
    sticks(shop)
    assert run(where, "export", str(tmp_path / "all.jsonl")).exit_code == 0
    assert run(where, "export", str(tmp_path / "all.jsonl")).exit_code == 15
    new = str(tmp_path / "new.db")
    assert "its audit is clean" in run(new, "import", str(tmp_path / "all.jsonl")).output
    assert run(new, "import", str(tmp_path / "all.jsonl")).exit_code == 12
    assert run(new, "find", "--as", "csv").output == run(where, "find", "--as", "csv").output


def test_spreadsheets_are_saved_and_tried_before_they_are_loaded(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    sticks(shop, 2)
    path = str(tmp_path / "rack.csv")
    assert "2 rows written" in run(where, "save", "rack", path).output
    tried = run(where, "load-rack", path, "--dry-run")
    assert (tried.exit_code, "row 2: there is a piece 1 already" in tried.output) == (16, True)
    assert run(where, "save", "everything", path).exit_code == 10


def test_a_count_goes_from_sheet_to_settled_by_command(shop: Shop, where: str) -> None:
    sticks(shop, 3)
    sheet = run(where, "count", "--at", "A")
    assert "3 pieces should be there at entry 2" in sheet.output
    assert "stockroom seen --since 2 --at A NUMBERS" in sheet.output
    looked = run(where, "seen", "--since", "2", "--at", "A", "1-2")
    assert "2 pieces as they should be; 1 missing (3000 mm, $18.50)" in looked.output
    assert "Nothing is written yet" in looked.output
    told = ["seen", "--since", "2", "--at", "A", "1-2", "--unlabelled", "ASH-22=812", "--settle"]
    assert run(where, *told).exit_code == 12
    settled = run(where, *told, "--why", "Friday's count")
    assert (settled.exit_code, "Settled in entry 3" in settled.output) == (0, True)
    assert "4," in run(where, "find", "--as", "csv").output
    assert run(where, "audit").exit_code == 0


@pytest.mark.parametrize(
    "command", ["backup", "restore", "export", "import", "save", "count", "seen"]
)
def test_every_command_that_keeps_the_record_shows_an_example(command: str) -> None:
    helped = RUNNER.invoke(app, [command, "--help"], env={"COLUMNS": "120"})
    assert (helped.exit_code, f"Example: stockroom {command}" in helped.output) == (0, True)


def test_a_piece_is_followed_from_supplier_to_rails_with_its_offcuts_below_it(
    shop: Shop, where: str
) -> None:
    take(shop)
    (stick,) = sticks(shop)
    number = accepted(shop)
    (offcut,) = record_cut(shop, SawReport(number, stick)).offcuts
    told = run(where, "history", "piece", str(offcut.id)).output.splitlines()
    assert told[0].startswith("stick 1, ASH-22 B1, 3000 mm, gone")
    assert [line.split()[1] for line in told[1:4]] == ["receive", "accept", "cut"]
    assert told[4].lstrip().startswith("offcut 2, ASH-22 B1,")
    assert told[4].endswith("on the rack  <")
    life = piece_life(shop, offcut.id)
    assert (life.number, life.length, [child.number for child in life.offspring]) == (
        stick, 3_000_000, [offcut.id])  # fmt: skip


def test_a_job_is_followed_from_measure_to_cut_and_what_was_undone_is_marked(shop: Shop) -> None:
    take(shop)
    (stick,) = sticks(shop)
    number = accepted(shop)
    record_cut(shop, SawReport(number, stick))
    undo(shop, why="wrong stick")
    life = job_life(shop, "J1")
    assert [row.kind for row in life] == ["take in", "accept", "cut", "undo"]
    assert (life[2].undone_by, life[3].reverses, life[3].why) == (6, 5, "wrong stick")
    moved = [{word(place): um for place, um in row.moved} for row in life]
    assert (moved[2]["rail 1 of J1"], moved[3]["rail 1 of J1"]) == (535_000, -535_000)
