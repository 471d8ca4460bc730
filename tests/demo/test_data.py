"""The invented workshop's files: what they hold, and that they are made again byte for byte."""

import csv
from collections import Counter
from pathlib import Path

import pytest

from demo.make import FILES
from seeds import csv_path
from stockroom.files.csv_rows import FORMULA
from stockroom.units.lengths import parse_length

DEMO = Path(__file__).parents[2] / "demo"


def rows(path: Path) -> list[dict[str, str]]:
    """The rows of a CSV file."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


PROFILES = {row["code"]: row for row in rows(csv_path("profiles"))}


@pytest.mark.parametrize("name", FILES)
def test_the_files_are_made_again_byte_for_byte(name: str) -> None:
    assert (DEMO / name).read_bytes() == FILES[name]().encode()


def test_the_catalogue_has_profiles_of_three_makers_of_all_kinds() -> None:
    suppliers = {row["code"] for row in rows(csv_path("suppliers"))}
    assert len(PROFILES) >= 24
    assert {row["supplier"] for row in PROFILES.values()} == suppliers
    assert len(suppliers) == 3
    kinds = Counter((row["kind"], row["batch_matched"]) for row in PROFILES.values())
    assert {("rabbeted", "yes"), ("rabbeted", "no"), ("float", "yes"), ("float", "no")} <= set(
        kinds
    )


def test_the_rack_has_about_120_pieces_of_known_profiles() -> None:
    pieces = rows(DEMO / "rack.csv")
    assert 110 <= len(pieces) <= 130
    assert {row["profile"] for row in pieces} <= set(PROFILES)
    assert Counter(row["id"] for row in pieces).most_common(1)[0][1] == 1
    assert any(row["flaws"] for row in pieces)


def test_the_week_has_about_40_jobs_of_known_profiles() -> None:
    jobs = rows(DEMO / "jobs.csv")
    assert 38 <= len(jobs) <= 44
    assert {row["profile"] for row in jobs} <= set(PROFILES)
    assert {row["due"] for row in jobs} >= {f"2026-11-{day}" for day in range(23, 29)}
    assert any(row["mat"] for row in jobs)
    assert any(" / " in row["width"] for row in jobs)


def test_a_rabbet_is_narrower_than_its_face_and_a_float_has_a_recess() -> None:
    for row in PROFILES.values():
        face = parse_length(row["face"], "mm")
        if row["kind"] == "rabbeted":
            assert parse_length(row["rabbet_width"], "mm") < face
        else:
            assert parse_length(row["recess_depth"], "mm") > 0
            assert row["wall"] == row["face"]


def test_no_cell_would_run_as_a_formula() -> None:
    files = [DEMO / name for name in (*FILES, "workshop.csv")]
    files += [csv_path(name) for name in ("suppliers", "profiles")]
    for path in files:
        for row in rows(path):
            assert not [cell for cell in row.values() if cell.startswith(FORMULA)], path.name
