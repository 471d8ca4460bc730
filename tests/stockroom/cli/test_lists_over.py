"""Files that are whole or nothing: a list over the catalogue, one of cuts; an order left alone."""

import json
import re
from pathlib import Path

from stockroom.services.morning.sheets import to_settle
from stockroom.services.shop import Shop
from tests.stockroom.cli.bench import run

PRICES = "code,price_per_stick,minimum_sticks\nash-22,19.90,2\nLEAF-40,44,0\n"


def written(folder: Path, text: str) -> str:
    """A file with this text; gives its name."""
    (folder / "list.csv").write_text(text, "utf-8")
    return str(folder / "list.csv")


def test_a_price_list_goes_over_what_is_there_its_changes_shown_first(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    file = written(tmp_path, PRICES)
    shown = run(where, "load-profiles", file, "--over", "--dry-run")
    assert "ASH-22 price_per_stick: 18.50 -> 19.90" in shown.stdout
    assert "2 profiles changed, 0 new; nothing is loaded." in shown.stderr
    assert "18.50" in run(where, "profile", "ASH-22").stdout
    assert run(where, "load-profiles", file, "--over").exit_code == 0
    assert "19.90" in run(where, "profile", "ASH-22").stdout
    assert "LEAF-40 is" not in shown.stdout
    wrong = run(where, "load-profiles", written(tmp_path, PRICES + "NEW-1,3,0\n"), "--over")
    assert wrong.exit_code == 16
    assert "row 4: a new profile, and its supplier, name" in wrong.stderr


def test_a_file_of_cuts_is_recorded_whole_or_not_at_all_and_its_row_is_named(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    for side in ("400", "600"):
        run(where, "take", "--customer", "A", "-p", "ASH-22", "-w", side, "--height", side,
            "--due", "2026-11-23")  # fmt: skip
    run(where, "receive", "ASH-22", "B1", "3x 3000")
    assert run(where, "plan", "--accept").exit_code == 0
    first, second = to_settle(shop, 1)
    rows = f"piece,outcome,at\n{first},cut,C1\n"
    wrong = run(where, "cut", "--file", written(tmp_path, rows + "99,cut,\n"))
    assert wrong.exit_code == 16
    assert "row 3: piece 99 is not in plan 1" in wrong.stderr
    assert to_settle(shop, 1) == [first, second]
    good = run(where, "cut", "--no-labels", "--file",
               written(tmp_path, rows + f"{second},not there,\n"))  # fmt: skip
    assert good.exit_code == 0, good.stderr
    assert to_settle(shop, 1) == []


def test_an_order_that_the_list_advises_to_leave_is_not_drafted(shop: Shop, where: str) -> None:
    run(where, "receive", "ASH-22", "B1", "3000")
    run(where, "supplier", "LARK", "--set", "order_minimum=100000")
    said = run(where, "order", "--draft").output
    assert "leave it" in said
    assert "Drafted: nothing. Left alone, as advised: LARK." in said
    assert "No order is drafted" in run(where, "orders", "list").output


def test_ranges_are_written_one_way_everywhere(shop: Shop, where: str) -> None:
    run(where, "receive", "ASH-22", "B1", "3x 3000")
    assert run(where, "flaw", "1", "100..120", "--why", "dent").exit_code == 0
    assert "100..120" in run(where, "find", "ASH-22").output
    assert "2 pieces noted" in run(where, "labels", "2..3", "--stuck").output
    assert "2 pieces noted" in run(where, "labels", "2-3", "--stuck").output
    assert "3 pieces as they should be" in run(where, "seen", "1..3").output


def test_moulding_is_told_for_all_frames_and_a_draft_counts_its_pieces(
    shop: Shop, where: str
) -> None:
    take = ("take", "--customer", "A", "-p", "ASH-22", "-w", "300", "--height", "200", "--due",
            "2026-11-23", "-n", "3")  # fmt: skip
    # Two rails of 335 mm and two of 235 mm, three times.
    assert re.search(r"moulding, 3 frames +3420\b", run(where, *take).stdout)
    run(where, "receive", "ASH-22", "B1", "2x 3000")
    run(where, "plan")
    drafted = json.loads(run(where, "plans", "--as", "json").stdout)[0]
    assert (drafted["pieces"], drafted["waiting"]) == (2, 2)
