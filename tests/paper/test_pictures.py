"""Pictures of a plan and of the rack, read back as SVG and as PNG."""

import io
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from PIL import Image

from stockroom.paper.drawing import Area, Drawing, Words, png, svg, words_width
from stockroom.paper.pictures import A_PAGE, plan_picture, rack_pictures
from stockroom.settings.shop_settings import Settings
from stockroom.views.rack_row import RackRow
from stockroom.views.sheet import CAUTIONS, Sheet
from stockroom.words.language import word
from tests.stockroom.screens.sheets import fixed

MM = Settings(unit="mm")
DAY = date(2026, 11, 23)
SPACE = "{http://www.w3.org/2000/svg}"
RACK = [
    RackRow(3, "ASH-22", "B6", "offcut", "C2", 1_400_000, ((500_000, 530_000),), 7),
    RackRow(1, "ASH-22", "B7", "stick", "A3", 3_000_000, (), None),
    RackRow(2, "LEAF-40", "G2", "offcut", "", 700_000, ((0, 20_000), (680_000, 700_000)), None),
]


def polygons(content: bytes, kind: str) -> list[list[tuple[float, float]]]:
    """The corners of each area of a kind in an SVG, mm."""
    return [
        [
            (float(x), float(y))
            for x, y in (pair.split(",") for pair in node.attrib["points"].split())
        ]
        for node in ElementTree.fromstring(content).iter(f"{SPACE}polygon")
        if node.attrib["class"] == kind
    ]  # fmt: skip


def texts(content: bytes) -> list[str]:
    """The words of an SVG."""
    return [node.text or "" for node in ElementTree.fromstring(content).iter(f"{SPACE}text")]


def test_rails_are_drawn_to_scale_along_their_back_edge() -> None:
    sheet = fixed()
    content = svg(plan_picture(sheet, MM))
    longest = max(piece.length for piece in sheet.pieces)
    rails = [rail for piece in sheet.pieces for rail in piece.rails]
    drawn = polygons(content, "rail")
    assert len(drawn) == len(rails)
    for rail, points in zip(rails, drawn, strict=True):
        below = [x for x, y in points if y == max(y for _, y in points)]
        assert (max(below) - min(below)) / 260 == pytest.approx(rail.length / longest, rel=5e-3)


def test_the_labels_end_of_each_piece_is_marked_and_said() -> None:
    plan, rack = plan_picture(fixed(), MM), rack_picture(RACK)
    for picture, pieces in ((plan, len(fixed().pieces)), (rack, len(RACK))):
        content = svg(picture)
        marks = polygons(content, "label")
        assert len(marks) == pieces
        first = min(x for kind in ("rail", "trim", "leftover")
                    for outline in polygons(content, kind) for x, _ in outline)  # fmt: skip
        assert {min(x for x, _ in mark) for mark in marks} == {first}
        assert any("heavy end: the label's" in said for said in texts(content))


def test_long_points_lie_on_the_back_edge() -> None:
    for points in polygons(svg(plan_picture(fixed(), MM)), "rail"):
        (a, _), (b, _), (c, _), (d, _) = points
        assert a < d < c < b


def test_every_rail_is_named_in_its_shape_or_below_it() -> None:
    said = " ".join(texts(svg(plan_picture(fixed(), MM))))
    assert said.count("J12") == 4
    assert said.count("J3.2 140") == 2


def rack_picture(rows: Sequence[RackRow], settings: Settings = MM) -> Drawing:
    """The only page of a small rack."""
    (page,) = rack_pictures(rows, settings, DAY, "ASH-22")
    return page


def test_a_plans_picture_has_the_saws_cautions() -> None:
    told = texts(svg(plan_picture(fixed(), MM)))
    assert [line for line in map(word, CAUTIONS) if line not in told] == []
    assert len(set(map(word, CAUTIONS)) - set(CAUTIONS)) == 4


def test_the_rack_is_drawn_by_its_places_with_flaws_and_plans() -> None:
    content = svg(rack_picture(RACK))
    said = texts(content)
    assert said[:2] == ["The rack on 2026-11-23, ASH-22", "The workshop, page 1 of 1"]
    order = [said.index(text) for text in (
        "at A3", "1  ASH-22, B7, stick", "at C2", "3  ASH-22, B6, offcut 1400, plan 7",
        "place unknown", "2  LEAF-40, G2, offcut 700")]  # fmt: skip
    assert order == sorted(order)
    assert len(polygons(content, "flaw")) == 3
    widths = [points[1][0] - points[0][0] for points in polygons(content, "leftover")]
    assert widths == pytest.approx([194, 500 / 3000 * 194, 870 / 3000 * 194, 660 / 3000 * 194],
                                   rel=5e-3)  # fmt: skip


