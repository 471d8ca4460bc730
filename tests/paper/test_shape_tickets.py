"""Tickets of other shapes than a frame, read back: what is set on the saw, how it looks."""

import math
from datetime import date

import pytest

from stockroom.frame.bench_ticket import Ticket, ticket
from stockroom.frame.fitting import SAW_CARE, sheets_of, steps_of
from stockroom.frame.front_view import chord, front_view
from stockroom.frame.hanging import Hanging
from stockroom.frame.shape_sizes import RailStop, ShapeTold, shape_sizes
from stockroom.frame.shapes import shape_told
from stockroom.frame.sizes import Moulding, Readings, Stop
from stockroom.frame.ticket_told import Bench, Work
from stockroom.paper.drawing import svg
from stockroom.paper.label_words import back_label, bundle_labels
from stockroom.paper.sawn.front_drawing import front_picture
from stockroom.paper.ticket_page import ticket_page
from stockroom.refusals import StockroomError
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import Micrometres as Um
from stockroom.words.language import word
from tests.paper.reading import assert_as_kept, outlines
from tests.paper.test_ticket import ASH, FLOAT, assert_sound, read

MM = 1_000
BAR = Moulding("plain", Um(40_000))


def made(
    shape: str, moulding: Moulding = ASH, wide: int = 0, high: int = 0, *,
    lengths: tuple[int, ...] = (), bench: Bench | None = None, stop: Stop = "long point",
    quantity: int = 1, match: str = "",
) -> Ticket:  # fmt: skip
    """The ticket of a job of a shape, told in whole mm."""
    widths, heights = (tuple([side * MM] if side else []) for side in (wide, high))
    told = ShapeTold(shape_told(shape), widths, heights, tuple(Um(one * MM) for one in lengths),
                     0 if shape.startswith("s") else 3 * MM)  # fmt: skip
    sizes = shape_sizes(told, RailStop(moulding, stop=stop))
    readings = Readings(widths, heights or widths) if widths else None
    work = Work("J12", "R. Aldous", "Harbour", "PROFILE-1", "plain", "white ash",
                date(2026, 12, 4), quantity, readings, None, False, None,
                match=match)  # fmt: skip
    return ticket(work, moulding, sizes, bench or Bench(), Hanging(), shop="The Glue Pot",
                  day=date(2026, 11, 23))  # fmt: skip


