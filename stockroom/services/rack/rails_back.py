"""Rails in hand that no frame waits for: back on the rack as offcuts, mitred at both ends."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from sqlalchemy import case
from sqlmodel import Session, col, select

from stockroom.record.arrivals import bring_in
from stockroom.record.catalogue import profile_named
from stockroom.record.jobs import rails_of
from stockroom.record.ledger import Flow, Hand, RackPiece, rails_cut, spots_of, stands
from stockroom.record.tables import Entry, Frame, Line, Piece
from stockroom.refusals import Unreadable
from stockroom.units.lengths import Micrometres

__all__ = [
    "NOT_MEASURED", "RAILS_TO", "RailsTo", "StandingRail", "rack_rail", "rails_standing",
    "rails_to_told", "send_back",
]  # fmt: skip

NOT_MEASURED = "a miscut rail, taken as planned less a cut"
"""The note on a miscut rail that nobody measured."""
CUT = ("cut", "cut to size")
RailsTo = Literal["rack", "scrap", "joined"]
"""Where cut rails of a job go that is cancelled or changed; joined frames stay as they are."""
RAILS_TO: tuple[RailsTo, ...] = ("rack", "scrap", "joined")


@dataclass(frozen=True, slots=True)
class StandingRail:
    """A rail that is cut and stands: its frame and number, long point (um), and what it was of.

    ``piece`` is the piece it was cut from, None where the record does not say.
    """

    frame: int
    rail: int
    length: Micrometres
    profile: str
    batch: str
    piece: int | None

    @property
    def out(self) -> Flow:
        """The line that takes it out of its frame."""
        return Flow("rails", -self.length, self.profile, self.batch, frame=self.frame,
                    rail=self.rail)  # fmt: skip


def rails_to_told(typed: str | None) -> RailsTo | None:
    """Where cut rails go, as typed; None where that was not said.

    Raises:
        Unreadable: it is none of the three.
    """
    if typed is None:
        return None
    for place in RAILS_TO:
        if place == typed:
            return place
    raise Unreadable(typed, "of_choices", choices=RAILS_TO)


def rack_rail(
    session: Session, entry: int, hand: Hand, rail: Flow, origin: RackPiece, cause: str,
    note: str = "",
) -> tuple[Flow, int | None]:  # fmt: skip
    """A rail as an offcut at ``origin``'s place, or scrap where it is too short to keep.

    Both ends are mitred already, and its length is its long point: the longest rail it can give.
    """
    plain = replace(rail, frame=None, rail=None, piece=None)
    if rail.length < max(profile_named(session, rail.profile).keep_um, 1):
        return replace(plain, place="scrap", cause=cause), None
    stick = session.get(Piece, origin.id)
    number = bring_in(session, entry, hand, profile=rail.profile, batch=rail.batch, kind="offcut",
                      spot=origin.spot, parent=origin.id or None, note=note,
                      longest=stick and stick.longest_um, grade=stick.grade if stick else "",
                      owner=stick.owner if stick else "")  # fmt: skip
    return replace(plain, place="rack", piece=number, cause=""), number


def rails_standing(session: Session, frames: Sequence[Frame]) -> list[StandingRail]:
    """The rails of these frames that are cut and stand, in order."""
    numbers = {frame.id: frame for frame in frames}
    found = []
    for (number, rail), batch in sorted(rails_cut(session, sorted(numbers)).items()):
        frame = numbers[number]
        entry, profile = cut_in(session, number, rail)
        length = rails_of(frame)[rail]
        found.append(StandingRail(number, rail, length, profile, batch,
                                  cut_from(session, entry)))  # fmt: skip
    return found


def cut_in(session: Session, frame: int, rail: int) -> tuple[int, str]:
    """The entry in which a rail that stands was cut, and its profile.

    What moved it since, from side to side or from batch to batch, is looked at last.
    """
    cut = col(Entry.kind).in_(CUT) & stands()
    entry, profile = session.exec(
        select(Line.entry_id, Line.profile_code)
        .join(Entry)
        .where(Line.frame_id == frame, Line.rail == rail, Line.length_um > 0)
        .order_by(case((cut, 0), else_=1), col(Line.id).desc())
    ).first() or (0, "")
    return entry, profile


def cut_from(session: Session, entry: int) -> int | None:
    """The piece that was cut in an entry."""
    asked = (
        select(Line.piece_id)
        .join(Entry)
        .where(Line.entry_id == entry, Line.place == "rack", Line.length_um < 0)
        .where(col(Entry.kind).in_(CUT))
    )
    return session.exec(asked).first()


def send_back(
    session: Session, entry: int, hand: Hand, rails: Sequence[StandingRail], to: RailsTo,
    cause: str = "spare rail", spot: str = "",
) -> tuple[list[Flow], list[int]]:  # fmt: skip
    """The lines that take these rails out of their frames, and the new offcuts' numbers.

    They go where the pieces lay that they were cut from, unless a ``spot`` is told.
    """
    spots = spots_of(session, [rail.piece for rail in rails if rail.piece is not None])
    flows: list[Flow] = []
    numbers: list[int] = []
    for rail in rails:
        flows.append(rail.out)
        there = replace(rail.out, length=rail.length)
        if to == "scrap":
            flows.append(replace(there, place="scrap", frame=None, rail=None, cause=cause))
            continue
        place = spot or spots.get(rail.piece or 0, "")
        flow, number = rack_rail(session, entry, hand, there, origin(rail, place, hand), cause)
        flows.append(flow)
        numbers += [] if number is None else [number]
    return flows, numbers


def origin(rail: StandingRail, spot: str, hand: Hand) -> RackPiece:
    """The piece that a rail was cut from, as far as the record knows it."""
    return RackPiece(rail.piece or 0, rail.profile, rail.batch, "offcut", 0, spot, hand.day, (),
                     None, "")  # fmt: skip
