"""CSV files by their shape: whatever parts the cells, the same rows come in and go out."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.files.csv_rows import FORMULA, csv_text, read_rows
from stockroom.refusals import BadFile

COLUMNS = ("code", "name", "price")
CELLS = st.text("ab;,\t'\" 1", min_size=1, max_size=8).map(str.strip).filter(
    lambda text: text.isprintable() and text and not text.startswith("'"))  # fmt: skip


@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_cells_are_parted_by_what_the_header_says(tmp_path: Path, mark: str) -> None:
    file = tmp_path / "prices.csv"
    row = ["K10", '"Oak, ""light""; x"', '"8,39"']
    file.write_text(f"{mark.join(COLUMNS)}\r\n{mark.join(row)}\r\n", "utf-8-sig")
    assert read_rows(file, COLUMNS) == [
        (2, {"code": "K10", "name": 'Oak, "light"; x', "price": "8,39"})]  # fmt: skip


def test_a_row_of_other_cells_says_what_parts_them(tmp_path: Path) -> None:
    file = tmp_path / "prices.csv"
    file.write_text("code;name;price\nK10;Oak\n", "utf-8")
    with pytest.raises(BadFile, match="parted by semicolons"):
        read_rows(file, COLUMNS)


@given(st.lists(st.fixed_dictionaries(dict.fromkeys(COLUMNS, CELLS)), max_size=4),
       st.sampled_from([",", ";"]))  # fmt: skip
def test_what_is_saved_reads_back_whatever_parts_it(
    tmp_path_factory: pytest.TempPathFactory, rows: list[dict[str, str]], mark: str
) -> None:
    file = tmp_path_factory.mktemp("csv") / "saved.csv"
    file.write_text(csv_text(COLUMNS, rows, mark), "utf-8")
    assert [cells for _, cells in read_rows(file, COLUMNS)] == rows


def test_numbers_go_out_with_decimal_commas_where_semicolons_part_the_cells() -> None:
    assert csv_text(["price"], [{"price": "8.39"}], ";") == "price\n8,39\n"
    assert csv_text(["price"], [{"price": "8.39"}], ",") == "price\n8.39\n"


@pytest.mark.parametrize("sign", [sign for sign in FORMULA if sign.isprintable()])
def test_what_a_spreadsheet_takes_for_a_formula_goes_out_as_text(sign: str, tmp_path: Path) -> None:
    saved = csv_text(["name"], [{"name": f"{sign}SUM(A1)"}])
    assert saved.splitlines()[1].lstrip('"').startswith(f"'{sign}")
    (tmp_path / "names.csv").write_text(saved, "utf-8")
    assert read_rows(tmp_path / "names.csv", ["name"]) == [(2, {"name": f"{sign}SUM(A1)"})]
    (tmp_path / "typed.csv").write_text(f'name\n"{sign}SUM(A1)"\n', "utf-8")
    with pytest.raises(BadFile):
        read_rows(tmp_path / "typed.csv", ["name"])
