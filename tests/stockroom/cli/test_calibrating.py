"""The saw's setting held against measured cuts, by command."""

from pathlib import Path

import pytest

from stockroom.services.calibrating import calibrate
from stockroom.services.sheets import sheet_of
from stockroom.services.shop import Shop
from tests.stockroom.cli.bench import run

SETTING = 5_026
FRAMES = 12


def cut_with(shop: Shop, where: str, folder: Path, more: int, slip: int = 0) -> None:
    """A plan of many frames cut by a saw that takes so much more than its setting each time."""
    take = ["take", "--customer", "A", "-p", "ASH-22", "-w", "600", "--height", "600"]
    due = ["--due", "2026-11-23", "--quantity", str(FRAMES)]
    for words in (["receive", "ASH-22", "B1", "30x 3 m"], [*take, *due], ["plan", "--accept"]):
        assert run(where, *words).exit_code == 0
    rows = ["piece,leftover"]
    for number, piece in enumerate(sheet_of(shop, 1).pieces):
        planned = piece.total("leftover") + piece.total("scrap")
        read = planned - more * len(piece.rails) + (100 if number % 2 else -100)
        rows.append(f"{piece.number},{(read + (slip if number == 0 else 0)) / 1000:.3f} mm")
    (folder / "cuts.csv").write_text("\n".join(rows) + "\n", "utf-8")
    done = run(where, "cut", "--file", str(folder / "cuts.csv"))
    assert done.exit_code == 0, done.stderr


def test_a_saw_that_takes_more_is_found_out_and_the_offered_value_sets_it_right(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    cut_with(shop, where, tmp_path, 800, slip=-25_000)
    result = calibrate(shop)
    assert (result.setting, result.off) == (SETTING, True)
    assert result.found is not None
    assert result.found.slips == 1
    assert result.found.allowance == pytest.approx(SETTING + 800, abs=60)
    done = run(where, "calibrate")
    assert (done.exit_code, "off by more than twice the error" in done.stderr) == (0, True)
    offered = next(line for line in done.stderr.splitlines() if line.startswith("Next: "))
    value = offered.split("'")[1]
    assert "stockroom settings clean_up" in offered
    assert run(where, "settings", "clean_up", value).exit_code == 0
    assert "The setting holds" in run(where, "calibrate").stderr


def test_a_saw_that_takes_what_is_set_is_left_alone(shop: Shop, where: str, tmp_path: Path) -> None:
    cut_with(shop, where, tmp_path, 0)
    done = run(where, "calibrate")
    assert "The setting holds" in done.stderr
    assert "cut allowance set: 5.03 mm" in done.stdout


def test_a_saw_that_takes_less_than_its_kerf_says_so(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    cut_with(shop, where, tmp_path, -1_500)
    done = run(where, "calibrate")
    assert "measure the blade: its kerf seems to be 2.4" in done.stderr


def test_cuts_of_another_blade_do_not_count_and_few_cuts_say_nothing(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    cut_with(shop, where, tmp_path, 800)
    assert run(where, "settings", "kerf", "3 mm").exit_code == 0
    done = run(where, "calibrate")
    assert (done.exit_code, done.stdout) == (0, "")
    assert "0 measured cuts since 2026-11-23" in done.stderr
