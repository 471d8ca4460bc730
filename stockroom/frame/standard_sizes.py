"""The sizes that frames are sold in ready made: a shop's own list, begun from a usual one."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stockroom.refusals import Unreadable
from stockroom.units.lengths import Micrometres, Unit, parse_length

__all__ = ["STARTERS", "Size", "listed", "read_sizes", "size_known"]

LEAST_UM = Micrometres(50_000)
"""The short side of a frame that anybody sells: less is taken for a slip of the unit."""
MOST_SIZES = 100
ISO_216 = {
    "A6": (105_000, 148_000), "A5": (148_000, 210_000), "A4": (210_000, 297_000),
    "A3": (297_000, 420_000), "A2": (420_000, 594_000), "A1": (594_000, 841_000),
    "A0": (841_000, 1_189_000),
}  # fmt: skip
"""The A series of paper, by ISO 216."""
SIDES = re.compile(
    r"(?P<first>[0-9][0-9 ./,-]*?) ?(?P<first_unit>[a-z\"']*) ?[x×] ?"
    r"(?P<second>[0-9][0-9 ./,-]*?) ?(?P<second_unit>[a-z\"']*)"
)


@dataclass(frozen=True, slots=True)
class Size:
    """A standard size by its name; the artwork it takes, micrometres."""

    name: str
    width: Micrometres
    height: Micrometres

    def __post_init__(self) -> None:
        if not 0 < self.width <= self.height:
            raise ValueError(f"{self.name}: {self.width} x {self.height} um is no upright size")


def read_size(typed: str, unit: Unit) -> Size:
    """A size as it is typed, the short side first or not; a bare number is in ``unit``.

    Raises:
        Unreadable: it is none.
    """
    name = " ".join(typed.lower().split())
    if name.upper() in ISO_216:
        return Size(name.upper(), *ISO_216[name.upper()])
    sides = SIDES.fullmatch(name)
    named = (sides["second_unit"] or sides["first_unit"] or unit) if sides else ""
    if sides is None or sides["first_unit"] not in ("", named):
        raise Unreadable(typed, "of_size")
    first, second = (f"{sides[side]} {named}" for side in ("first", "second"))
    short, long = sorted(parse_length(side, unit) for side in (first, second))
    if short < LEAST_UM:
        raise Unreadable(typed, "of_size")
    return Size(f"{sides['first']}x{sides['second']} {named}", short, long)


def read_sizes(typed: str, unit: Unit, known: Sequence[Size] = ()) -> tuple[Size, ...]:
    """A list of sizes with ; between, each once; those that are known may lack their unit.

    Raises:
        Unreadable: one of them is none, or there are none, or too many.
    """
    found = {plain(size.name): size
             for text in typed.split(";") if text.strip()
             for size in [size_known(text, known, unit)]}  # fmt: skip
    if not 0 < len(found) <= MOST_SIZES:
        raise Unreadable(typed, "of_sizes", most=MOST_SIZES)
    return tuple(found.values())


def listed(sizes: Iterable[Size]) -> str:
    """A list of sizes as it is typed and kept."""
    return "; ".join(size.name for size in sizes)


def size_known(typed: str, known: Iterable[Size], unit: Unit) -> Size:
    """A size by its name among those known, with its unit or without it; else any that is typed.

    Raises:
        Unreadable: it is none.
    """
    wanted = plain(typed)
    for size in known:
        if wanted in (plain(size.name), plain(size.name.rpartition(" ")[0])):
            return size
    return read_size(typed, unit)


def plain(name: str) -> str:
    """A size's name in small letters, without blanks."""
    return "".join(name.lower().split())


STARTERS = {
    "in": read_sizes("4x6 in; 5x7 in; 8x10 in; 8 1/2x11 in; 11x14 in; 12x16 in; 16x20 in; "
                     "18x24 in; 20x24 in; 24x36 in", "in"),
    "mm": read_sizes("10x15 cm; 13x18 cm; 15x20 cm; 18x24 cm; 20x30 cm; 24x30 cm; 30x40 cm; "
                     "40x50 cm; 40x60 cm; 50x60 cm; 50x70 cm; 60x80 cm; 70x100 cm; "
                     "A6; A5; A4; A3; A2; A1; A0", "mm"),
}  # fmt: skip
"""What a new shop's list begins with, where it measures in inches and where it does not: sizes sold
in the US (a trade list, mefoto.com/picture-frame-sizes); sizes common in Europe, from memory, and
ISO 216's."""
