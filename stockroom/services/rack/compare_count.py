"""A count against the record: each piece agreed, missing, found, measured, or moved meanwhile."""

from collections.abc import Sequence
from dataclasses import replace

from sqlmodel import Session, col, or_, select

from stockroom.facts import Fact, Tellable
from stockroom.record import catalogue
from stockroom.record.ledger import RackPiece, on_rack
from stockroom.record.numbering import serial
from stockroom.record.stocktake import Counted, Differences, Scope, Sighting
from stockroom.record.tables import Entry, Move, Piece, Profile
from stockroom.refusals import Refused, StockroomError, Unknown
from stockroom.remedies import Do, Remedy
from stockroom.services.rack.pieces import what_took
from stockroom.units.lengths import Micrometres

__all__ = ["differences"]


def differences(
    session: Session, scope: Scope, as_of: int, seen: Sequence[Sighting]
) -> Differences:
    """What the record and the count say of each piece.

    Raises:
        Refused: the count begins after the last entry, or sightings make no sense.
    """
    if not 0 <= as_of < serial(session, Entry):
        raise Refused("no_entry_to_count_from", Remedy(Do.COUNT), as_of=as_of)
    now = {piece.id: piece for piece in on_rack(session)}
    expected = expected_at(session, scope, as_of)
    faults: list[tuple[int, Tellable]] = []
    told = Told(session, scope, now, expected, as_of)
    for sighting in seen:
        try:
            told.take(sighting)
        except StockroomError as error:
            faults.append((sighting.row, error))
    if faults:
        raise Refused("sightings_refused", faults=tuple(faults))
    told.take_unseen()
    return told.differences()


def expected_at(session: Session, scope: Scope, as_of: int) -> dict[int, str]:
    """The pieces that were to be counted when the count began, with their places then."""
    asked = select(Piece).where(
        col(Piece.came_in) <= as_of, or_(col(Piece.left_in).is_(None), col(Piece.left_in) > as_of)
    )
    if scope.profile is not None:
        asked = asked.where(Piece.profile_code == scope.profile)
    pieces = session.exec(asked.order_by(col(Piece.id))).all()
    moves = session.exec(
        select(Move)
        .join(Piece)
        .where(col(Move.moved_in) <= as_of)
        .where(or_(col(Move.lifted_in).is_(None), col(Move.lifted_in) > as_of))
        .where(or_(col(Piece.left_in).is_(None), col(Piece.left_in) > as_of))
        .order_by(col(Move.id))
    ).all()
    spots = {move.piece_id: move.spot for move in moves}
    return {piece.id: spot for piece in pieces
            if scope.holds(piece.profile_code, spot := spots.get(piece.id, ""))}  # fmt: skip


