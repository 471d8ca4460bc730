"""Worth learned by command: shown, kept, used by plans, undone."""

import json
import subprocess
import sys
from datetime import date, timedelta
from pathlib import Path

import pytest

from planner.values import Curve
from stockroom.record.database import reading
from stockroom.services.insight.learn_worth import worth_curves
from stockroom.services.morning.problem import Choices, todays_work
from stockroom.services.shop import Shop
from tests.stockroom.cli.bench import run

MONDAY = date(2026, 11, 23)


def used(shop: Shop) -> Curve | None:
    """The curve that a plan of today would use for ash."""
    with reading(shop.engine) as session:
        work = todays_work(session, shop.settings, Choices(MONDAY + timedelta(60)))
    return work.problem.worth.get("ASH-22")


@pytest.fixture
def asked(shop: Shop, where: str) -> Shop:
    """A shop that was asked for eighty square frames of ash with rails of 600 mm."""
    for due in ("2026-11-23", "2026-12-01"):
        done = run(where, "take", "--customer", "A", "-p", "ASH-22", "-w", "565", "--height",
                   "565", "--due", due, "--quantity", "40")  # fmt: skip
        assert done.exit_code == 0, done.stderr
    return shop


def test_a_dry_run_shows_the_curve_and_keeps_nothing(asked: Shop, where: str) -> None:
    done = run(where, "worth", "ash-22", "--dry-run")
    assert done.exit_code == 0, done.stderr
    assert "worth as a share of length ─, default ·" in done.stdout
    said = " ".join(done.stderr.split())
    assert "learned from 80 frames of 2026-11-23 to 2026-12-01; they weigh 89 %" in said
    assert "Nothing of it was cut in the last 30 days" in said
    assert worth_curves(asked, ["ASH-22"]) == {}
    assert used(asked) is None


def test_plans_use_what_was_learned_until_it_is_undone(asked: Shop, where: str) -> None:
    done = run(where, "worth", "ASH-22")
    assert done.exit_code == 0, done.stderr
    kept = worth_curves(asked, ["ASH-22"])["ASH-22"]
    assert used(asked) == kept
    assert run(where, "plan").exit_code == 0
    assert run(where, "receive", "ASH-22", "B1", "30x 3 m").exit_code == 0
    assert run(where, "plan", "--accept").exit_code == 0
    entries = run(where, "entries", "--as", "csv").stdout
    assert "worth" in entries
    number = next(line.split(",")[0] for line in entries.splitlines() if ",worth," in line)
    undone = run(where, "undo", number)
    assert undone.exit_code == 0, undone.stderr
    assert used(asked) is None


def test_lengths_for_script_and_points_that_the_planner_reads(asked: Shop, where: str) -> None:
    rows = json.loads(run(where, "worth", "ASH-22", "-n", "--as", "json").stdout)
    assert set(rows[0]) == {"length_um", "worth_um", "default_um"}
    points = json.loads(run(where, "worth", "ASH-22", "--points").stdout)
    assert [(row["length_um"], row["worth_um"]) for row in rows] == [
        (round(x * 1000), round(w * 1000)) for x, w in points
    ]
    problem = {
        "rules": {"cut_allowance_mm": 5, "end_trim_mm": 10, "keep_mm": 300},
        "pieces": [{"id": "S", "profile": "ASH-22", "batch": "b", "kind": "stick",
                    "length_mm": 3000}],
        "frames": [{"id": "F", "profile": "ASH-22", "rails_mm": [600, 600, 600, 600]}],
        "worth": {"ASH-22": points},
    }  # fmt: skip
    planned = subprocess.run(
        [sys.executable, "-m", "planner"], input=json.dumps(problem), text=True,
        capture_output=True, check=False,
    )  # fmt: skip
    assert planned.returncode == 0, planned.stderr
    assert json.loads(planned.stdout)["reached"]["frames_cut"] == 1


def test_a_profile_that_nobody_asked_for_has_the_default(shop: Shop, where: str) -> None:
    done = run(where, "worth", "LEAF-40", "-n")
    assert done.exit_code == 0, done.stderr
    assert "learned from 0 frames; they weigh 0 %, the default 100 %" in " ".join(
        done.stderr.split()
    )


def test_an_unknown_profile_is_refused(shop: Shop, where: str) -> None:
    assert run(where, "worth", "NONE-1").exit_code == 11


def test_all_profiles_that_were_asked_for_are_learned_at_once(asked: Shop, where: str) -> None:
    assert run(where, "take", "--customer", "A", "-p", "LEAF-40", "-w", "300", "--height", "300",
               "--due", "2026-11-23").exit_code == 0  # fmt: skip
    named = json.loads(run(where, "worth", "--all", "--points").stdout)
    assert list(named) == ["ASH-22", "LEAF-40"]
    assert named["ASH-22"] == json.loads(run(where, "worth", "ASH-22", "--points").stdout)
    assert worth_curves(asked, ["ASH-22", "LEAF-40"]) == {}
    rows = json.loads(run(where, "worth", "--all", "--as", "json").stdout)
    assert [(row["profile"], row["frames"], row["share_percent"]) for row in rows] == [
        ("ASH-22", 80, 89), ("LEAF-40", 1, 2)]  # fmt: skip
    assert set(worth_curves(asked, ["ASH-22", "LEAF-40"])) == {"ASH-22", "LEAF-40"}


def test_the_old_books_jobs_are_learned_from_too(shop: Shop, where: str, tmp_path: Path) -> None:
    del shop
    past = tmp_path / "past.csv"
    past.write_text("day,profile,width,height,quantity\n2026-05-04,ASH-22,565,565,30\n"
                    "2026-06-01,LEAF-40,300,300,2\n", "utf-8")  # fmt: skip
    assert run(where, "load-past", str(past)).exit_code == 0
    rows = json.loads(run(where, "worth", "--all", "-n", "--as", "json").stdout)
    assert [(row["profile"], row["frames"]) for row in rows] == [("ASH-22", 30), ("LEAF-40", 2)]
    said = " ".join(run(where, "worth", "ASH-22", "-n").stderr.split())
    assert "learned from 30 frames of 2026-05-04 to 2026-05-04; they weigh 75 %" in said


def test_a_profile_or_all_is_named_and_not_both(shop: Shop, where: str) -> None:
    assert run(where, "worth").exit_code == 12
    assert run(where, "worth", "ASH-22", "--all").exit_code == 12
