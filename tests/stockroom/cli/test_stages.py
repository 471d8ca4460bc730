"""After the saw: joined, fitted, ready, collected, a word each; who is late, and whom to call."""

import json
from pathlib import Path

import pytest

from stockroom.services.shop import Shop
from tests.stockroom.cli.bench import run


@pytest.fixture
def cut_jobs(shop: Shop, where: str) -> Shop:
    """A shop with J1 cut, for a customer with a phone, and J2 open; both due on Monday."""
    take = ("-p", "ASH-22", "-w", "400", "--height", "300", "--due", "2026-11-23")
    for words in (("take", "--customer", "R. Aldous", "--phone", "0555 12 34", *take),
                  ("receive", "ASH-22", "B1", "2x 3000"), ("plan", "--accept"),
                  ("cut", "--as-planned", "--no-labels"),
                  ("take", "--customer", "B. Ide", *take)):  # fmt: skip
        done = run(where, *words)
        assert done.exit_code == 0, done.output
    return shop


def states(where: str, *more: str) -> dict[str, str]:
    """The jobs of a list with their states."""
    return {row["job"]: row["state"]
            for row in json.loads(run(where, *more, "jobs", "--as", "json").stdout)}  # fmt: skip


def test_a_job_goes_from_the_saw_to_its_customer_a_word_each(cut_jobs: Shop, where: str) -> None:
    # A shop that does not say what becomes of its jobs sees none after it is cut.
    assert states(where) == {"J2": "open"}
    for word in ("joined", "fitted"):
        assert f"J1 is {word}." in run(where, word, "J1").output
        assert states(where)["J1"] == word
    assert "call R. Aldous, 0555 12 34: J1" in run(where, "ready", "j1").output
    assert "Ready to be collected: J1 R. Aldous" in run(where).output
    assert run(where, "collected", "1").exit_code == 0
    assert states(where) == {"J2": "open"}
    assert run(where, "undo").exit_code == 0
    assert states(where)["J1"] == "ready"
    again = run(where, "joined", "J1")
    assert (again.exit_code, "J1 is ready already" in again.output) == (13, True)


def test_jobs_that_are_not_cut_are_not_joined_and_none_of_several_is(
    cut_jobs: Shop, where: str
) -> None:
    assert "J2 is not cut yet" in run(where, "joined", "J1", "J2").output
    assert states(where) == {"J2": "open"}


def test_a_cut_that_is_joined_is_not_undone_under_it(cut_jobs: Shop, where: str) -> None:
    run(where, "joined", "J1")
    cut = next(row["entry"] for row in json.loads(run(where, "entries", "--as", "json").stdout)
               if row["kind"] == "cut")  # fmt: skip
    assert "is built on by" in run(where, "undo", str(cut)).output
    assert run(where, "afresh", "J1").exit_code == 0
    assert states(where)["J1"] == "open"


def test_the_late_list_names_phones_and_leaves_out_what_is_ready(
    cut_jobs: Shop, where: str
) -> None:
    run(where, "joined", "J1")
    late = run(where, "--day", "2026-11-25", "jobs", "--late").output
    assert "0555 12 34" in late
    assert "2 days late" in late
    run(where, "ready", "J1")
    assert "J1" not in run(where, "--day", "2026-11-25", "jobs", "--late").output


def test_a_phone_reaches_the_list_the_file_and_the_ticket(
    cut_jobs: Shop, where: str, tmp_path: Path
) -> None:
    assert run(where, "change", "J2", "--phone", "0777 1").exit_code == 0
    assert "0777 1" in run(where, "job", "J2").output
    run(where, "save", "jobs", str(tmp_path / "jobs.csv"))
    assert "0777 1" in (tmp_path / "jobs.csv").read_text()
    assert run(where, "ticket", "J1", str(tmp_path / "J1.pdf")).exit_code == 0
    assert "0555 12 34" in pdf_text(tmp_path / "J1.pdf")


def pdf_text(path: Path) -> str:
    """The words of a PDF."""
    import pdfplumber

    with pdfplumber.open(path) as pdf:
        return "\n".join(page.extract_text() for page in pdf.pages)