class Told:
    """A count as it is told, piece by piece, against the record as it is now."""

    def __init__(
        self,
        session: Session,
        scope: Scope,
        now: dict[int, RackPiece],
        expected: dict[int, str],
        as_of: int,
    ) -> None:
        self.session, self.scope, self.now = session, scope, now
        self.expected, self.as_of = expected, as_of
        self.seen: set[int] = set()
        self.agreed: list[int] = []
        self.missing: list[Counted] = []
        self.found: list[Counted] = []
        self.measured: list[Counted] = []
        self.misplaced: list[tuple[int, str]] = []
        self.meanwhile: list[tuple[int, Fact]] = []
        self.at_saw: list[tuple[int, int]] = []

    def take(self, sighting: Sighting) -> None:
        """One piece that was seen.

        Raises:
            Refused: it was seen twice, or its measure cannot be.
            Unknown: no piece ever had its number.
        """
        if sighting.number is None:
            self.found.append(self.unlabelled(sighting))
            return
        if sighting.number in self.seen:
            raise Refused("piece_seen_twice", number=sighting.number)
        self.seen.add(sighting.number)
        piece = self.now.get(sighting.number)
        if piece is None:
            self.take_gone(sighting.number, sighting)
        else:
            self.take_there(piece, sighting)

    def unlabelled(self, sighting: Sighting) -> Counted:
        """A piece that no list knew, and that gets a number."""
        profile = catalogue.profile_named(self.session, sighting.profile or "")
        if not self.scope.holds(profile.code, sighting.spot or self.scope.spot):
            raise Refused("profile_not_in_count", Remedy(Do.LOG_FOUND), profile=profile.code)
        batch = catalogue.clean_code(sighting.batch, "batch")
        return counted(profile, batch, sighting, 0, 0, sighting.length or 0,
                       sighting.spot or self.scope.spot)  # fmt: skip

    def take_gone(self, number: int, sighting: Sighting) -> None:
        """A label was read that is not on the rack by the record."""
        gone = self.session.get(Piece, number)
        if gone is None:
            raise Unknown("unknown_piece", str(number))
        story = what_took(self.session, gone.left_in)
        if (gone.left_in or 0) > self.as_of:
            self.meanwhile.append((number, Fact("left_the_rack", {"taken": story})))
            return
        if sighting.length is None:
            raise Refused("piece_left_before_count", number=number, taken=story)
        profile = self.session.get_one(Profile, gone.profile_code)
        was = replace(sighting, kind=gone.kind)
        self.found.append(counted(profile, gone.batch_code, was, 0, 0, sighting.length,
                                  sighting.spot or self.scope.spot))  # fmt: skip

    def take_there(self, piece: RackPiece, sighting: Sighting) -> None:
        """A piece was seen that is on the rack."""
        if not self.scope.holds(piece.profile, self.scope.spot):
            raise Refused("piece_not_in_count", piece=piece.id, profile=piece.profile)
        here = self.scope.holds(piece.profile, piece.spot)
        if piece.id in self.expected and not here and not sighting.spot:
            self.meanwhile.append((piece.id, put_at(piece)))
            return
        at = sighting.spot or (piece.spot if here else self.scope.spot)
        if at.upper() != piece.spot.upper():
            self.misplaced.append((piece.id, at))
        if sighting.length not in (None, piece.length):
            self.measured.append(self.remeasured(piece, sighting))
        elif piece.id in self.expected:
            self.agreed.append(piece.id)
        elif piece.spot.upper() == at.upper():
            self.meanwhile.append((piece.id, Fact("came_after_count_began")))

    def remeasured(self, piece: RackPiece, sighting: Sighting) -> Counted:
        """A piece whose tape measure differs from the record."""
        length = sighting.length or 0
        if piece.held_by is not None:
            raise Refused("held_piece_measures_otherwise", piece=piece.id, plan=piece.held_by)
        if beyond := [end for _, end in piece.flaws if end > length]:
            raise Refused("flaw_beyond_measured", piece=piece.id, end_um=beyond[0])
        profile = self.session.get_one(Profile, piece.profile)
        return counted(profile, piece.batch, replace(sighting, kind=piece.kind), piece.id,
                       piece.length, length, piece.spot)  # fmt: skip

    def take_unseen(self) -> None:
        """What should be there and was not seen: missing, at the saw, or gone meanwhile."""
        for number in sorted(set(self.expected) - self.seen):
            piece = self.now.get(number)
            if piece is None:
                gone = self.session.get_one(Piece, number)
                story = what_took(self.session, gone.left_in)
                self.meanwhile.append((number, Fact("left_the_rack", {"taken": story})))
            elif piece.held_by is not None:
                self.at_saw.append((number, piece.held_by))
            elif not self.scope.holds(piece.profile, piece.spot):
                self.meanwhile.append((number, put_at(piece)))
            else:
                profile = self.session.get_one(Profile, piece.profile)
                seen = Sighting(number, kind=piece.kind)
                self.missing.append(counted(profile, piece.batch, seen, number, piece.length, 0,
                                            piece.spot))  # fmt: skip

    def differences(self) -> Differences:
        """What the count comes to."""
        return Differences(
            self.as_of, tuple(self.agreed), tuple(self.missing), tuple(self.found),
            tuple(self.measured), tuple(self.misplaced), tuple(self.meanwhile),
            tuple(self.at_saw),
        )  # fmt: skip


def put_at(piece: RackPiece) -> Fact:
    """Where a piece was put meanwhile."""
    return Fact("was_put_at", {"spot": piece.spot}) if piece.spot else Fact("was_put_nowhere")


def counted(
    profile: Profile,
    batch: str,
    sighting: Sighting,
    number: int,
    recorded: int,
    length: Micrometres,
    spot: str,
) -> Counted:
    """A difference, with what it is worth by the catalogue."""
    return Counted(number, profile.code, batch, sighting.kind, recorded, length,
                   money_of(profile, length - recorded), spot, sighting.note)  # fmt: skip


def money_of(profile: Profile, length: Micrometres) -> int | None:
    """What a length of a profile costs, minor units; None without a price."""
    price = catalogue.price_of(profile)
    return None if price is None else price.of(length)
