"""What holds a frame's corners and what fixes a canvas in its float; micrometres and grams."""

from dataclasses import dataclass
from typing import Literal

from stockroom.refusals import Unfit

__all__ = [
    "NailPlace",
    "Screw",
    "float_screw",
    "glass_grams",
    "nail_place",
    "v_nail",
    "wood_density",
]

V_NAILS_UM = (7_000, 10_000, 12_000, 15_000)
CLEAR_OF_CANVAS_UM = 6_350
"""1/4 in: how near a screw may come to the canvas (common practice)."""


@dataclass(frozen=True, slots=True)
class NailPlace:
    """Where a V-nail goes into a rail, and how thick the wood is there."""

    where: Literal["back", "wall", "ledge"]
    thick_um: int


@dataclass(frozen=True, slots=True)
class Screw:
    """The longest screw through a ledge into a stretcher bar: how far it goes into the bar, and
    how far short of the canvas it stops."""

    longest_um: int
    into_um: int
    short_of_um: int


def nail_place(
    height_um: int, wall_um: int | None = None, ledge_um: int | None = None
) -> NailPlace:
    """Where the V-nail goes: into the back of a solid rail, or the thicker leg of an L.

    A float's overall height counts for nothing: its nail sits in a ledge or in a wall.
    """
    if wall_um is None or ledge_um is None:
        return NailPlace("back", height_um)
    return NailPlace("ledge", ledge_um) if ledge_um >= wall_um else NailPlace("wall", wall_um)


def v_nail(thick_um: int) -> int | None:
    """The tallest V-nail of at most three quarters of the wood it goes into; None if too thin.

    A suggestion, micrometres. Source: lionpic.co.uk and ukpictureframingsupplies.co.uk.

    Raises:
        Unfit: the thickness is not more than nothing.
    """
    if thick_um <= 0:
        raise Unfit("moulding_without_height")
    return max((nail for nail in V_NAILS_UM if 4 * nail <= 3 * thick_um), default=None)


def float_screw(ledge_um: int, bar_um: int, canvas_um: int) -> Screw | None:
    """The longest screw that fixes a canvas in its float, or None where the bar is too thin.

    It goes through the ledge and at most half into the bar, and stops 1/4 in or more short of
    the canvas (common practice).

    Raises:
        Unfit: a thickness is below nothing, or the bar is thicker than the canvas is deep.
    """
    if min(ledge_um, bar_um, canvas_um) < 0:
        raise Unfit("thickness_below_nothing")
    if bar_um > canvas_um:
        raise Unfit("bar_thicker_than_canvas")
    into = min(bar_um // 2, bar_um - CLEAR_OF_CANVAS_UM)
    return Screw(ledge_um + into, into, canvas_um - into) if into > 0 else None


def glass_grams(across_um: int, upright_um: int, thick_um: int) -> float:
    """What a pane of glass weighs, grams: 2.5 kg a square metre for each millimetre."""
    return 2.5 * across_um * upright_um * thick_um / 1e12


def wood_density(specific_gravity: float) -> float:
    """Air-dry wood's density at 12 % moisture, kg a cubic metre: SG × 1.12 × 1000 (from memory)."""
    return specific_gravity * 1.12 * 1000
