"""The saw's setting held against measured cuts, by command."""

import json
from datetime import date
from pathlib import Path

import pytest

from stockroom.services.morning.sheets import newest_plan, sheet_of
from stockroom.services.saw.calibrate import calibrate
from stockroom.services.shop import Shop, open_shop, set_up
from tests.stockroom.cli.bench import run

SETTING = 5_026
FRAMES = 12


def cut_with(
    shop: Shop, where: str, folder: Path, more: int, slip: int = 0, machine: str = "main"
) -> None:
    """A plan of many frames cut by a machine that takes so much more than was planned each time."""
    take = ["take", "--customer", "A", "-p", "ASH-22", "-w", "600", "--height", "600"]
    due = ["--due", "2026-11-23", "--quantity", str(FRAMES)]
    for words in (["receive", "ASH-22", "B1", "30x 3 m"], [*take, *due], ["plan", "--accept"]):
        assert run(where, *words).exit_code == 0
    rows = ["piece,leftover"]
    for number, piece in enumerate(sheet_of(shop, newest_plan(shop, ("accepted",))).pieces):
        planned = piece.total("leftover") + piece.total("scrap")
        read = planned - more * len(piece.rails) + (100 if number % 2 else -100)
        rows.append(f"{piece.number},{(read + (slip if number == 0 else 0)) / 1000:.3f} mm")
    (folder / "cuts.csv").write_text("\n".join(rows) + "\n", "utf-8")
    done = run(where, "cut", "--file", str(folder / "cuts.csv"), "--machine", machine)
    assert done.exit_code == 0, done.stderr


def test_a_saw_that_takes_more_is_found_out_and_the_offered_value_sets_it_right(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    cut_with(shop, where, tmp_path, 800, slip=-25_000)
    (result,) = calibrate(shop)
    assert (result.setting, result.off) == (SETTING, True)
    assert result.found is not None
    assert result.found.slips == 1
    assert result.found.allowance == pytest.approx(SETTING + 800, abs=60)
    done = run(where, "calibrate")
    assert (done.exit_code, "off by more than twice the error" in done.stderr) == (0, True)
    assert "main: 1 slip of the tape set aside" in done.stderr
    assert "Next: stockroom calibrate --take, to set its clean_up to 1.3" in done.stderr
    assert run(where, "calibrate", "--take").exit_code == 0
    (now,) = calibrate(shop_again(where))
    assert (now.setting, now.off) == (result.found.allowance, False)
    assert "the setting holds" in run(where, "calibrate").stderr
    again = run(where, "calibrate", "--take")
    assert (again.exit_code, "nothing was changed" in again.stderr) == (12, True)


def shop_again(where: str) -> Shop:
    """The shop opened anew, with what its settings are now."""
    return open_shop(where, "ada", date(2026, 11, 23))


def test_a_saw_that_takes_what_is_set_is_left_alone(shop: Shop, where: str, tmp_path: Path) -> None:
    cut_with(shop, where, tmp_path, 0)
    done = run(where, "calibrate")
    assert "the setting holds" in done.stderr
    (row,) = json.loads(run(where, "calibrate", "--as", "json").stdout)
    assert (row["machine"], row["set_um"], row["slips"]) == ("main", SETTING, 0)
    assert row["found_um"] == pytest.approx(SETTING, abs=row["error_um"] + 1)


def test_a_saw_that_takes_less_than_its_kerf_says_so(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    cut_with(shop, where, tmp_path, -1_500)
    assert "measure the blade: its kerf seems to be 2.4" in run(where, "calibrate").stderr
    refused = run(where, "calibrate", "--take")
    assert (refused.exit_code, "blade seems thinner" in refused.stderr) == (12, True)


def test_two_machines_are_told_apart_and_each_is_set_by_itself(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    cut_with(shop, where, tmp_path, 700, slip=30_000)
    assert run(where, "settings", "machine", "chopper").exit_code == 0
    assert run(where, "settings", "cutter", "guillotine").exit_code == 0
    assert run(where, "settings", "machine", "MAIN").exit_code == 0
    assert shop_again(where).settings.cutter == "saw"
    cut_with(shop, where, tmp_path, 300, machine="Chopper")
    main, chopper = calibrate(shop_again(where))
    assert (main.machine, chopper.machine) == ("main", "chopper")
    assert (main.setting, chopper.setting) == (SETTING, 500)
    assert main.found is not None
    assert chopper.found is not None
    assert (main.found.slips, chopper.found.slips) == (1, 0)
    assert main.found.allowance == pytest.approx(SETTING + 700, abs=60)
    # What was planned for the saw is recorded by the machine that cut it: by its own allowance.
    assert chopper.found.allowance == pytest.approx(SETTING + 300, abs=60)
    done = run(where, "calibrate", "--take", "--machine", "chopper")
    assert done.exit_code == 0, done.stderr
    main, chopper = calibrate(shop_again(where))
    assert (main.setting, chopper.off) == (SETTING, False)
    assert chopper.setting == pytest.approx(SETTING + 300, abs=60)


def test_a_new_shop_has_one_machine_whatever_it_is_called(where: str) -> None:
    made = set_up(where, "ada", {"machine": "Old Bess", "kerf": "3 mm"}, date(2026, 11, 23))
    assert [one.machine for one in calibrate(made)] == ["Old Bess"]
    assert run(where, "settings", "machine", "chopper").exit_code == 0
    assert run(where, "settings", "kerf", "2 mm").exit_code == 0
    assert run(where, "settings", "machine", "old bess").exit_code == 0
    settings = shop_again(where).settings
    assert (settings.machine, settings.kerf_um) == ("Old Bess", 3_000)


def test_a_machine_that_the_shop_does_not_have_is_refused(shop: Shop, where: str) -> None:
    del shop
    for words in (["calibrate", "--machine", "chopper"], ["cut", "1", "--machine", "chopper"]):
        done = run(where, *words)
        assert (done.exit_code, "no machine 'chopper'" in done.stderr) == (11, True)
    assert run(where, "settings", "machine", " ").exit_code == 10


def test_cuts_of_another_blade_do_not_count_and_few_cuts_say_nothing(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    cut_with(shop, where, tmp_path, 800)
    assert run(where, "settings", "kerf", "3 mm").exit_code == 0
    done = run(where, "calibrate")
    assert done.exit_code == 0
    assert "0 measured cuts since 2026-11-23" in done.stderr
