"""Tables on terminals of any width: nothing is cut, and what is left out is named."""

import ast
import contextlib
import io
import os
from datetime import date
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockroom.screens.console import width_of
from stockroom.screens.lists import Column, show_rows

GOLDEN, ROOT = Path(__file__).parent / "golden", Path(__file__).parents[3]
WORDS = st.text("ABCDEFGHIKLM-0123456789.€½ü", min_size=1, max_size=24)
CELLS = st.one_of(
    st.none(), WORDS, st.lists(WORDS, max_size=8).map(" ".join), st.integers(-(10**9), 10**9),
    st.dates(date(2020, 1, 1), date(2040, 1, 1)), st.booleans(),
)  # fmt: skip


@st.composite
def any_table(draw: st.DrawFn) -> tuple[list[Column], list[list[object]]]:
    """A table of 1 to 12 columns, some of them spare, some that fold."""
    columns = [
        Column(f"c{place}", draw(st.sampled_from(["piece", "length, mm", "really costs", "flaws"])),
               draw(st.sampled_from(["left", "right"])), wraps=draw(st.booleans()),
               spare=draw(st.booleans()))
        for place in range(draw(st.integers(1, 12)))
    ]  # fmt: skip
    rows = draw(st.lists(st.lists(CELLS, min_size=len(columns), max_size=len(columns)),
                         min_size=1, max_size=4))  # fmt: skip
    return columns, rows


def shown(columns: list[Column], rows: list[list[Any]], width: int) -> str:
    """What a terminal of this width shows of the table."""
    out = io.StringIO()
    with patch.dict("os.environ", {"COLUMNS": str(width)}), contextlib.redirect_stdout(out):
        show_rows(columns, rows, "table")
    return out.getvalue()


def words_of(cell: object) -> list[str]:
    """The words, numbers, codes and dates of a cell, as they are shown."""
    if cell is None:
        return []
    return ["yes" if cell else "no"] if isinstance(cell, bool) else str(cell).split()


@settings(max_examples=60)
@given(any_table(), st.integers(40, 200))
def test_a_table_cuts_no_word_number_code_or_date_at_any_width(
    table: tuple[list[Column], list[list[object]]], width: int
) -> None:
    columns, rows = table
    text = shown(columns, rows, width)
    assert [line for line in text.splitlines() if width_of(line) > width] == []
    there = text.replace("|", " ").split()
    for row in rows:
        for column, cell in zip(columns, row, strict=True):
            lost = [word for word in words_of(cell) if word not in there]
            left_out = " ".join(there).partition("Left out for want of room: ")[2]
            said = " ".join(column.heading.split()) in left_out.partition(". All:")[0]
            assert not lost or (column.spare and said), (lost, text)


def test_no_list_may_leave_out_a_flaw_a_state_or_what_a_row_is() -> None:
    """Of all lists that commands show, only lesser columns may go where the terminal is narrow."""
    kept = {"flaws", "state", "piece", "job", "plan", "order", "profile", "length", "due", "sticks"}
    columns = [
        (call.args[0].value, {word.arg for word in call.keywords})
        for path in (ROOT / "stockroom").rglob("*.py")
        for call in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(call, ast.Call) and getattr(call.func, "id", "") == "Column" and call.args
        and isinstance(call.args[0], ast.Constant)
    ]  # fmt: skip
    assert "flaws" in {name for name, _ in columns}
    assert [name for name, words in columns if "spare" in words and name in kept] == []


RACK = [
    Column("piece", "piece", "right"), Column("profile", "profile"), Column("batch", "batch"),
    Column("length", "length, mm", "right"), Column("flaws", "flaws", wraps=True),
    Column("since", "since", spare=True),
]  # fmt: skip
FLAWED = [[1234, "KLARA-30-NATURAL", "2026-117", "2033.5", "500..550; 1200..1233.5",
           date(2026, 11, 23)]]  # fmt: skip


@pytest.mark.parametrize("width", range(40, 133))
def test_a_flawed_piece_shows_its_flaws_at_every_width(width: int) -> None:
    text = shown(RACK, FLAWED, width)
    assert "500..550;" in text
    assert "1200..1233.5" in text


def test_a_column_left_out_is_named_before_rows_are_stacked() -> None:
    assert "Left out for want of room: since. All: a wider window, or --as csv." in shown(
        RACK, FLAWED, 75)  # fmt: skip
    assert shown(RACK, FLAWED, 40).splitlines() == [
        "piece: 1234   profile: KLARA-30-NATURAL",
        "batch: 2026-117   length, mm: 2033.5",
        "flaws: 500..550; 1200..1233.5",
        "since: 2026-11-23",
    ]


PIECES = [
    Column("piece", "piece", "right"), Column("place", "place"), Column("profile", "profile"),
    Column("batch", "batch"), Column("kind", "kind"),
    Column("length_um", "length, mm", "right", lambda um: f"{um / 1000:g}"),
    Column("flaws", "flaws", wraps=True), Column("plan", "plan", "right"),
    Column("since", "since", spare=True),
]  # fmt: skip
LYING = [
    (7, "A1", "KLARA-30-LIMED", "K10-2026-11", "stick", 2_998_500, "", 12, date(2026, 11, 23)),
    (214, "back room C12", "NELL-25", "UNKNOWN", "offcut", 203_500,
     "12..20.5; 101..130; 150..152", None, date(2026, 10, 2)),
]  # fmt: skip


@pytest.mark.parametrize("width", [40, 60, 80, 132])
def test_a_fixed_list_is_shown_as_it_always_was(width: int) -> None:
    """As a table where it fits, fewer columns where it must, stacked where nothing else is left."""
    told = "".join(
        f"{line.rstrip()}\n" for line in shown(PIECES, list(map(list, LYING)), width).splitlines()
    )
    path = GOLDEN / f"rack-{width}.txt"
    if os.environ.get("UPDATE_GOLDEN"):
        path.write_text(told, "utf-8")
    assert told == path.read_text("utf-8")
    assert "203.5" in told
    assert "150..152" in told
