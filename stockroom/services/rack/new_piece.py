"""A piece that comes to the rack, as it is told: refused where it can't be one."""

from dataclasses import dataclass
from datetime import date

from stockroom.record.arrivals import Incoming
from stockroom.record.ledger import Flow
from stockroom.record.stocktake import LONGEST_UM
from stockroom.refusals import Refused
from stockroom.units.lengths import Micrometres

__all__ = ["OWNERS", "Arrival", "check_flaw", "check_marks"]

OWNERS = "returned"
"""The place of what customers brought, and have back."""


@dataclass(frozen=True, slots=True)
class Arrival:
    """A piece that comes to the rack: measured length and flaws in micrometres.

    ``ends`` are the label's and the far one, factory, cut or square; by its kind if not told. Its
    ``longest`` rail, ``grade``, ``owner`` and first ``motif`` are as a piece has them.
    """

    length: Micrometres
    number: int | None = None
    flaws: tuple[tuple[int, int], ...] = ()
    note: str = ""
    since: date | None = None
    spot: str = ""
    ends: tuple[str, ...] = ()
    longest: Micrometres | None = None
    grade: str = ""
    owner: str = ""
    motif: Micrometres | None = None

    def __post_init__(self) -> None:
        if not 0 < self.length <= LONGEST_UM:
            raise Refused("length_of_no_piece", length_um=self.length)
        check_marks(self.length, self.longest, self.motif)
        for start, end in self.flaws:
            check_flaw(start, end, self.length)

    def incoming(self, profile: str, batch: str, kind: str, spot: str = "") -> Incoming:
        """It as it comes on the record."""
        return Incoming(profile, batch, kind, self.spot or spot, number=self.number,
                        note=self.note, since=self.since, ends=self.ends,
                        flaws=self.flaws, longest=self.longest, grade=self.grade,
                        owner=self.owner, motif=self.motif)  # fmt: skip

    def flows(self, source: str, profile: str, batch: str, number: int) -> tuple[Flow, Flow]:
        """The lines that bring it from its source, or its owner, to the rack."""
        source = OWNERS if self.owner else source
        return (Flow(source, -self.length, profile, batch),
                Flow("rack", self.length, profile, batch, piece=number))  # fmt: skip


def check_flaw(start: int, end: int, length: Micrometres) -> None:
    """A flaw lies inside its piece.

    Raises:
        Refused: it does not.
    """
    if not 0 <= start < end <= length:
        raise Refused("flaw_not_inside_piece", start_um=start, end_um=end, length_um=length)


def check_marks(
    length: Micrometres, longest: Micrometres | None, motif: Micrometres | None
) -> None:
    """The longest rail and the first motif can be a piece's of this length.

    Raises:
        Refused: they can't.
    """
    if longest is not None and longest <= 0:
        raise Refused("length_of_nothing", length_um=longest)
    if motif is not None and not 0 <= motif <= length:
        raise Refused("motif_not_on_piece", motif_um=motif, length_um=length)
