"""A photo of a label: read as a camera sees it, and what shows none refused."""

from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import httpx
import pytest
from PIL import Image, ImageDraw, ImageFilter

from stockroom.page.label_photo import number_in_photo
from stockroom.paper.codes import code_of
from stockroom.refusals import Refused, Unreadable
from tests.page.browser import Open

ACROSS = 200
"""Pixels across the code of a label that was photographed from farther off."""


def photo(*numbers: int, size: tuple[int, int] = (1600, 1200), kind: str = "JPEG") -> bytes:
    """A photo of labels on wood: their codes 200 px across, a little askew, blurred, with glare."""
    seen = Image.new("L", size, 120)
    for at, number in enumerate(numbers):
        code = code_of(str(number), "qr")
        label = Image.new("L", (code.across, code.down), 255)
        for left, row, length in code.runs:
            label.paste(0, (left, row, left + length, row + 1))
        label = label.resize((ACROSS, ACROSS), Image.Resampling.BOX)
        label = label.rotate(7, Image.Resampling.BICUBIC, expand=True, fillcolor=120)
        seen.paste(label, (300 + 500 * at, 400))
    light = Image.new("L", size, 0)
    ImageDraw.Draw(light).ellipse((380, 300, 560, 520), fill=70)
    seen = Image.composite(
        Image.new("L", size, 255), seen, light.filter(ImageFilter.GaussianBlur(60))
    )
    seen = seen.filter(ImageFilter.GaussianBlur(1.5))
    file = BytesIO()
    seen.convert("RGB").save(file, kind, quality=80)
    return file.getvalue()


@pytest.mark.parametrize(
    ("number", "size", "kind"),
    [(7, (1600, 1200), "JPEG"), (214, (4000, 3000), "JPEG"), (123_456_789, (1600, 1200), "PNG")],
)
def test_a_label_of_200_pixels_is_read(number: int, size: tuple[int, int], kind: str) -> None:
    assert number_in_photo(photo(number, size=size, kind=kind)) == number


@pytest.mark.parametrize(
    "junk",
    [b"", b"\0" * 900, photo(7)[:600], b"GIF89a" + b"\1" * 90, b"%PDF-1.4 junk",
     b"\x89PNG\r\n\x1a\n" + b"\0\0\0\rIHDR" + b"\xff\xff\xff\x7f" * 2 + b"\x08\0\0\0\0" * 4],
)  # fmt: skip
def test_a_file_that_is_no_photo_is_refused(junk: bytes) -> None:
    with pytest.raises(Unreadable):
        number_in_photo(junk)


def test_a_photo_of_no_label_or_of_two_is_refused() -> None:
    with pytest.raises(Refused, match="no label could be read"):
        number_in_photo(photo())
    with pytest.raises(Refused, match="several labels: 7, 12"):
        number_in_photo(photo(12, 7))


def test_a_photographed_label_opens_its_piece_where_the_device_has_a_camera(
    page_of: Open, tab: Callable[..., Any], tmp_path: Path
) -> None:
    file = tmp_path / "label.jpg"
    page = tab((390, 844), is_mobile=True)
    page.goto(f"{page_of.here}/rack")
    file.write_bytes(photo())
    page.set_input_files("#photo input", file)
    page.get_by_text("No label could be read").wait_for()
    file.write_bytes(photo(12))
    page.set_input_files("#photo input", file)
    page.get_by_role("heading", name="Piece 12").wait_for()


def test_without_a_program_of_the_page_the_photo_is_a_form_of_its_own(page_of: Open) -> None:
    def sent(told: bytes) -> httpx.Response:
        return page_of.ask("POST", "/scanned", files={"photo": ("a.jpg", told, "image/jpeg")})

    assert sent(photo(12)).headers["location"] == "/rack/12"
    assert sent(b"junk").status_code == 422
    assert sent(b"\0" * (17 * 2**20)).status_code == 413
