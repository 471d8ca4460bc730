"""Letters of other scripts: shaped as their standards show, alike on paper, in PNG and in SVG."""

import io
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from PIL import Image

from stockroom.paper import letters
from stockroom.paper.drawing import Drawing, Words, png, svg, words_width
from stockroom.paper.letters import LetterRun, Letters
from stockroom.paper.page import POINT_MM, Paper
from tests.paper.reading import pages_of, picture

DAY = date(2026, 11, 23)
NAMES = ("محمد علي", "שלום", "क्षत्रिय", "ภาษาไทย", "山本", "❤️")
"""Words in Arabic, Hebrew, Devanagari, Thai and Japanese, and an emoji."""


@pytest.fixture(scope="module")
def found() -> Letters:
    """Fonts beside a typeface that knows ASCII alone."""
    return Letters(str.isascii)


@pytest.fixture
def no_fonts(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """As without the extra."""
    letters.fonts.cache_clear()
    letters.font_with.cache_clear()
    monkeypatch.setattr(letters, "find_spec", lambda name: None)
    yield
    monkeypatch.undo()
    letters.fonts.cache_clear()
    letters.font_with.cache_clear()


def only(runs: tuple[LetterRun, ...]) -> LetterRun:
    """The only run."""
    (run,) = runs
    return run


def test_no_letter_of_the_usual_scripts_is_lost(found: Letters) -> None:
    assert found.lost("".join(NAMES)) == ""
    assert found.lost("R. Aldous, 한국, 2 × 813 \U00010920") == "한국\U00010920"


def test_arabic_is_joined_and_runs_to_the_left(found: Letters) -> None:
    # Unicode's presentation forms (Arabic Presentation Forms-B): meem initial, hah medial, meem
    # medial, dal final are what the joined word shows.
    joined = only(found.runs("محمد"))
    assert joined.outline == only(found.runs("\ufee3\ufea4\ufee4\ufeaa")).outline
    assert joined.outline != only(found.runs("\ufee1\ufea1\ufee1\ufea9")).outline  # Isolated.
    first, _, second = found.runs("محمد علي")
    assert (first.words, second.words) == ("علي", "محمد")


def test_a_conjunct_is_one_form_and_a_mark_takes_no_room(found: Letters) -> None:
    assert only(found.runs("क्ष")).wide < only(found.runs("क")).wide + only(found.runs("ष")).wide
    assert only(found.runs("ที่")).wide == only(found.runs("ท")).wide


def test_numbers_beside_a_name_keep_their_places(found: Letters) -> None:
    said = [run.words for run in found.runs("R. שלום (12) אב, 2 × 813")]
    assert "".join(said[:1] + said[6:]) == "R. , 2 × 813"
    assert said[1:6] == ["אב", " (", "12", ") ", "שלום"]


def test_bold_is_heavier_and_emoji_is_drawn(found: Letters) -> None:
    assert only(found.runs("علي", bold=True)).outline != only(found.runs("علي")).outline
    assert only(found.runs("❤️")).outline


def test_known_words_load_no_font(no_fonts: None) -> None:
    assert Letters(str.isascii).runs("J12") == (LetterRun("J12"),)
    assert Letters(str.isascii).lost("山 J12") == "山"
    assert Letters(str.isascii).runs("山 J12") == (LetterRun("? J12"),)


def test_a_font_of_the_shops_own_goes_first(tmp_path: Path) -> None:
    pen = TTGlyphPen(None)
    for point, draw in (((0, 0), pen.moveTo), ((500, 0), pen.lineTo), ((0, 500), pen.lineTo)):
        draw(point)
    pen.closePath()
    made = FontBuilder(1000, isTTF=True)
    made.setupGlyphOrder([".notdef", "han"])
    made.setupCharacterMap({0xD55C: "han", 0x5C71: "han"})
    made.setupGlyf({".notdef": TTGlyphPen(None).glyph(), "han": pen.glyph()})
    made.setupHorizontalMetrics({".notdef": (500, 0), "han": (700, 0)})
    made.setupHorizontalHeader(ascent=800, descent=-200)
    made.setupPost()
    made.save(tmp_path / "own.ttf")
    own = Letters(str.isascii, str(tmp_path / "own.ttf"))
    assert only(own.runs("한山")).wide == pytest.approx(1.4)
    assert own.lost("한국") == "국"
    drawing = Drawing("A", 50, 20, (Words(5, 10, "한", 5),), str(tmp_path / "own.ttf"))
    assert svg(drawing).lost == png(drawing).lost == ""
    assert svg(Drawing("A", 50, 20, drawing.marks)).lost == "한"
    assert Letters(str.isascii, str(tmp_path / "gone.ttf")).lost("한") == "한"


@pytest.mark.parametrize("name", NAMES)
def test_paper_png_and_svg_show_the_same(name: str) -> None:
    size, dots = 10.0, 6
    paper = Paper("A", (60, 20), DAY)
    paper.text(5, 14, name, size / POINT_MM)
    assert paper.width(name, size / POINT_MM) == pytest.approx(words_width(name, size), rel=0.02)
    drawing = Drawing("A", 60, 20, (Words(5, 14, name, size),))
    pages = paper.finish()
    assert pages.lost == png(drawing).lost == svg(drawing).lost == ""
    printed = picture(pages, 0, dots * 25.4).resize((360, 120))
    with Image.open(io.BytesIO(png(drawing))) as image:
        painted = image.convert("L")
    apart = sum(abs(a - b) for a, b in zip(printed.tobytes(), painted.tobytes(), strict=True))
    ink = sum(255 - grey for grey in painted.tobytes())
    assert ink > 20_000
    assert apart < 0.35 * ink
    assert svg(drawing).count(b"<path") == len(name.split())


def test_what_no_font_has_is_said_on_the_picture_too(no_fonts: None) -> None:
    drawing = Drawing("A", 60, 20, (Words(5, 14, "山 Hale", 5),))
    for made in (svg(drawing), png(drawing)):
        assert made.lost == "山"
    assert b">? Hale<" in bytes(svg(drawing))
    assert b"in no font, printed as ?: U+5C71" in bytes(svg(drawing))
    with Image.open(io.BytesIO(png(drawing))) as image:
        assert image.size == (360, 150)


def test_what_only_turns_letters_takes_no_room() -> None:
    paper = Paper("A", "a4", DAY)
    paper.text(20, 20, "\u202e Hale \u200d")
    assert paper.width("\u202e Hale \u200d") == paper.width(" Hale ")
    assert paper.finish().lost == ""


def test_a_name_is_drawn_as_outlines_and_the_rest_stays_text() -> None:
    paper = Paper("A", "a4", DAY)
    paper.text(20, 20, "山本 Hale, J12")
    (page,) = pages_of(paper.finish())
    assert page.extract_text().strip() == "Hale, J12"
    assert all(not shape["stroke"] for shape in page.curves)
