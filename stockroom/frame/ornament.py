"""An ornament that repeats: whether all four corners of a frame show the same, and what would."""

from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from stockroom.units.lengths import Micrometres

__all__ = ["Larger", "corners_match", "larger_to_match"]


@dataclass(frozen=True, slots=True)
class Larger:
    """So much longer the rails across (``side`` 0), or the upright ones (1), would match."""

    side: int
    more: Micrometres


def corners_match(
    across: Micrometres, upright: Micrometres, repeat: Micrometres, step: Fraction
) -> bool:
    """Whether all corners show the same of an ornament whose rails begin where a motif does.

    At each corner a rail's end meets the next one's beginning: round the frame the ends are those
    of the rails across and of the upright ones by turns, so that the corners are alike where both
    lengths leave the same of the repeat, to half a step that can be set. Source: our own reckoning.
    """
    off = (across - upright) % repeat
    return min(off, repeat - off) <= ceil(step / 2)


def larger_to_match(
    across: Micrometres, upright: Micrometres, repeat: Micrometres, step: Fraction
) -> Larger:
    """The least, in steps that can be set, by which one pair is longer so that all corners match.

    Both pairs are tried, step by step; within one repeat one of them matches.
    """
    count = 0
    while True:
        more = Micrometres(ceil(count * step))
        if corners_match(Micrometres(across + more), upright, repeat, step):
            return Larger(0, more)
        if corners_match(across, Micrometres(upright + more), repeat, step):
            return Larger(1, more)
        count += 1
