"""The units that a shop can measure and print in, each with all that follows from the choice.

A new one is a row of ``SHOP_UNITS``, and nothing else.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from stockroom.units.lengths import HALF_MM, INCH_UM, UNITS, Micrometres

__all__ = ["SHOP_UNITS", "USUAL", "ShopUnit"]

USUAL = ("gap", "allowance", "overlap", "cover_least", "cover_most", "margin")
"""What a shop sets for itself, or has as it is usual where shops measure so."""


@dataclass(frozen=True, slots=True)
class ShopUnit:
    """A unit of length as a shop uses it.

    ``steps`` are what lengths may be set and printed in, um exactly, the usual one first; ``usual``
    the lengths of ``USUAL``, um. ``axis`` is what a chart's lengths count in, ``inches`` whether
    such shops also speak of united inches, pounds and letter paper; ``number_wide`` is the room for
    a number on a cut sheet, mm.
    """

    name: str
    plural: str
    steps: Mapping[str, Fraction]
    usual: Mapping[str, Micrometres]
    axis: tuple[str, Micrometres]
    inches: bool
    number_wide: float

    @property
    def um(self) -> Micrometres:
        """How long one is."""
        return Micrometres(UNITS[self.name])


def lengths(*um: int) -> dict[str, Micrometres]:
    """Usual lengths by their names."""
    return dict(zip(USUAL, map(Micrometres, um), strict=True))


METRES = ("m", Micrometres(1_000_000))
METRIC = lengths(10_000, 3_000, 5_000, 3_000, 6_000, 3_000)
"""A float's gap 10 mm, a rabbet's allowance 3 mm, a mat's overlap 5 mm, a lip's cover 3 to 6 mm:
common practice. An offcut's margin 3 mm: a tape that is read to 1/16 in, twice, and a piece that is
not quite straight."""
INCHES = lengths(9_525, 3_175, 6_350, 3_175, 6_350, 3_175)
"""The same in inches: 3/8, 1/8, 1/4, 1/8 to 1/4, 1/8 in."""

SHOP_UNITS = {
    unit.name: unit
    for unit in (
        ShopUnit("in", "inches", {f"1/{n} in": Fraction(INCH_UM, n) for n in (16, 32, 64)},
                 INCHES, ("ft", Micrometres(12 * INCH_UM)), True, 16.5),
        ShopUnit("mm", "millimetres", {"0.5 mm": HALF_MM, "1 mm": 2 * HALF_MM}, METRIC, METRES,
                 False, 25.0),
        ShopUnit("cm", "centimetres", {"0.05 cm": HALF_MM, "0.1 cm": 2 * HALF_MM}, METRIC, METRES,
                 False, 25.0),
    )
}  # fmt: skip
