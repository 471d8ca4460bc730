"""One supplier by command: shown, changed and added, all of it or nothing."""

import csv
import io
from pathlib import Path

import pytest

from tests.stockroom.cli.bench import everything, run


def cells(where: str, code: str) -> dict[str, str]:
    """What a supplier's file would say of it."""
    printed = run(where, "supplier", code, "--as", "csv").stdout
    return {row["name"]: row["value"] for row in csv.DictReader(io.StringIO(printed))}


def first(where: str) -> str:
    """The code of a supplier that the shop knows."""
    return run(where, "suppliers", "--as", "csv").stdout.splitlines()[1].split(",")[0]


def test_terms_are_changed_and_said(shop: object, where: str) -> None:
    code = first(where)
    before = cells(where, code)
    done = run(where, "supplier", code.lower(), "--set", "lead_days=9", "--set",
               "delivery-day=wed", "--set", "free_carriage=350", "--why", "new list")  # fmt: skip
    assert done.exit_code == 0, done.stderr
    assert f"lead_days: {before['lead_days'] or 'none'} -> 9" in done.stderr
    assert "free_carriage: " in done.stderr
    after = cells(where, code)
    changed = {"lead_days": "9", "delivery_day": "Wednesday", "free_carriage": "350.00"}
    assert after == {**before, **changed}
    assert "new list" in run(where, "entries").stdout
    taken = run(where, "supplier", code, "--set", "lead_days=")
    assert taken.exit_code == 0
    assert cells(where, code)["lead_days"] == ""
    same = run(where, "supplier", code, "--set", "delivery_day=Wednesday")
    assert "nothing is changed by that" in same.stderr


def test_a_supplier_is_added_once(shop: object, where: str) -> None:
    made = run(where, "supplier", "gull", "--new", "--set", "name=Gull Lane", "--set",
               "cut_fee=2.50")  # fmt: skip
    assert made.exit_code == 0, made.stderr
    assert cells(where, "GULL")["cut_fee"] == "2.50"
    again = run(where, "supplier", "GULL", "--new", "--set", "name=Other")
    assert again.exit_code == 12
    assert "supplier GULL exists already" in again.stderr


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["NONE"], 11, "supplier"),
        (["--set", "lead_days"], 12, "NAME=VALUE, such as lead_days=7"),
        (["--set", "colour=red"], 11, "value of a supplier"),
        (["--set", "code=X"], 12, "stays what it is"),
        (["--set", "lead_days=soon"], 10, "a whole number such as 3"),
        (["--set", "delivery_day=Someday"], 10, "a day of the week"),
        (["--set", "order_minimum=lots"], 10, "lots"),
        (["--set", "name="], 12, "a supplier keeps a name"),
        (["NEW", "--new"], 12, "give --set name="),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_changed(
    shop: object, where: str, tmp_path: Path, words: list[str], code: int, said: str
) -> None:
    (tmp_path / "kept").mkdir()
    before = everything(where, tmp_path / "kept")
    named = words if not words[0].startswith("-") else [first(where), *words]
    refused = run(where, "supplier", *named)
    assert refused.exit_code == code, refused.stderr
    assert said in refused.stderr
    assert everything(where, tmp_path / "kept") == before
