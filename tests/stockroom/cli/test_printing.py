"""Paper by command: the cut sheet, labels on any sheet, and what a scanned code opens."""

import io
import os
from pathlib import Path

import pdfplumber
import pytest

from tests.stockroom.cli.bench import run


def text_of(file: Path) -> str:
    """The words of a PDF."""
    with pdfplumber.open(io.BytesIO(file.read_bytes())) as pdf:
        return " ".join(" ".join(page.extract_text() for page in pdf.pages).split())


@pytest.fixture
def planned(shop: object, where: str) -> str:
    """A shop with a draft: a frame of ASH-22 from two sticks."""
    for words in (["receive", "ASH-22", "B1", "2x 3 m", "--at", "A1"],
                  ["take", "--customer", "R. Aldous", "-p", "ASH-22", "-w", "900",
                   "--height", "600", "--due", "2026-11-23"], ["plan"]):  # fmt: skip
        assert run(where, *words).exit_code == 0
    return where


@pytest.fixture
def labels_folder(where: str, own_folder: Path) -> Path:
    """Where this record's labels are written."""
    return (own_folder if "://" in where else Path(where).parent) / "labels"


def test_only_an_accepted_plan_has_a_cut_sheet(planned: str, tmp_path: Path) -> None:
    file = tmp_path / "plan.pdf"
    refused = run(planned, "sheet", "1", str(file))
    assert refused.exit_code == 12
    assert "plan 1 is proposed; only an accepted plan is cut" in refused.stderr
    assert not file.exists()
    assert run(planned, "accept").exit_code == 0
    done = run(planned, "sheet", "1", str(file), "--page", "letter")
    assert done.exit_code == 0
    assert "print it at 100 %" in done.stderr
    said = text_of(file)
    assert "accepted, for frames due by Mon 2026-11-23" in said
    assert "Plan 1, page 1 of 1" in said
    assert "A1 1 ASH-22, batch B1 stick 3000" in said
    listed = run(planned, "sheet", "1", str(tmp_path / "stops.pdf"), "--stops")
    assert "The stop list of plan 1 is in" in listed.stderr
    assert "ASH-22: the stop reads long point" in text_of(tmp_path / "stops.pdf")
    kept = file.read_bytes()
    assert run(planned, "sheet", "1", str(file)).exit_code == 15
    assert file.read_bytes() == kept
    for words, code in ((["9", str(tmp_path / "b.pdf")], 11), (["1", str(tmp_path / "b.txt")], 10),
                        (["1", str(tmp_path / "b.pdf"), "--page", "a5"], 10)):  # fmt: skip
        assert run(planned, "sheet", *words).exit_code == code
    assert not (tmp_path / "b.pdf").exists()


def test_new_offcuts_get_their_labels_by_themselves(planned: str, labels_folder: Path) -> None:
    assert run(planned, "accept").exit_code == 0
    cut = run(planned, "cut", "--as-planned")
    assert cut.exit_code == 0
    (file,) = labels_folder.glob("*.pdf")
    assert file.name == "labels-3-4.pdf"
    assert f"2 labels in {file}, from label 1 of the sheet; the next ones begin at 3." in cut.stderr
    words = text_of(file)
    assert "3 4" in words
    assert words.count("ASH-22 B1") == words.count("offcut 1409.5 mm") == 2
    again = run(planned, "labels", "--plan", "1")
    assert again.exit_code == 0
    assert "from label 3 of the sheet; the next ones begin at 5." in again.stderr


def test_labels_can_be_left_out(planned: str, labels_folder: Path) -> None:
    assert run(planned, "accept").exit_code == 0
    assert run(planned, "cut", "--as-planned", "--no-labels").exit_code == 0
    assert not labels_folder.exists()


def test_a_cut_stands_though_its_labels_cannot_be_printed(
    planned: str, labels_folder: Path
) -> None:
    labels_folder.parent.mkdir(parents=True, exist_ok=True)
    labels_folder.write_text("a file in the way")
    assert run(planned, "accept").exit_code == 0
    cut = run(planned, "cut", "--as-planned")
    assert cut.exit_code == 0
    assert "No labels were printed:" in cut.stderr
    assert "Plan 1 is finished." in cut.stderr


