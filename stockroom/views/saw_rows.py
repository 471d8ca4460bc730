"""What is set on the saw for a job: each length with its ends once, and what its stop reads."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from stockroom.facts import Fact
from stockroom.frame.shapes import MITRED, Angles, beyond_ends, ends_said
from stockroom.frame.sizes import FrameSizes, Moulding
from stockroom.units.lengths import Micrometres

__all__ = ["SawRow", "named_from_edge", "saw_rows"]


@dataclass(frozen=True, slots=True)
class SawRow:
    """Rails of one length and the same ends: how many, their long point, what the stop reads (um)
    and their ends."""

    many: int
    long_um: Micrometres
    stop_um: Micrometres
    angles: Angles

    @property
    def ends(self) -> Fact:
        """How both ends are cut."""
        said = ends_said(self.angles)
        return Fact("ends_mitred", {"angle": "45°"}) if said is None else said


def saw_rows(sizes: FrameSizes, moulding: Moulding, quantity: int = 1) -> list[SawRow]:
    """The rails of so many frames, those of one length and the same ends together; in the order of
    the rails, and where lengths are given themselves the longest first."""
    hidden = moulding.hidden(sizes.stop)
    found: dict[tuple[Micrometres, Angles], int] = {}
    for rail, length in enumerate(sizes.lengths_um):
        key = length, sizes.shape.angles(rail)
        found[key] = found.get(key, 0) + quantity
    rows = [
        SawRow(many, length, Micrometres(length - beyond_ends(hidden, angles)), angles)
        for (length, angles), many in found.items()
    ]
    return sorted(rows, key=lambda row: -row.long_um) if sizes.shape.listed else rows


def named_from_edge(rows: Iterable[SawRow]) -> Iterator[Fact]:
    """The same mitres as scales name them that count from the edge; nothing where that is one
    number, at 45 degrees, or where nothing is mitred."""
    for angle in dict.fromkeys(max(row.angles) for row in rows):
        if angle and angle != MITRED[0]:
            yield Fact("angle_from_edge", {"angle": f"{float(angle):.4g}°",
                                           "edge": f"{float(90 - angle):.4g}°"})  # fmt: skip
