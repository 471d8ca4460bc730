"""What takes a line each: a delivery with its labels, pieces found; a job out of its plan, a week
planned, accepted and printed at once, a profile question by question."""

import json
from pathlib import Path

import pytest

from stockroom.services.shop import Shop
from tests.stockroom.cli.bench import run


@pytest.fixture
def typing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Standard input is a terminal, in a folder of its own."""
    monkeypatch.setattr("typer.testing._NamedTextIOWrapper.isatty", lambda self: True)
    monkeypatch.chdir(tmp_path)


def rack(where: str) -> list[tuple[str, str, int, str]]:
    """The rack's pieces: profile, batch, length in mm, place."""
    rows = json.loads(run(where, "find", "--as", "json").stdout)
    return sorted((r["profile"], r["batch"], r["length_um"] // 1000, r["place"]) for r in rows)


@pytest.mark.usefixtures("typing")
def test_a_delivery_is_one_command_a_line_a_profile_with_its_labels(shop: Shop, where: str) -> None:
    run(where, "orders", "draft", "LARK", "ASH-22=3", "LEAF-40=1")
    run(where, "orders", "place", "1")
    typed = "B7 2x 2998, 3001\nL1\nL1 3000\nA3\n"
    done = run(where, "orders", "receive", "1", typed=typed)
    assert done.exit_code == 0, done.output
    assert "as B7 4x 2998, 3001" in " ".join(done.output.split())
    assert "Order 1 is received, 0 sticks to come" in done.output
    assert "4 labels in" in done.output
    assert rack(where) == [("ASH-22", "B7", 2998, "A3"), ("ASH-22", "B7", 2998, "A3"),
                           ("ASH-22", "B7", 3001, "A3"), ("LEAF-40", "L1", 3000, "A3")]  # fmt: skip


def test_sticks_are_received_as_they_are_read_out_without_quotation_marks(
    shop: Shop, where: str
) -> None:
    done = run(where, "receive", "ASH-22", "B7", "2x", "2998", "mm", "3001")
    assert done.exit_code == 0, done.output
    known = [("ASH-22", "B7", 2998, ""), ("ASH-22", "B7", 2998, ""), ("ASH-22", "B7", 3001, "")]
    assert rack(where) == known
    refused = run(where, "receive", "ASH-22", "B7", "2998", "2x")
    assert "'2x'" in refused.output
    assert (refused.exit_code, rack(where)) == (10, known)


@pytest.mark.usefixtures("typing")
def test_pieces_found_are_logged_a_line_each(shop: Shop, where: str) -> None:
    typed = "ash-22 920 C2\n=B7 455,5 f10..20\nquite long\n4600\nno\nleaf-40 = 810 C 3\n\n"
    done = run(where, "found", typed=typed)
    assert done.exit_code == 0, done.output
    assert "3 labels in" in done.output
    assert rack(where) == [("ASH-22", "B7", 455, ""), ("ASH-22", "UNKNOWN", 920, "C2"),
                           ("LEAF-40", "UNKNOWN", 810, "C 3")]  # fmt: skip
    found = run(where, "find", "--batch", "B7").output
    assert "10..20" in found


def planned_pair(where: str, *more: str) -> str:
    """Two jobs in one plan that is accepted; what was said of it."""
    for customer in "AB":
        run(where, "take", "--customer", customer, "-p", "ASH-22", "-w", "300", "--height", "200",
            "--due", "2026-11-27")  # fmt: skip
    run(where, "receive", "ASH-22", "B1", "2x 3000")
    done = run(where, "plan", "--until", "2026-11-27", "--accept", *more)
    assert done.exit_code == 0, done.output
    return done.output


@pytest.mark.usefixtures("typing")
def test_a_week_is_planned_accepted_and_printed_by_one_command(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    assert "The cut sheet of plan 1 is in plan-1.pdf." in planned_pair(where, "--sheet")
    assert (tmp_path / "plan-1.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.usefixtures("typing")
def test_a_job_is_taken_out_of_its_plan_changed_and_planned_again(shop: Shop, where: str) -> None:
    planned_pair(where)
    changed = run(where, "change", "J1", "-w", "320", typed="yes\n")
    assert changed.exit_code == 0, changed.output
    assert run(where, "undo", typed="yes\n").exit_code == 0
    assert run(where, "undo", typed="yes\n").exit_code == 0
    out = run(where, "drop", "--job", "J1").output
    assert "J1 is taken out of plan 1; free again: 1; J2 wait again too." in out
    assert run(where, "undo", typed="yes\n").exit_code == 0
    assert run(where, "cut", "1", "--as-planned", "--no-labels").exit_code == 0
    assert "no plan is about to cut J1" in run(where, "drop", "--job", "J1").output


@pytest.mark.usefixtures("typing")
def test_a_profile_is_asked_for_question_by_question(shop: Shop, where: str) -> None:
    # A rabbet as wide as the face is asked for again, a slip of the decimal point asked about.
    typed = ("OWL\nOwl Mouldings\nTall ash\nrab\n30\n30\n7\n15\n2000\nno\n\n\n\n\nja\n12,50\n"
             "\n")  # fmt: skip
    done = run(where, "profile", "ash-30", "--new", typed=typed)
    assert done.exit_code == 0, done.output
    assert "30 mm is not less than the face, 30 mm" in done.output
    assert "2000 mm is unlikely: 4 mm to 250 mm is usual" in done.output
    bar = run(where, "profile", "bar-9", "--new", typed="OWL\nBar\nplain\n30\n" + "\n" * 7)
    assert "plain" in bar.output, bar.output
    assert "Rabbet" not in bar.output
    kept = {row["name"]: row["value"] for row in json.loads(
        run(where, "profile", "ash-30", "--as", "json").stdout)}  # fmt: skip
    assert kept["supplier"] == "OWL"
    assert (kept["face"], kept["stick_length"], kept["shortest_kept"]) == (
        "30 mm",
        "3000 mm",
        "300 mm",
    )
    assert (kept["batch_matched"], kept["price_per_stick"]) == ("yes", "12.50")


@pytest.mark.usefixtures("typing")
def test_a_miscut_rail_is_cut_again_from_the_same_piece_in_one_answer(
    shop: Shop, where: str
) -> None:
    run(where, "take", "--customer", "A", "-p", "ASH-22", "-w", "300", "--height", "200",
        "--due", "2026-11-23")  # fmt: skip
    run(where, "receive", "ASH-22", "B1", "3000")
    run(where, "plan", "--accept")
    done = run(where, "cut", "--no-labels", typed="m2 C1 # slipped\n\n")
    assert done.exit_code == 0, done.output
    assert "J1 has all its rails" in done.output
    assert "goes into the next plan" not in done.output
    # Four rails of 335 and 235 mm, and one of them once more, out of 3 m; each takes its cut.
    lengths = {length for _, _, length, _ in rack(where)}
    assert max(lengths) < 3000 - 2 * (335 + 235) - 235 - 5 * 4
    assert any(200 < length < 340 for length in lengths) or len(lengths) == 1
    assert run(where, "undo", typed="yes\n").exit_code == 0
    wrong = run(where, "cut", "1", "--piece", "1", "--again", "2")
    assert "rail 2 of piece 1 is not named miscut" in wrong.output
