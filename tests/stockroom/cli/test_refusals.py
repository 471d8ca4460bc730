"""Bad input: one clear line that says what was read and what to do, a code of ours, no trace."""

import sqlite3
from pathlib import Path

import pytest

from stockroom.services.shop import Shop, set_up
from tests.stockroom.cli.bench import everything, process, run
from tests.stockroom.conftest import MONDAY

PLENTY = ("--due", "2026-11-30", "--customer", "R. Aldous")
REFUSED = [
    ("receive ASH-22 B7 1/0", 10, "cannot read '1/0'; accepted: a fraction with in"),
    ("receive ASH-22 B7|3 4/2 1", 10, "cannot read '3 4/2 1'"),
    ("receive ASH-22 B7 24\"mm", 10, "cannot read '24\"mm'"),
    ("receive ASH-22 B7 nan", 10, "cannot read 'nan'"),
    ("receive ASH-22 B7 -- -2", 10, "cannot read '-2'"),
    ("receive ASH-22 B7 500", 12, "500 mm is unlikely for a stick of ASH-22 (3000 mm)"),
    ("receive ASH-23 B7 3m", 11, "did you mean ASH-22"),
    ("receive ASH-22 B* 3m", 12, "cannot be the code of a batch"),
    ("find --over abc", 10, "cannot read 'abc'"),
    ("find --as xml", 10, "table or csv or json"),
    ("find LEAF-4", 11, "did you mean LEAF-40"),
    ("flaw 1 5m 6m", 12, "is not inside a piece of 3000 mm"),
    ("flaw 77 1cm 2cm", 11, "there is no piece '77'"),
    ("remeasure 1 0 --why x", 12, "write it off if nothing is left"),
    ("write-off 77 --why x", 11, "there is no piece '77'"),
    ("undo 999", 11, "999"),
    ("settings kerf lots", 10, "cannot read 'lots'"),
    ("settings kerfs 3", 11, "did you mean kerf"),
    ("settings step \u0661\u0666", 10, "0.5 mm or 1 mm"),
    ("settings timezone Mars/Base", 10, "a time zone's name"),
    ("take -p ASH-22 -w 3m --height 40cm", 12, "is longer than any stick of ASH-22"),
    ("take -p ASH-22 -w 30cm --height 40cm --due 2026-11-01", 12,
     "is past; today is Mon 2026-11-23"),
    ("take -p ASH-22 -w 30cm --height 40cm --due 2026-13-01", 10, "a day such as 2026-12-04"),
    ("take -p FLOAT-12 -w 30cm --height 40cm --depth 5cm", 12, "--proud"),
    ("take -p ASH-22 -w 30cm --height 40cm -n 0", 12, "take 1 to 500"),
    ("take -p ASH-22 -w 30cm", 12, "a job needs its height"),
    ("take -p ASH-2 -w 30cm --height 40cm", 11, "did you mean ASH-22"),
    ("take -p ASH-22 -w 30cm/x --height 40cm", 10, "cannot read"),
    ("hold J9", 11, "there is no job 'J9'; see: stockroom jobs --all"),
    ("cancel J9 --why x", 11, "there is no job 'J9'"),
    ("change J9 -w 20cm", 11, "there is no job 'J9'"),
    ("plan", 12, "no frame waits to be cut by 2026-11-23"),
    ("plan --leave-alone 99", 11,
     "there is no piece on the rack '99'; see what is there: stockroom find"),
    ("plan --pin J9=1", 12, "J9 is not waiting to be cut"),
    ("accept", 12, "there is no proposed plan; stockroom plan"),
    ("accept 9", 11, "there is no plan '9'"),
    ("cut", 12, "there is no accepted plan; stockroom plan"),
    ("show 9", 11, "there is no plan '9'"),
    ("cut 9", 11, "there is no plan '9'"),
    ("cut 9 --as-planned", 11, "there is no plan '9'"),
    ("settings large_length 20", 10, "accepted: 2000 mm or more, such as 30 m, or none"),
    ("profile ASH-22 --set face=3mm", 12, "its rabbet of 6 mm is as wide as its face of 3 mm"),
    ("profile ASH-22 --set facw=3mm", 11, "did you mean face?"),
    ("profile ASH-22 --set end_trim=2m", 12, "no longer than its two end trims"),
    ("profile ASH-22 --new --set face=2cm", 12, "a new profile needs supplier"),
    ("--day sometime jobs", 10, "a day such as 2026-12-04"),
]  # fmt: skip


