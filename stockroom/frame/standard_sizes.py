"""The sizes that frames are sold in ready made, to be cut from offcuts."""

from dataclasses import dataclass

from stockroom.units.lengths import Micrometres

__all__ = ["SIZES", "Size"]

HALF_INCH_UM = 12_700


@dataclass(frozen=True, slots=True)
class Size:
    """A standard size by its name; the artwork it takes, micrometres."""

    name: str
    width: Micrometres
    height: Micrometres

    def __post_init__(self) -> None:
        if not 0 < self.width <= self.height:
            raise ValueError(f"{self.name}: {self.width} x {self.height} um is no upright size")


def half_inches(name: str, width: int, height: int) -> Size:
    """A size given in half inches, each 12.7 mm exactly."""
    return Size(name, width * HALF_INCH_UM, height * HALF_INCH_UM)


SIZES = (
    half_inches("4x6 in", 8, 12),
    half_inches("5x7 in", 10, 14),
    half_inches("8x10 in", 16, 20),
    half_inches("8 1/2x11 in", 17, 22),
    half_inches("11x14 in", 22, 28),
    half_inches("12x16 in", 24, 32),
    half_inches("16x20 in", 32, 40),
    half_inches("18x24 in", 36, 48),
    half_inches("20x24 in", 40, 48),
    half_inches("24x36 in", 48, 72),
    Size("A6", 105_000, 148_000),
    Size("A5", 148_000, 210_000),
    Size("A4", 210_000, 297_000),
    Size("A3", 297_000, 420_000),
    Size("A2", 420_000, 594_000),
    Size("A1", 594_000, 841_000),
    Size("A0", 841_000, 1_189_000),
)
"""US frame sizes (a trade list, mefoto.com/picture-frame-sizes), and ISO 216's A series."""
