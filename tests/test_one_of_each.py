"""What has one value in the house has no second one: units, cutters, prices, columns of CSV files,
an entry that stands."""

import re
from functools import cache

from stockroom.frame.cutters import CUTTERS
from stockroom.units.shop_unit import SHOP_UNITS
from tests.test_architecture import ROOT, modules, named

NAMES = "|".join([*SHOP_UNITS, *CUTTERS])
BY_NAME = rf"(?:unit|cutter)\W{{0,4}}\s*[!=]==?\s*[\"'](?:{NAMES})[\"']"
"""A unit or a cutter that is asked for by its name."""
PER_UNIT = rf"[{{,] *[\"']?(?:{'|'.join(SHOP_UNITS)})[\"']?: ?[\d\"'.]"
"""A table that has something for units by their names."""


@cache
def texts() -> dict[str, str]:
    """The text of every module of the shop; migrations are of their day."""
    return {named(path): path.read_text(encoding="utf-8")
            for path in modules("stockroom") if ".migrations" not in named(path)}  # fmt: skip


def found_in(pattern: str) -> set[str]:
    """The modules whose text has this."""
    return {name.removeprefix("stockroom.") for name, text in texts().items()
            if re.search(pattern, text)}  # fmt: skip


def test_an_entry_that_stands_is_told_by_one_predicate_and_what_undid_it_by_one_question() -> None:
    assert found_in(r"col\(\w+\.reverses\)|Entry\.reverses|\.reverses [!=]=") == {"record.ledger"}
    # The audit shares nothing with what it proves; a repeated command is told who undid it.
    assert found_in(r"\.reverses( =|\b.*IS )") == {"record.audit", "record.database"}


def test_what_a_profile_costs_is_read_in_the_catalogue_alone() -> None:
    assert found_in(r"\.(stick|metre)_price_minor") == {"record.catalogue"}


def test_each_csv_file_is_read_by_its_table_of_columns() -> None:
    readers = found_in(r"[^_\w]read_rows\(path") - {"files.csv_rows"}
    by_tables = r"read_rows\(path, [^\n]*names_of\([\w.]+\)\)"
    assert readers == found_in(by_tables) != set()
    assert found_in(r"csv\.(reader|Dict)") == {"files.csv_rows"}
    assert found_in(r"csv\.writer") == {"files.csv_rows", "screens.lists"}


def test_a_unit_and_a_cutter_are_rows_of_their_tables_and_known_by_name_nowhere() -> None:
    assert found_in(r"\b(25_?400|304_?800)\b") == {"units.lengths"}
    assert found_in(BY_NAME) == set()
    page = ROOT / "stockroom" / "page"
    for file in [*page.glob("templates/*.html"), *page.glob("static/**/*.js")]:
        assert not re.search(f"{BY_NAME}|{PER_UNIT}", file.read_text(encoding="utf-8")), file.name