def test_labels_go_on_where_the_last_ones_ended(planned: str, labels_folder: Path) -> None:
    assert run(planned, "settings", "labels", "a4 3x7 of 63.5x38.1 from 7.2x15.1 every 66x38.1"
               ).exit_code == 0  # fmt: skip
    for words, first, after in ((["1"], 1, 2), (["1..2"], 2, 4), (["2", "--start", "21"], 21, 1),
                                (["1", "2"], 1, 3)):  # fmt: skip
        done = run(planned, "labels", *words)
        assert done.exit_code == 0, done.stderr
        assert f"from label {first} of the sheet; the next ones begin at {after}." in done.stderr
    (labels_folder / "next-label.txt").write_text("twelve")
    assert "from label 1 of the sheet" in run(planned, "labels", "1").stderr
    assert run(planned, "settings", "labels", "roll 62x29").exit_code == 0
    rolled = run(planned, "labels", "2")
    assert rolled.exit_code == 0
    assert "of the sheet" not in rolled.stderr


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["77"], 12, "not on the rack: 77"),
        (["x"], 10, "numbers such as 3 4 7..12"),
        (["2..1"], 10, "numbers such as 3 4 7..12"),
        (["1..99999999"], 10, "numbers such as 3 4 7..12"),
        (["1", "--start", "31"], 10, "a label of the sheet, from 1 to 30"),
        (["1", "--start", "0"], 10, "a label of the sheet, from 1 to 30"),
        (["1", "--to", "x.png"], 10, "a name that ends in .pdf"),
        (["--plan", "9"], 11, "plan"),
    ],
)
def test_labels_that_cannot_be_are_refused(
    planned: str, labels_folder: Path, words: list[str], code: int, said: str
) -> None:
    refused = run(planned, "labels", *words)
    assert refused.exit_code == code
    assert said in refused.stderr
    assert not labels_folder.exists()


def test_the_grid_is_written_where_told(planned: str, tmp_path: Path) -> None:
    file = tmp_path / "grid.pdf"
    assert run(planned, "labels", "--grid", "--to", str(file)).exit_code == 0
    assert "each ruler: 100 mm" in text_of(file)
    assert run(planned, "labels", "--grid", "--to", str(file)).exit_code == 15


def test_a_scanned_code_opens_what_it_stands_for(planned: str) -> None:
    for code, said in (("P1", "Plan 1, proposed"), ("p1", "Plan 1, proposed"), ("J1", "R. Aldous"),
                       ("1", "stick 1, ASH-22 B1")):  # fmt: skip
        opened = run(planned, "scan", code)
        assert opened.exit_code == 0
        assert said in opened.stdout
    for code, exit_code in (("P9", 11), ("9", 11), ("J9", 11), ("hello", 10), ("P", 10)):
        assert run(planned, "scan", code).exit_code == exit_code


def test_a_scanner_may_read_code_after_code(planned: str) -> None:
    read = run(planned, "scan", typed="P1\nnonsense\n2\n\n")
    assert read.exit_code == 0
    assert "Plan 1, proposed" in read.stdout
    assert "stick 2, ASH-22 B1" in read.stdout
    assert "cannot read 'nonsense'" in read.stderr
    ended = run(planned, "scan", typed="P1\n")
    assert ended.exit_code == 0
    assert "Plan 1, proposed" in ended.stdout


def test_a_name_with_no_room_for_it_is_refused(planned: str) -> None:
    missing = os.path.join(os.devnull, "plan.pdf")
    assert run(planned, "accept").exit_code == 0
    refused = run(planned, "sheet", "1", missing)
    assert refused.exit_code == 15
    assert os.devnull in refused.stderr


def test_the_weeks_list_and_an_order_are_printed(planned: str, tmp_path: Path) -> None:
    week, order = tmp_path / "week.pdf", tmp_path / "order.pdf"
    done = run(planned, "order", "--print", str(week))
    assert done.exit_code == 0, done.stderr
    assert "To order is in" in done.stderr
    words = text_of(week)
    assert "To order week of 2026-11-23" in words
    assert "profile sticks rather of price why" in words
    drafted = run(planned, "orders", "draft", first_supplier(planned), "ASH-22=2")
    assert drafted.exit_code == 0, drafted.stderr
    printed = run(planned, "orders", "show", "1", "--print", str(order), "--page", "letter")
    assert printed.exit_code == 0, printed.stderr
    assert "Order 1" in text_of(order)
    assert "ASH-22 ash 2" in text_of(order)
    for words_, code in ((["order", "--print", str(week)], 15),
                         (["order", "--print", str(tmp_path / "a.txt")], 10),
                         (["orders", "show", "1", "--print", str(tmp_path / "b.pdf"),
                           "--page", "a9"], 10)):  # fmt: skip
        assert run(planned, *words_).exit_code == code
    assert sorted(path.name for path in tmp_path.glob("*.pdf")) == ["order.pdf", "week.pdf"]


def first_supplier(where: str) -> str:
    """The code of a supplier that the shop knows."""
    return run(where, "suppliers", "--as", "csv").stdout.splitlines()[1].split(",")[0]


def test_bad_paper_is_refused_before_anything_is_reckoned(planned: str, tmp_path: Path) -> None:
    pdf = str(tmp_path / "b.pdf")
    for words in (["order", "--draft", "--print", str(tmp_path / "a.txt")],
                  ["order", "--draft", "--print", pdf, "--page", "a9"]):  # fmt: skip
        refused = run(planned, *words)
        assert refused.exit_code == 10
        assert refused.stdout == ""
    listed = run(planned, "orders", "list")
    assert listed.exit_code == 0
    assert "No order is drafted or placed." in listed.stderr
    asked = run(planned, "accept")
    assert "stockroom cut 1; on paper: stockroom sheet 1" in asked.stderr
