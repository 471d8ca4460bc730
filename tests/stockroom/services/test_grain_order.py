"""Frames of one piece lie on it as they are joined; many equal ones are told by counts."""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings

from planner import faults, hand_plan
from planner.values import Problem, Reason
from stockroom.frame.shapes import MITRED, SQUARE, Angles
from stockroom.paper.cut_sheet import cut_sheet, stop_sheet
from stockroom.screens.piece_line import rails_listed
from stockroom.services.morning.day_plan import plan_day
from stockroom.services.morning.grain_order import round_frames
from stockroom.services.morning.problem import Choices
from stockroom.services.saw.bench_work import bench_work
from stockroom.services.shop import Shop
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import Micrometres
from stockroom.views.collating import called, collated, frames_as_runs
from stockroom.views.sheet import Sheet, SheetFrame, SheetPiece
from stockroom.views.sheet_rows import sayings
from stockroom.words.language import word
from tests.paper.reading import pages_of
from tests.stockroom.hard.shopwork import MONDAY, UNTIL, accepted, sticks, take
from tests.stockroom.screens.sheets import fixed, row
from tests.stockroom.services.test_stop_order import shops

METRIC = Settings(unit="mm")


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
@pytest.mark.parametrize(
    ("width", "height", "turn"), [("500", "400", [0, 1, 2, 3]), ("400", "500", [1, 2, 3, 0])]
)
def test_a_frame_of_one_piece_lies_long_short_long_short_and_the_saw_is_told(
    shop: Shop, width: str, height: str, turn: list[int]
) -> None:
    sticks(shop)
    take(shop, one_piece="yes", width=width, height=height)
    (piece,) = plan_day(shop, Choices(UNTIL, seconds=5)).pieces
    assert [rail.length for rail in piece.rails] == [535_000, 435_000] * 2
    assert [rail.rail for rail in piece.rails] == turn
    assert [rail.start for rail in piece.rails] == sorted(rail.start for rail in piece.rails)
    said = "J1 in this order, long, short, long, short: the grain runs round the corners"
    assert said in map(word, sayings(piece))
    assert [words[:6] for words in rails_listed(piece, METRIC)] == ["535 J1", "435 J1"] * 2
    (at_saw,) = bench_work(shop, accepted(shop)).pieces
    assert [rail.rail for rail in at_saw.piece.rails] == turn
    assert said in pages_of(cut_sheet(sheet_with(piece), METRIC))[0].extract_text()


def sheet_with(piece: SheetPiece) -> Sheet:
    """A sheet of this one piece."""
    return replace(fixed(), pieces=(piece,), frames={}, short=())


@given(shops())
@hypothesis_settings(max_examples=20)
def test_turned_round_a_plan_cuts_the_same_rails_of_the_same_stretches(
    shop: tuple[Problem, dict[int, str]],
) -> None:
    problem, _ = shop
    before = hand_plan(problem)
    after = round_frames(problem, before)
    assert faults(problem, after) == ()
    for one, other in zip(before.cuts, after.cuts, strict=True):
        assert replace(one, rails=()) == replace(other, rails=())
        assert Counter(one.rails) == Counter(other.rails)
    assert round_frames(problem, after) == after


def test_thirty_equal_frames_are_told_by_lengths_and_counts() -> None:
    def piece(number: int) -> SheetPiece:
        frames = (f"J34.{2 * number - 1}", f"J34.{2 * number}")
        rails = [("rail", mm, frame, rail + turn) for rail, mm in ((0, 200), (1, 150))
                 for frame in frames for turn in (0, 2)]  # fmt: skip
        return SheetPiece(number, "ASH-22", "B7", "offcut", "A1", 1_400_000, row(*rails))  # type: ignore[arg-type]

    labels = [f"J34.{number}" for number in range(1, 31)]
    sheet = replace(fixed(), pieces=tuple(map(piece, range(1, 16))), short=(), frames={
        label: SheetFrame(label, "R. Aldous", "", "ASH-22", MONDAY, 200_000, 150_000)
        for label in labels})  # fmt: skip
    assert rails_listed(sheet.pieces[0], METRIC)[0].startswith("4 × 200 J34.1..2")
    every = tuple(range(1, 16))
    counted = [(60, 200_000, MITRED, every), (60, 150_000, MITRED, every)]
    assert collated(sheet) == [(labels, counted)]
    listed = pages_of(cut_sheet(sheet, METRIC))[-1].extract_text()
    assert "J34.1..30" in listed
    assert "60 × 200 from 1, 2, 3" in listed
    (stops,) = pages_of(stop_sheet(sheet, METRIC))
    text = stops.extract_text()
    assert (text.count("4 × from"), text.count("J34.")) == (30, 0)


def test_equal_strainers_are_counted_by_length_and_ends_and_each_moulding_by_itself() -> None:
    square = (SQUARE, SQUARE)

    def piece(number: int, profile: str, rails: list[tuple[int, Angles]], label: str) -> SheetPiece:
        parts = row(*[("rail", mm, label, rail) for rail, (mm, _) in enumerate(rails)])
        ended = tuple(replace(part, angles=rails[part.rail][1]) for part in parts)
        length = Micrometres(sum(mm for mm, _ in rails) * 1_000)
        return SheetPiece(number, profile, "B7", "stick", "A1", length, ended)

    # Four strainers of 600 x 520 with a bar of 520 each: a bar is no side, though as long as one.
    strainer = [(600, MITRED), (520, MITRED), (600, MITRED), (520, MITRED), (520, square)]
    bars = [piece(number, "BAR-40", strainer, f"J7.{number}") for number in range(1, 5)]
    pair = [piece(4 + 2 * number + at, code, [(300, MITRED)] * 4, f"J8.{number}{letter}")
            for number in range(1, 5) for at, (code, letter) in
            enumerate((("ASH-22", ""), ("LEAF-40", "b")))]  # fmt: skip
    frames = {
        label: SheetFrame(label, "A. Tarn", "", piece.profile, MONDAY, 1, 1,
                          rails=(1, 1, 1, 1, 1) if piece.profile == "BAR-40" else ())
        for piece in (*bars, *pair) for label in [piece.rails[0].frame]
    }  # fmt: skip
    sheet = replace(fixed(), pieces=(*bars, *pair), short=(), frames=frames)
    told = {
        str(word(called(labels))): [one[:3] for one in rails] for labels, rails in collated(sheet)
    }
    assert told == {
        "J7.1..4": [(8, 600_000, MITRED), (8, 520_000, MITRED), (4, 520_000, square)],
        "J8.1..4": [(16, 300_000, MITRED)], "J8.1b..4b": [(16, 300_000, MITRED)],
    }  # fmt: skip
    listed = " ".join(pages_of(cut_sheet(sheet, METRIC))[-1].extract_text().split())
    assert "gather all rails" in listed
    assert "8 × 520 from 1, 2, 3, 4; 4 × 520, ends square from 1, 2, 3, 4" in listed
    assert word(called(["J8.1", "J8.1b", "J8.2", "J8.2b"])) == "J8, 2 frames"
    asked = Reason("opened_needed", {"frames": ("J1", "J8.1b", "J8.2b", "J8.2", "J8.4", "J8.5")})
    told_of = frames_as_runs(asked)
    assert told_of is not None
    assert told_of.about["frames"] == ("J1", "J8.1b..2b", "J8.2", "J8.4..5")
