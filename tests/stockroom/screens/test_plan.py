"""A plan on the screen: fixed plans as they stand in golden/, and any plan within its columns.

Set UPDATE_GOLDEN=1 to write what is shown now into golden/.
"""

import os
import unicodedata
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from planner.values import Reason
from stockroom.screens.piece_line import bar, placed, rails_listed
from stockroom.screens.plan_screen import plan_lines, show_plan
from stockroom.settings.shop_settings import Settings
from stockroom.views.sheet import Sheet, SheetPiece
from tests.stockroom.screens.sheets import any_piece, any_sheet, fixed

GOLDEN = Path(__file__).parent / "golden"
INCHES, MILLIMETRES = Settings(), Settings(unit="mm")


def lines(sheet: Sheet, settings: Settings, columns: int) -> list[str]:
    """The plan as lines of plain text."""
    return ["".join(run for run, _ in line) for line in plan_lines(sheet, settings, columns)]


@pytest.mark.parametrize(
    ("name", "settings", "columns"),
    [("inches-80", INCHES, 80), ("mm-80", MILLIMETRES, 80), ("inches-48", INCHES, 48),
     ("mm-40", MILLIMETRES, 40), ("mm-60", MILLIMETRES, 60), ("mm-132", MILLIMETRES, 132)],
)  # fmt: skip
def test_a_fixed_plan_is_shown_as_it_always_was(
    name: str, settings: Settings, columns: int
) -> None:
    shown = "".join(f"{line.rstrip()}\n" for line in lines(fixed(), settings, columns))
    path = GOLDEN / f"plan-{name}.txt"
    if os.environ.get("UPDATE_GOLDEN"):
        path.write_text(shown, "utf-8")
    assert shown == path.read_text("utf-8")


@given(any_sheet(), st.sampled_from([48, 80, 132]), st.sampled_from([INCHES, MILLIMETRES]))
def test_no_line_is_wider_than_the_screen_or_moves_the_cursor(
    sheet: Sheet, columns: int, settings: Settings
) -> None:
    for line in lines(sheet, settings, columns):
        assert cell_len(line) <= columns
        assert not {unicodedata.category(c) for c in line} & {"Cc", "Cf", "Zl", "Zp"}


@given(any_piece(), st.integers(46, 130))
def test_every_part_stands_within_a_column_of_its_place(piece: SheetPiece, columns: int) -> None:
    at = 0
    for part, start, end in placed(piece, columns):
        assert start == at
        assert abs(start - part.start * columns / piece.length) <= 0.5
        at = end
    assert at == columns
    assert cell_len("".join(run for run, _ in bar(piece, INCHES, columns))) == columns


def test_a_drawing_says_where_each_rail_flaw_and_leftover_lies() -> None:
    stick = fixed().pieces[1]
    drawn = "".join(run for run, _ in bar(stick, MILLIMETRES, 60))
    assert drawn == (r"/─────J12──────\│/─────J12──────\· 400 ··×······ 914 ·······")


def test_the_longest_rails_are_listed_as_they_lie_and_short_ones_are_marked() -> None:
    assert rails_listed(fixed().pieces[1], INCHES) == ["2 × 32 J12"]
    assert rails_listed(fixed().pieces[2], MILLIMETRES) == ["2 × 140 J3.2 (!)"]


def test_every_plan_with_a_cut_carries_the_cautions() -> None:
    shown = "\n".join(lines(fixed(), INCHES, 80))
    for words in ("Guards on", "Clamp or jig short rails", "fine dust", "manual and local rules",
                  "(!) shorter than 5 7/8 in"):  # fmt: skip
        assert words in shown


def test_a_pipe_gets_the_plan_without_colour(capsys: pytest.CaptureFixture[str]) -> None:
    show_plan(fixed(), INCHES)
    out = capsys.readouterr().out
    assert "\x1b" not in out
    assert "/" in out


def test_what_a_pin_costs_is_shown_below_the_pieces() -> None:
    cost = "pinned to piece 214: the pin costs 118 1/8 in more of stick opened"
    reason = Reason("pin_costs_stick", {"piece": "214", "cost_um": 3_000_000})
    shown = lines(replace(fixed(), pinned=(("J12", (reason,)),)), INCHES, 80)
    at = shown.index("Pinned")
    said = " ".join(line.strip() for line in shown[at + 1 : shown.index("", at)])
    assert said == f"J12 (R. Aldous, ASH-22): {cost}"
    assert "Pinned" not in lines(fixed(), INCHES, 80)
