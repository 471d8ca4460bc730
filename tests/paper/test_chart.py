"""Charts of bars: on one axis with ticks, inside their edges, told apart in black and white."""

import pytest

from stockroom.paper.chart import ACROSS, Bar, bar_chart, nice_step
from stockroom.paper.drawing import Area, Drawing, Words, words_width

BARS = [Bar("miscut", (300.0,), "300 mm"), Bar("saw", (75.0,), "75 mm"), Bar("flaw", (0.0,), "0")]


def areas(chart: Drawing, name: str) -> list[Area]:
    """The filled marks of a name."""
    return [mark for mark in chart.marks if isinstance(mark, Area) and mark.name == name]


def wide(area: Area) -> float:
    """How wide a mark is, mm."""
    return area.points[1][0] - area.points[0][0]


def test_bars_are_to_one_scale_and_nothing_has_no_bar() -> None:
    chart = bar_chart("Waste", "The Glue Pot", BARS, "mm")
    assert wide(areas(chart, "miscut")[0]) == pytest.approx(4 * wide(areas(chart, "saw")[0]))
    assert areas(chart, "flaw") == []


def test_a_tick_stands_where_a_bar_of_its_value_ends() -> None:
    chart = bar_chart("Waste", "The Glue Pot", BARS, "mm")
    ticks = [mark for mark in chart.marks if isinstance(mark, Words) and mark.align == "middle"]
    assert [tick.text for tick in ticks] == ["0", "100", "200", "300"]
    bar = areas(chart, "miscut")[0]
    assert (ticks[0].x, ticks[3].x) == pytest.approx((bar.points[0][0], bar.points[1][0]))
    assert any(isinstance(mark, Words) and mark.text == "mm" for mark in chart.marks)


@pytest.mark.parametrize(
    ("most", "step"),
    [(0.003, 0.001), (0.4, 0.1), (1.0, 0.2), (4.9, 1), (5.1, 2), (7.3, 2), (10.0, 2), (10.1, 5),
     (24.1, 5), (25.1, 10), (99.9, 20), (5_000.0, 1_000)],
)  # fmt: skip
def test_ticks_are_at_most_five_and_round(most: float, step: float) -> None:
    assert nice_step(most) == pytest.approx(step)


def test_the_longest_bar_comes_first_unless_bars_have_an_order() -> None:
    bars = [BARS[2], BARS[1], BARS[0]]
    for in_order, first in ((False, "miscut"), (True, "flaw")):
        chart = bar_chart("Waste", "", bars, "m", in_order=in_order)
        assert [mark.text for mark in chart.marks if isinstance(mark, Words)][2] == first


def test_parts_of_a_bar_join_and_differ_in_grey() -> None:
    chart = bar_chart("Waste", "", [Bar("ASH", (3.0, 9.0), "12 %")], "%", ("saw", "scrap"))
    saw, scrap = areas(chart, "ASH")
    assert saw.points[1][0] == pytest.approx(scrap.points[0][0])
    assert wide(scrap) == pytest.approx(3 * wide(saw))
    assert abs(saw.grey - scrap.grey) > 80
    assert [area.grey for area in areas(chart, "legend")] == [saw.grey, scrap.grey]


def test_each_row_has_its_name_and_value_and_stays_inside() -> None:
    chart = bar_chart(
        "Waste by cause",
        "The Glue Pot, 2026-11-01 to 2026-11-30",
        [*BARS, Bar("a cause with a very long name " * 3, (1.0,), "x" * 99)],
        "mm",
    )
    words = [mark for mark in chart.marks if isinstance(mark, Words)]
    assert [word.text for word in words[:6]] == [
        "Waste by cause", "The Glue Pot, 2026-11-01 to 2026-11-30", "miscut", "300 mm", "saw",
        "75 mm"]  # fmt: skip
    for word in words:
        assert word.x + words_width(word.text, word.size, bold=word.bold) <= chart.across
        assert 0 < word.y < chart.down
    assert chart.across == ACROSS


def test_an_empty_chart_is_a_chart_too_and_one_of_nothing_has_an_axis() -> None:
    assert len(bar_chart("Nothing", "", [], "mm").marks) == 2
    assert areas(bar_chart("Zero", "", [Bar("saw", (0.0,), "0")], "mm"), "axis")


def test_a_bar_below_nothing_or_of_too_many_parts_is_refused() -> None:
    with pytest.raises(ValueError, match="below nothing"):
        Bar("saw", (-1.0,), "")
    with pytest.raises(ValueError, match="more than 3 parts"):
        bar_chart("Waste", "", [Bar("saw", (1.0,) * 4, "")], "mm")
