"""What cuts the moulding: how much of a stick each cutter takes at a mitre.

A new one is a row of ``CUTTERS``, and nothing else.
"""

from collections.abc import Callable
from dataclasses import dataclass

from stockroom.frame.mitres import saw_loss
from stockroom.frame.sizes import mm
from stockroom.units.lengths import Micrometres

__all__ = ["CUTTERS", "Cutter", "cut_allowance"]


MILLIMETRE = 1_000


@dataclass(frozen=True, slots=True)
class Cutter:
    """A kind of cutter: ``loss`` gives what its blade takes along the stick at a mitre, um, from
    the width of its cut and the number of the frame's sides."""

    name: str
    loss: Callable[[int, int], Micrometres]

    @property
    def has_kerf(self) -> bool:
        """True where its blade takes wood, so that the width of its cut counts."""
        return self.loss(MILLIMETRE, 4) > 0


def shears(_kerf: int, _sides: int) -> Micrometres:
    """A blade that parts the wood takes none of it."""
    return Micrometres(0)


CUTTERS = {
    cutter.name: cutter for cutter in (Cutter("saw", saw_loss), Cutter("guillotine", shears))
}


def cut_allowance(
    kerf: Micrometres, clean_up: int, cutter: str = "saw", sides: int | None = 4
) -> Micrometres:
    """Stick length lost at each rail end cut: the blade's part and the cleaning up, um.

    ``sides`` are those of the frame that is mitred; None is a square cut, that takes the kerf.

    Raises:
        ValueError: kerf or clean-up is negative.
    """
    if kerf < 0 or clean_up < 0:
        raise ValueError(
            f"a kerf of {mm(kerf)} and a clean-up of {mm(clean_up)}; not below nothing"
        )
    loss = CUTTERS[cutter].loss
    taken = loss(kerf, sides) if sides else min(kerf, loss(kerf, 4))
    return Micrometres(taken + clean_up)