@pytest.fixture
def stocked(shop: Shop, where: str) -> str:
    """The shop of the tests with one stick."""
    assert run(where, "receive", "ASH-22", "B7", "3 m").exit_code == 0
    return where


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
@pytest.mark.parametrize(("typed", "code", "words"), REFUSED, ids=[r[0] for r in REFUSED])
def test_bad_input_gets_one_line_a_code_and_leaves_no_trace(
    stocked: str, tmp_path: Path, typed: str, code: int, words: str
) -> None:
    before = everything(stocked, tmp_path)
    words_typed, _, last = typed.partition("|")
    given = [*words_typed.split(), *([last] if last else [])]
    if "take" in given and "--due" not in given:
        given += PLENTY
    elif "take" in given:
        given += PLENTY[2:]
    done = run(stocked, *given)
    assert (done.exit_code, done.stdout) == (code, "")
    assert words in done.stderr
    assert 0 < len(done.stderr.strip()) < 400
    assert done.stderr.count("\n") == 1
    assert everything(stocked, tmp_path) == before


def broken(folder: Path, kind: str) -> Path:
    """A shop's file with something wrong."""
    path = folder / "shop.db"
    if kind == "a text":
        path.write_text("piece,length\n1,300\n", "utf-8")
    elif kind == "another program's":
        with sqlite3.connect(path) as other:
            other.execute("CREATE TABLE invoice (id INTEGER)")
        other.close()
    elif kind == "a folder":
        path.mkdir()
    elif kind in ("from a newer version", "half a file"):
        set_up(str(path), "ada", {}, MONDAY).engine.dispose()
        if kind == "half a file":
            path.write_bytes(path.read_bytes()[:9000])
        else:
            with sqlite3.connect(path) as newer:
                newer.execute("UPDATE alembic_version SET version_num = '9999'")
            newer.close()
    return path


@pytest.mark.parametrize(
    ("kind", "words"),
    [("missing", "make one: stockroom setup"), ("a text", "not a shop's record"),
     ("another program's", "not a shop's record"), ("a folder", "cannot be opened"),
     ("from a newer version", "newer"), ("half a file", "restore the last good backup")],
)  # fmt: skip
def test_a_file_that_is_no_record_of_ours_is_refused_and_left_as_it_is(
    tmp_path: Path, kind: str, words: str
) -> None:
    path = broken(tmp_path, kind)
    before = path.read_bytes() if path.is_file() else None
    for command in (("jobs",), ("receive", "ASH-22", "B7", "3 m")):
        done = run(str(path), *command)
        assert (done.exit_code, done.stdout) == (15, "")
        assert words in done.stderr
        assert str(path) in done.stderr
    assert (path.read_bytes() if path.is_file() else None) == before


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_a_command_that_waits_for_a_lock_says_so_and_gives_up(stocked: str) -> None:
    with sqlite3.connect(stocked, isolation_level=None) as other:
        other.execute("BEGIN IMMEDIATE")
        done = process(stocked, "--wait", "0.5", "receive", "ASH-22", "B7", "3 m")
        other.execute("ROLLBACK")
    other.close()
    assert (done.returncode, done.stdout) == (14, "")
    assert "another command is writing" in done.stderr
    assert "Traceback" not in done.stderr


BAD_FILES = {
    "a wrong header": (b"customer,profil,width\nx,ASH-22,1\n", "column"),
    "a wrong encoding": ("customer,profile,width,height,due\nM\u00fcl,ASH-22,1,1,x\n"
                         .encode("latin-1"), "UTF-8"),
    "a formula": (b"customer,profile,width,height,due\n=1+1,ASH-22,300,400,2026-11-30\n",
                  "row 2"),
    "nothing": (b"", "row 1: the column 'customer' is missing"),
    "a past day": (b"customer,profile,width,height,due\nA,ASH-22,300,400,2026-11-01\n",
                   "row 2: the due date Sun 2026-11-01 is past"),
    "a doubtful code": (b"customer,profile,width,height,due\nA,ASH-2,300,400,2026-11-30\n",
                        "row 2: there is no profile 'ASH-2'; did you mean ASH-22"),
}  # fmt: skip


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
@pytest.mark.parametrize("kind", BAD_FILES)
def test_a_file_with_a_fault_takes_nothing_in(stocked: str, tmp_path: Path, kind: str) -> None:
    content, words = BAD_FILES[kind]
    good = b"B,ASH-22,300,400,2026-11-30\n" if content else b""
    path = tmp_path / "jobs.csv"
    path.write_bytes(content + good)
    before = everything(stocked, tmp_path)
    done = run(stocked, "take-file", str(path))
    assert (done.exit_code, done.stdout) == (16, "")
    assert words in done.stderr
    assert everything(stocked, tmp_path) == before


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_the_good_rows_of_a_file_are_taken_when_that_is_asked(stocked: str, tmp_path: Path) -> None:
    path = tmp_path / "jobs.csv"
    path.write_text("customer,profile,width,height,due\nA,ASH-2,300,400,2026-11-30\n"
                    "B,ASH-22,300,400,2026-11-30\n", "utf-8")  # fmt: skip
    done = run(stocked, "take-file", str(path), "--good-rows")
    assert (done.exit_code, "row 2:" in done.stderr, "1 job taken in" in done.stderr) == (
        0, True, True)  # fmt: skip
