"""Codes read by two decoders, from paper that is printed coarsely, lies askew and was copied."""

import os
import shutil
import subprocess
import warnings
from ctypes.util import find_library
from io import BytesIO

import zxingcpp
from PIL import Image, ImageFilter, ImageOps

from tests.paper.reading import picture

__all__ = ["copied", "decoders", "drawn", "printed", "read_by"]

KINDS = {"qr": (zxingcpp.BarcodeFormat.QRCode, "QRCODE"),
         "code128": (zxingcpp.BarcodeFormat.Code128, "CODE128")}  # fmt: skip
SEEN, SOFT = 300, 0.6
"""Dots an inch that a camera sees, and how soft edges are to it, in such dots."""


def decoders() -> tuple[str, ...]:
    """zxing, which brings its library along, and zbar where the system has its library, or where it
    is insisted on."""
    if os.environ.get("STOCKROOM_ZBAR") == "insist":
        return ("zxing", "zbar")
    return ("zxing", "zbar") if find_library("zbar") else ("zxing",)


def read_by(decoder: str, image: Image.Image, kind: str) -> list[str]:
    """The texts of the codes of one kind that a decoder reads."""
    if decoder == "zxing":
        found = zxingcpp.read_barcodes(image)
        return sorted(code.text for code in found if code.format == KINDS[kind][0])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # Its module has escapes that are none.
        from pyzbar import pyzbar
    symbol = pyzbar.ZBarSymbol[KINDS[kind][1]]
    return sorted(code.data.decode() for code in pyzbar.decode(image, symbols=[symbol]))


def drawn(pdf: bytes, dots_per_inch: int) -> Image.Image:
    """The first page as another renderer draws it, poppler's, where the system has it."""
    if shutil.which("pdftoppm") is None:
        return picture(pdf, 0, dots_per_inch)
    done = subprocess.run(["pdftoppm", "-gray", "-r", f"{dots_per_inch}", "-"], input=pdf,
                          capture_output=True, check=True)  # fmt: skip
    return Image.open(BytesIO(done.stdout)).copy()


def printed(pdf: bytes, page: int, dots_per_inch: int, degrees: float = 0) -> Image.Image:
    """A page in black dots as a printer sets them, then seen by a camera that holds it askew."""
    dots = picture(pdf, page, dots_per_inch).point([0] * 140 + [255] * 116)
    share = SEEN / dots_per_inch
    size = (round(dots.width * share), round(dots.height * share))
    seen = ImageOps.expand(dots.resize(size, Image.Resampling.BICUBIC), 40, 255)
    turned = seen.rotate(degrees, Image.Resampling.BICUBIC, expand=True, fillcolor=255)
    return turned.filter(ImageFilter.GaussianBlur(SOFT))


def copied(seen: Image.Image, times: int) -> Image.Image:
    """A picture as a copier gives it back: a little askew, its edges soft, its blacks spread."""
    for _ in range(times):
        turned = seen.rotate(0.7, Image.Resampling.BICUBIC, fillcolor=255)
        soft = turned.filter(ImageFilter.GaussianBlur(SOFT))
        seen = soft.point([max(0, min(255, (grey - 80) * 2)) for grey in range(256)])
    return seen
