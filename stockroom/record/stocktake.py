"""A count of the rack as plain values: its scope, what was seen, how it differs from the record.

And the pieces that were not at their place when they were fetched, until somebody sees them again.
"""

from collections.abc import Collection
from dataclasses import dataclass

from sqlmodel import Session, col, select

from stockroom.facts import Fact
from stockroom.record.ledger import RackPiece, stands
from stockroom.record.tables import Entry, Touch
from stockroom.refusals import Refused
from stockroom.units.lengths import Micrometres

__all__ = ["LONGEST_UM", "NOT_THERE", "CountSheet", "Counted", "Differences", "Scope", "Sighting",
           "not_seen"]  # fmt: skip

LONGEST_UM = 20_000_000
UNKNOWN_BATCH = "UNKNOWN"
NOT_THERE = "not_there"
"""What the detail of an entry 'left' says where the piece was not at its place."""
AT_ONCE = 500
"""Pieces asked about at once: they are found by the index of what entries are about."""
SEEN = ("cut", "move", "flaw", "remeasure", "count")
"""Entries about a piece that nobody makes who has not seen it."""


@dataclass(frozen=True, slots=True)
class Scope:
    """What is counted: places that begin so, one profile, or both; all of the rack if neither.

    ``alone`` takes the place itself and none that begins so.
    """

    spot: str = ""
    profile: str | None = None
    alone: bool = False

    def holds(self, profile: str, spot: str) -> bool:
        """True where a piece of this profile at this place is part of the count."""
        here, wanted = spot.upper(), self.spot.upper()
        there = here == wanted if self.alone else here.startswith(wanted)
        return there and self.profile in (None, profile)


@dataclass(frozen=True, slots=True)
class CountSheet:
    """What should be there when a count begins, and the entry that it begins at."""

    as_of: int
    scope: Scope
    pieces: tuple[RackPiece, ...]


@dataclass(frozen=True, slots=True)
class Sighting:
    """A piece that was seen: by its number, or measured where it has no label.

    ``length`` is as measured (um), None where the label was only read. ``row`` is its row in a
    file, 0 where it was typed.
    """

    number: int | None = None
    length: Micrometres | None = None
    profile: str | None = None
    batch: str = UNKNOWN_BATCH
    kind: str = "offcut"
    spot: str = ""
    note: str = ""
    row: int = 0

    def __post_init__(self) -> None:
        if self.number is None and (self.length is None or self.profile is None):
            raise Refused("sighting_without_label")
        if self.length is not None and not 0 < self.length <= LONGEST_UM:
            raise Refused("sighting_length", length_um=self.length)
        if self.kind not in ("stick", "offcut"):
            raise Refused("sighting_kind", kind=self.kind)


@dataclass(frozen=True, slots=True)
class Counted:
    """A piece as the record and the count have it; lengths in um, money in minor units.

    ``number`` is 0 where it gets one when the count is settled; ``recorded`` is 0 for what is
    found, ``counted`` is 0 for what is missing. ``money`` is None without a price.
    """

    number: int
    profile: str
    batch: str
    kind: str
    recorded: int
    counted: int
    money: int | None
    spot: str = ""
    note: str = ""

    @property
    def difference(self) -> int:
        """Counted less recorded, micrometres."""
        return self.counted - self.recorded


@dataclass(frozen=True, slots=True)
class Differences:
    """A count against the record.

    ``agreed`` were seen where they should be; ``missing``, ``found`` and ``measured`` are settled
    in one entry, as are the ``misplaced``, with the place they were seen at. ``meanwhile`` moved
    after the count began, each with what happened; ``at_saw`` were not seen, and a plan holds
    them.
    """

    as_of: int
    agreed: tuple[int, ...]
    missing: tuple[Counted, ...]
    found: tuple[Counted, ...]
    measured: tuple[Counted, ...]
    misplaced: tuple[tuple[int, str], ...]
    meanwhile: tuple[tuple[int, Fact], ...]
    at_saw: tuple[tuple[int, int], ...]

    @property
    def rows(self) -> tuple[Counted, ...]:
        """All that differs in length."""
        return (*self.missing, *self.found, *self.measured)


def not_seen(session: Session, pieces: Collection[int]) -> dict[int, Entry]:
    """Those of these pieces that were last looked for in vain, each with that entry."""
    asked = sorted(pieces)
    lost: dict[int, Entry] = {}
    for start in range(0, len(asked), AT_ONCE):
        some = [str(piece) for piece in asked[start : start + AT_ONCE]]
        rows = session.exec(
            select(Touch.which, Entry)
            .join(Entry, col(Entry.id) == Touch.entry_id)
            .where(Touch.what == "piece", col(Touch.which).in_(some), Entry.kind == "left")
            .order_by(col(Entry.id))
        )
        lost |= {int(piece): entry for piece, entry in rows if entry.detail.get(NOT_THERE)}
    return {piece: entry for piece, entry in lost.items() if not seen_after(session, piece, entry)}


def seen_after(session: Session, piece: int, entry: Entry) -> bool:
    """True where a later entry shows that somebody had the piece in hand."""
    later = session.exec(
        select(Entry.id)
        .join(Touch)
        .where(
            Touch.what == "piece", Touch.which == str(piece), col(Entry.id) > entry.id,
            col(Entry.kind).in_(SEEN), stands(),
        )
    ).first()  # fmt: skip
    return later is not None
