"""Charts of bars: to one scale, inside their edges."""

import pytest

from stockroom.paper.chart import ACROSS, bar_chart
from stockroom.paper.drawing import Area, Words, words_width

ROWS = [("miscut", 300.0, "300 mm"), ("saw", 75.0, "75 mm"), ("flaw", 0.0, "0 mm")]


def test_bars_are_to_one_scale_and_nothing_has_no_bar() -> None:
    bars = {mark.name: mark.points[1][0] - mark.points[0][0]
            for mark in bar_chart("Waste", ROWS).marks if isinstance(mark, Area)}  # fmt: skip
    assert bars["miscut"] == pytest.approx(4 * bars["saw"])
    assert "flaw" not in bars


def test_each_row_has_its_name_and_value_and_stays_inside() -> None:
    chart = bar_chart(
        "Waste by cause", [*ROWS, ("a cause with a very long name " * 3, 1.0, "x" * 99)]
    )
    words = [mark for mark in chart.marks if isinstance(mark, Words)]
    assert [word.text for word in words[:5]] == ["Waste by cause", "miscut", "300 mm", "saw",
                                                 "75 mm"]  # fmt: skip
    for word in words:
        assert word.x + words_width(word.text, word.size, bold=word.bold) <= chart.across
        assert 0 < word.y < chart.down
    assert chart.across == ACROSS


def test_an_empty_chart_is_a_chart_too() -> None:
    assert len(bar_chart("Nothing", []).marks) == 1


def test_a_bar_below_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="below nothing"):
        bar_chart("Waste", [("saw", -1.0, "")])