def test_a_large_rack_takes_pages_that_a_screen_can_show() -> None:
    rows = [replace(RACK[1], number=at, spot=f"A{at // 20}") for at in range(100)]
    pages = rack_pictures(rows, MM, DAY)
    assert max(page.down for page in pages) * 6 <= 1_010
    said = [texts(svg(page)) for page in pages]
    assert [int(word.split()[0]) for page in said for word in page if "batch" not in word
            and word.endswith("stick")] == list(range(100))  # fmt: skip
    for page in said:
        places = [word for word in page if word.startswith("at A")]
        assert page[3].startswith("at A")  # Title, shop, legend: each page names its place.
        assert not page[-1].startswith("at A")
        assert len(places) == len(set(places))
    assert sum("more" in word for page in said for word in page) > 2
    assert max(len([w for w in page if w.endswith("stick") or w.startswith("at ")])
               for page in said) == A_PAGE  # fmt: skip


def test_a_png_shows_the_same_areas_at_six_dots_a_millimetre() -> None:
    picture = rack_picture(RACK)
    with Image.open(io.BytesIO(png(picture))) as image:
        assert image.size == (round(picture.across * 6), round(picture.down * 6))
        for mark in picture.marks:
            if isinstance(mark, Area) and mark.name == "flaw":
                (left, low), (right, _), _, (_, high) = mark.points
                spot = round((left + right) * 3), round((low + high) * 3)
                assert image.getpixel(spot) == mark.grey


@pytest.mark.parametrize("write", [svg, png])
def test_the_same_plan_gives_the_same_bytes(write: object) -> None:
    assert callable(write)
    assert write(plan_picture(fixed(), MM)) == write(plan_picture(fixed(), MM))


def test_an_empty_rack_is_a_picture_too() -> None:
    assert texts(svg(rack_picture([])))[0] == "The rack on 2026-11-23, ASH-22"


def test_a_very_large_plan_is_painted_coarser_rather_than_refused() -> None:
    many = plan_picture(replace(fixed(), pieces=fixed().pieces[:1] * 400), MM)
    with Image.open(io.BytesIO(png(many))) as image:
        assert image.size[0] * image.size[1] <= 61_000_000


@given(st.text(max_size=80), st.text(max_size=40), st.integers(1, 10_000_000))
@hypothesis_settings(max_examples=25)
def test_any_words_make_a_readable_picture_inside_its_edges(
    shop: str, batch: str, length: int
) -> None:
    rows = [RackRow(1, "A<&>\"'", batch, "stick", batch, length, (), None), RACK[0]]
    picture = rack_picture(rows, Settings(unit="in", name=shop))
    ElementTree.fromstring(svg(picture))
    for mark in picture.marks:
        if isinstance(mark, Words):
            width = words_width(mark.text, mark.size, bold=mark.bold)
            left = mark.x - {"start": 0, "middle": 0.5, "end": 1}[mark.align] * width
            assert left >= 0
            assert left + width <= picture.across
        else:
            assert all(0 <= x <= picture.across and 0 <= y <= picture.down for x, y in mark.points)


def test_a_mark_that_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="three corners"):
        Area(((0, 0), (1, 1)), 0)
    with pytest.raises(ValueError, match="grey"):
        Area(((0, 0), (1, 1), (1, 0)), 256)


def test_a_plan_looks_as_it_did() -> None:
    path = Path(__file__).parent / "golden" / "plan.svg"
    now = svg(plan_picture(fixed(), MM))
    if not path.exists():  # Delete the picture to have it drawn afresh, and look at it.
        path.write_bytes(now)
        pytest.fail(f"{path.name} was drawn afresh; look at it and run again")
    assert path.read_bytes() == now


def empty() -> Sheet:
    """A plan that cuts nothing."""
    return replace(fixed(), pieces=())


def test_a_plan_that_cuts_nothing_is_drawn() -> None:
    assert isinstance(plan_picture(empty(), MM), Drawing)
