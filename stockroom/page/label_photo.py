"""A photo of a label, read: the number that its code says."""

from io import BytesIO
from typing import TYPE_CHECKING

from stockroom.refusals import Refused, Unreadable
from stockroom.words.language import word

if TYPE_CHECKING:
    from PIL import Image

__all__ = ["number_in_photo"]

FORMATS = ("JPEG", "PNG", "WEBP")
MOST_PIXELS = 64_000_000
ENOUGH = 2_000
"""Pixels along the longer edge that a label held near fills well; only where nothing is read so is
the whole picture looked through."""


def number_in_photo(photo: bytes) -> int:
    """The number of the one label in a photo.

    Raises:
        Unreadable: it is no picture.
        Refused: it shows no label that can be read, or several.
    """
    found = numbers_in(opened(photo, ENOUGH)) or numbers_in(opened(photo, 0))
    if not found:
        raise Refused(
            "no label could be read in this photo",
            "hold it nearer and still, with light on the label, or type its number",
        )
    if len(found) > 1:
        raise Refused("this photo shows several labels: {labels}",
                      "go nearer to the one you mean", labels=tuple(sorted(found)))  # fmt: skip
    return found.pop()


def opened(photo: bytes, pixels: int) -> "Image.Image":
    """A photo in grays, reduced to about this many pixels across where it is a larger JPEG.

    Raises:
        Unreadable: it is no picture, broken, or larger than any camera's.
    """
    from PIL import Image

    try:
        picture = Image.open(BytesIO(photo), formats=FORMATS)
        if picture.width * picture.height > MOST_PIXELS:
            raise Unreadable(word("the photo"), "a picture of at most {millions} megapixels",
                             millions=MOST_PIXELS // 10**6)  # fmt: skip
        if pixels:
            picture.draft("L", (pixels, pixels))
        return picture.convert("L")
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as error:
        raise Unreadable(word("the photo"), "a picture of a label, as a camera takes it") from error


def numbers_in(picture: "Image.Image") -> set[int]:
    """The numbers of all labels that can be read."""
    import zxingcpp

    kinds = (zxingcpp.BarcodeFormat.QRCode, zxingcpp.BarcodeFormat.Code128)
    texts = [code.text for code in zxingcpp.read_barcodes(picture) if code.format in kinds]
    return {int(text) for text in texts if text.isascii() and text.isdecimal() and len(text) < 10}
