"""The shop's numbers by command, from a plan that was cut, one rail of it badly."""

import json
from pathlib import Path

import pytest

from tests.stockroom.cli.bench import run


@pytest.fixture
def cut(shop: object, where: str) -> str:
    """A shop where a frame's four rails of 600 mm and more were cut, one of them badly."""
    for words in (["receive", "ASH-22", "B1", "2x 3 m", "--at", "A1"],
                  ["take", "--customer", "A", "-p", "ASH-22", "-w", "590", "--height", "590",
                   "--due", "2026-11-23"], ["plan", "--accept"],
                  ["cut", "--piece", "1", "--miscut", "1=0", "--no-labels"]):  # fmt: skip
        done = run(where, *words)
        assert done.exit_code == 0, done.stderr
    return where


def rows(where: str, *words: str) -> list[dict[str, object]]:
    """A list as scripts get it."""
    found: list[dict[str, object]] = json.loads(
        run(where, "numbers", *words, "--as", "json").stdout
    )
    return found


@pytest.mark.parametrize("by", ["profile", "supplier", "week"])
def test_what_was_cut_adds_up(cut: str, by: str) -> None:
    (row,) = rows(cut, "waste", "--by", by)
    lost = {str(r["cause"]): int(str(r["length_um"])) for r in rows(cut, "waste", "--by", "cause")}
    assert lost["miscut"] * 3 == row["rails_um"]
    assert row["saw_um"] == lost.pop("cutting loss")
    assert row["scrap_um"] == sum(lost.values())
    (rack,) = rows(cut, "rack", "--by", "profile")
    counted = [int(str(row[name])) for name in ("rails_um", "saw_um", "scrap_um")]
    assert sum(counted) + int(str(rack["length_um"])) == 6_000_000
    assert row["waste_percent"] == round(100 * sum(counted[1:]) / sum(counted), 1)
    assert row["yield_percent"] == pytest.approx(100 - float(str(row["waste_percent"])))


def test_days_bound_what_is_counted(cut: str) -> None:
    assert rows(cut, "waste", "--since", "2026-11-24") == []
    assert rows(cut, "waste", "--until", "2026-11-22") == []
    assert len(rows(cut, "waste", "--since", "2026-11-23", "--until", "2026-11-23")) == 1
    wrong = run(cut, "numbers", "waste", "--since", "2026-11-24", "--until", "2026-11-23")
    assert wrong.exit_code == 12
    assert "no day lies between" in wrong.stderr
    none = run(cut, "numbers", "waste", "--since", "2026-11-24")
    assert none.exit_code == 0
    assert "Nothing was cut in that time." in none.stderr


def test_tables_have_bars_and_files_have_none(cut: str) -> None:
    shown = run(cut, "numbers", "waste", "--by", "cause").stdout.splitlines()
    assert max(line.count("█") for line in shown) == 14
    table = run(cut, "numbers", "rack").stdout
    assert "under 30 days" in table
    assert "█" * 14 in table
    listed = run(cut, "numbers", "waste", "--as", "csv").stdout.splitlines()
    assert listed[0] == (
        "profile,rails_um,saw_um,scrap_um,lost_minor,unpriced_um,yield_percent,waste_percent"
    )


def test_one_cause_or_one_profile_alone(cut: str) -> None:
    (week,) = rows(cut, "waste", "--by", "week", "--cause", "Miscut")
    lost = {row["cause"]: row["length_um"] for row in rows(cut, "waste", "--by", "cause")}
    assert (week["week"], week["length_um"]) == ("2026-11-23", lost["miscut"])
    assert rows(cut, "waste", "-p", "ash-22") == rows(cut, "waste")
    assert rows(cut, "waste", "-p", "LEAF-40") == []
    for words in (["--cause", "moon"], ["-p", "NONE-1"]):
        assert run(cut, "numbers", "waste", *words).exit_code == 11


def test_what_has_no_price_is_blank_and_said(cut: str) -> None:
    for code in ("FLOAT-12", "ASH-22"):
        assert run(cut, "receive", code, "B1", "3 m").exit_code == 0
    shown = run(cut, "numbers", "rack", "--by", "profile")
    (floated,) = [line for line in shown.stdout.splitlines() if line.startswith("FLOAT-12")]
    assert "$" not in floated
    assert "the price is not known" in shown.stderr
    assert " +" in run(cut, "numbers", "rack").stdout
    bare, priced = sorted(
        rows(cut, "rack", "--by", "profile"), key=lambda r: str(r["money_minor"])
    )[::-1]
    assert (bare["money_minor"], bare["unpriced_um"]) == (None, 3_000_000)
    assert priced["unpriced_um"] == 0


def test_what_was_undone_counts_on_neither_of_its_days(cut: str) -> None:
    assert run(cut, "undo").exit_code == 0
    assert rows(cut, "waste") == []


def test_numbers_are_drawn_to_new_files(cut: str, tmp_path: Path) -> None:
    for words, starts in ((["waste", "--by", "cause"], b"<?xml"), (["rack"], b"\x89PNG"),
                          (["waste", "--by", "week"], b"<?xml")):  # fmt: skip
        file = tmp_path / f"{len(words)}{starts[1:4].decode('ascii', 'ignore')}-{words[-1]}"
        file = file.with_suffix(".svg" if starts.startswith(b"<") else ".png")
        done = run(cut, "numbers", *words, "--chart", str(file))
        assert done.exit_code == 0, done.stderr
        assert file.read_bytes().startswith(starts)
        assert run(cut, "numbers", *words, "--chart", str(file)).exit_code == 15
    bad = run(cut, "numbers", "rack", "--chart", str(tmp_path / "a.gif"))
    assert bad.exit_code == 10
    assert not (tmp_path / "a.gif").exists()


@pytest.mark.parametrize("words", [["waste", "--by", "moon"], ["rack", "--by", "moon"]])
def test_an_unknown_way_to_count_is_refused(cut: str, words: list[str]) -> None:
    refused = run(cut, "numbers", *words)
    assert refused.exit_code == 10
    assert "cannot read 'moon'" in refused.stderr