CASES = {
    "hexagon": made("6 sides", wide=200, quantity=2),
    "triangle": made("3 sides", BAR, 300),
    "octagon in a float": made("8 sides", FLOAT, 200),
    "arch": made("arch", wide=300, high=500),
    "strainer": made("strainer 2x1", BAR, 600, 800),
    "outside": made("outside", wide=300, high=400),
    "repair": made("repair", lengths=(440, 440, 300), match="OLD"),
    "battens": made("straight", BAR, lengths=tuple(range(300, 720, 7))),
}
# Each computed here: 200 + 35 tan 30 = 220.207, rounded up by parts; 300 + 83 tan 60; 200 + 27 tan
# 22.5; the sill 300 + 3 + 32 and the uprights 500 + 1.5 + 16; bars 600 - 80 and 800 - 80.
SAID = {
    "hexagon": ("6 sides", "12 × 220", "ends 30°", "counts from the edge reads 60°",
                "sides read 200", "Dry-fit all 6 rails", "backing, cut 6 × 200, over all"),
    "triangle": ("3 × 444", "ends 60°", "more than most mitre saws turn"),
    "octagon in a float": ("8 × 211", "ends 22.5°", "gap, each side"),
    "arch": ("1 × 335", "2 × 517.5", "one end 45°, one square", "The arch is made apart"),
    "strainer": ("2 × 600", "2 × 800", "2 × 520", "1 × 720", "ends square", "bevel 3 mm estimated",
                 "so that it falls 3 mm", "Where bars cross, halve each",
                 "off a length"),
    "outside": ("2 × 300", "2 × 400", "backing, cut 265 × 365", "fixings, from the top"),
    "repair": ("2 × 440", "1 × 300", "batch, to match OLD", "Hold each rail against the old frame"),
    "battens": ("1 × 713", "1 × 300", "ends square"),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_a_shapes_ticket_says_what_is_set_on_the_saw_and_keeps_to_its_page(name: str) -> None:
    for settings, size in ((Settings(step="1/64 in"), "letter"), (Settings(unit="mm"), "a4")):
        page = read(ticket_page(CASES[name], settings, size))
        assert_sound(page)
        assert "…" not in page.extract_text()
    text = " ".join(page.extract_text().split())
    cautions = (word(one) for one in SAW_CARE)
    assert [words for words in (*SAID[name], *cautions) if words not in text] == []
    shape = CASES[name].shape
    hung = ("weight in all", "hang ", "weighed", "load rating")
    assert all((words in text) == shape.hangs for words in hung if words != "weighed")
    assert (shape.hangs or shape.kind == "arch") == ("weighed" in text)


def test_a_shape_is_drawn_from_its_front_with_all_its_rails() -> None:
    case = CASES["hexagon"]
    view = front_view(case.sizes, case.moulding)
    left, low, right, high = view.extent
    assert (right - left, high - low) == pytest.approx(case.sizes.outside_um, abs=3)
    # All rails meet: the back edge of each is a side, its sight edge 2 W tan 30 shorter.
    for one in view.rails:
        sides = [math.dist(one[at], one[at - 1]) for at in range(4)]
        side = case.sizes.rails_um[0]
        assert sides[1] == pytest.approx(side, abs=3)
        assert sides[3] == pytest.approx(side - 2 * 22_000 * math.tan(math.pi / 6), abs=3)
    page = read(ticket_page(case, Settings(unit="mm")))
    drawn = [points for points in outlines(page) if max(x for x, _ in points) < 80]
    assert len(drawn) == 6
    bars = front_view(CASES["strainer"].sizes, BAR)
    sizes = [tuple(max(way) - min(way) for way in zip(*one, strict=True)) for one in bars.rails[4:]]
    assert sizes == [(520_000, 40_000), (520_000, 40_000), (40_000, 720_000)]
    assert len(front_view(CASES["arch"].sizes, ASH).rails) == 3


def test_fixings_sit_where_a_frames_slanting_rails_are() -> None:
    # A hexagon of side s on its side is 2 s wide at its middle and s sqrt 3 high: computed here.
    side = 300 * MM
    assert chord(6, side, 0.5 * side * math.sqrt(3), 0) == pytest.approx(2 * side, abs=2)  # type: ignore[arg-type]
    hung = CASES["hexagon"].hanging
    assert hung is not None
    assert hung.down_um == CASES["hexagon"].sizes.outside_um[1] // 3
    assert hung.span_um < CASES["hexagon"].sizes.outside_um[0] - 22_000


def test_sheets_of_a_hexagon_have_the_artworks_sides_and_weigh_as_much() -> None:
    (backing,) = sheets_of(CASES["hexagon"].sizes, CASES["hexagon"].package, matted=False)
    assert backing.sides == (6, 200 * MM)
    weights = {one.part: one.grams for one in CASES["hexagon"].weights}
    # Its area is 3/2 sqrt 3 s^2, of 3 mm of hardboard at 950 kg a cubic metre.
    assert weights["backing"] == pytest.approx(1.5 * math.sqrt(3) * 0.04 * 0.003 * 950_000)


def test_a_stop_that_reads_inside_is_set_shorter_by_what_the_ends_take() -> None:
    read_inside = made("6 sides", wide=200, stop="inside")
    text = read(ticket_page(read_inside, Settings(unit="mm"))).extract_text()
    # 220.2 less 2 * 16 tan 30 = 18.5.
    assert "6 × 220 stop, inside: 201.5 ends 30°" in " ".join(text.split())
    bars = read(
        ticket_page(made("strainer 1x0", BAR, 600, 800, stop="inside"), Settings(unit="mm"))
    )
    assert "1 × 520 ends square" in " ".join(bars.extract_text().split())


def test_a_told_bevel_is_drawn_and_one_that_leaves_nothing_is_refused() -> None:
    told = made("strainer", BAR, 600, 800, bench=Bench(height_um=20_000, bevel_um=4_000))
    assert "falls 4 mm" in read(ticket_page(told, Settings(unit="mm"))).extract_text()
    assert told.sizes.lengths_um == CASES["strainer"].sizes.lengths_um[:4]
    with pytest.raises(StockroomError, match="leaves nothing of a bar 20 mm high"):
        made("strainer", BAR, 600, 800, bench=Bench(height_um=20_000, bevel_um=20_000))


def test_labels_of_shapes_count_their_rails_and_only_what_is_hung_has_one_for_its_back() -> None:
    settings = Settings(unit="mm")
    assert "6 × 220" in str(bundle_labels(CASES["hexagon"], settings))
    assert "2 × 600, 2 × 800, 2 × 520" not in str(bundle_labels(CASES["strainer"], settings))
    assert "7 rails" in str(bundle_labels(CASES["strainer"], settings))
    with pytest.raises(StockroomError, match="nothing of it is hung"):
        back_label(CASES["strainer"], settings)
    assert "fixings" in str(back_label(CASES["hexagon"], settings))
    assert steps_of(CASES["strainer"]) == ("cut", "joined", "wrapped")


@pytest.mark.parametrize("name", ["hexagon", "strainer"])
def test_a_shapes_picture_has_its_rails_and_what_is_set_and_its_ticket_looks_as_it_did(
    name: str,
) -> None:
    settings = Settings(unit="mm")
    drawn = svg(front_picture(CASES[name], settings)).decode()
    assert drawn.count('class="rail"') == len(CASES[name].sizes.lengths_um)
    wanted = {"hexagon": "12 × 220, ends 30°", "strainer": "1 × 720, ends square"}[name]
    assert wanted in drawn
    assert_as_kept(ticket_page(CASES[name], settings), 0, f"ticket-{name}")
