"""The cut without questions: by options and from a file, each piece whole or not at all."""

from pathlib import Path

import pytest

from stockroom.services.counter.job_list import job_row
from stockroom.services.morning.sheets import to_settle
from stockroom.services.rack.pieces import find
from stockroom.services.shop import Shop
from tests.stockroom.cli.bench import everything, run


@pytest.fixture
def cutting(shop: Shop, where: str) -> str:
    """A shop with plan 1 accepted: two sticks for one large frame."""
    for words in (["receive", "ASH-22", "B1", "2x 3 m", "--at", "A1"],
                  ["take", "--customer", "A", "-p", "ASH-22", "-w", "900", "--height", "900",
                   "--due", "2026-11-23"], ["plan", "--accept"]):  # fmt: skip
        assert run(where, *words).exit_code == 0
    return where


def file_of(folder: Path, *rows: str) -> str:
    """A file of what was cut."""
    path = folder / "cuts.csv"
    path.write_text("\n".join(["piece,outcome,miscut,leftover,at,why", *rows]) + "\n", "utf-8")
    return str(path)


def test_a_file_records_what_was_cut_without_a_question(
    cutting: str, shop: Shop, tmp_path: Path
) -> None:
    done = run(cutting, "cut", "--file", file_of(tmp_path, "1,cut,,1105 mm,C1,",
                                                 "2,not today,,,,end is split"))  # fmt: skip
    assert (done.exit_code, "Plan 1 is finished." in done.stderr) == (0, True), done.stderr
    assert {(p.id, p.spot, p.length) for p in find(shop)} == {
        (2, "A1", 3_000_000), (3, "C1", 1_105_000)}  # fmt: skip
    assert job_row(shop, "J1")[0].rails_waiting == 2


@pytest.mark.parametrize(
    ("row", "code", "words"),
    [("1,cut,9,,C1,", 16, "has rails 1 to 2 in this plan, not 9"), ("77,cut,,,,", 16, "piece 77"),
     ("1,cut,,5 m,,", 16, "piece 1 leaves 1110 mm by its plan; 5000 mm is far from it"),
     ("1,lost,,,,", 16, "row 3: outcome: cannot read 'lost'"),
     ("x,cut,,,,", 16, "row 3: piece: cannot read 'x'"),
     ("1,cut,two,,,", 16, "row 3: cannot read 'two'"),
     ("1,cut,,1/0 in,,", 16, "row 3: cannot read '1/0 in'")],
)  # fmt: skip
def test_a_row_that_is_refused_records_nothing_of_its_piece(
    cutting: str, shop: Shop, tmp_path: Path, row: str, code: int, words: str
) -> None:
    before = everything(cutting, tmp_path)
    done = run(cutting, "cut", "--file", file_of(tmp_path, "", row))
    assert (done.exit_code, done.stdout) == (code, "")
    assert words in done.stderr
    assert everything(cutting, tmp_path) == before
    assert to_settle(shop, 1) == [1, 2]


def test_the_rest_is_recorded_as_planned_and_labels_are_named(cutting: str, shop: Shop) -> None:
    done = run(cutting, "cut", "--as-planned")
    assert done.exit_code == 0
    assert "label 3: " in done.stderr
    assert "J1 has all its rails" in done.stderr
    assert job_row(shop, "J1")[0].state == "cut"


def test_another_piece_taken_is_recorded_in_place_of_the_planned_one(
    cutting: str, shop: Shop
) -> None:
    assert run(cutting, "receive", "ASH-22", "B1", "2990 mm", "--at", "A2").exit_code == 0
    done = run(cutting, "cut", "--piece", "1", "--instead", "3", "--flaw", "100 mm..150 mm")
    assert done.exit_code == 0, done.stderr
    # Rails of 900 + 3 + 2 (22 - 6) = 935 mm; 2990 - 2 10 - 2 935 - 2 5.026 = 1089.948 mm left.
    assert {p.id: (p.length, p.held_by, p.flaws) for p in find(shop)} == {
        1: (3_000_000, None, ()),
        2: (3_000_000, 1, ()),
        4: (1_099_948, None, ((100_000, 150_000),)),
    }
