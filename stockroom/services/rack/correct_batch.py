"""Batches set right: one piece or many, or a batch that turns out to be two.

A stick is of one batch, so with a piece go all that was cut from the same stick: the pieces that
lie on the rack and the rails that frames have.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlmodel import Session, col, select

from stockroom.record.catalogue import add_batch, profile_named
from stockroom.record.database import changing
from stockroom.record.jobs import labels
from stockroom.record.ledger import BATCH, Flow, RackPiece, add_lines, on_rack, open_entry
from stockroom.record.tables import Frame, Line, Piece, PlanRail
from stockroom.refusals import Clash, Refused, Unknown
from stockroom.remedies import Do, Remedy
from stockroom.services.rack.pieces import the_piece
from stockroom.services.rack.rails_back import StandingRail, rails_standing
from stockroom.services.shop import Shop

__all__ = ["Corrected", "correct_batch", "pieces_of_batch"]


@dataclass(frozen=True, slots=True)
class Corrected:
    """What was set right: the pieces as they are now, those that came along, frames with rails.

    ``along`` are numbers of pieces cut from the same sticks; ``mixed`` are the frames that have
    rails of more than one batch now.
    """

    entry: int
    batch: str
    pieces: tuple[RackPiece, ...]
    along: tuple[int, ...]
    frames: tuple[str, ...]
    mixed: tuple[str, ...]


def pieces_of_batch(shop_pieces: Sequence[RackPiece], profile: str, batch: str) -> list[int]:
    """The numbers of the pieces of a batch.

    Raises:
        Unknown: none lies on the rack.
    """
    wanted = (profile.upper(), batch.strip().upper())
    found = [piece.id for piece in shop_pieces if (piece.profile, piece.batch) == wanted]
    if not found:
        there = {piece.batch for piece in shop_pieces if piece.profile == profile.upper()}
        raise Unknown("unknown_batch_on_the_rack", batch, sorted(there))
    return found


def correct_batch(shop: Shop, numbers: Sequence[int], batch: str, why: str = "") -> Corrected:
    """These pieces, and all that was cut from the same sticks, are of another batch.

    Raises:
        Unknown, Clash: a piece has left the rack, or a plan holds it or a rail of such a frame.
        Refused: they are of several profiles, or of that batch already.
    """
    with changing(shop.engine, shop.waiting) as session:
        pieces = [the_piece(session, number) for number in dict.fromkeys(numbers)]
        profile = one_profile(pieces)
        code = add_batch(session, profile_named(session, profile).code, batch)
        family = cut_from_same(session, [piece.id for piece in pieces])
        there = [piece for piece in on_rack(session, ids=sorted(family)) if piece.batch != code]
        if not there:
            raise Refused("pieces_of_batch_already", batch=code)
        there = [the_piece(session, piece.id) for piece in there]
        rails = [rail for rail in rails_from(session, family) if rail.batch != code]
        refuse_held(session, rails)
        return write(session, shop, pieces, there, family, rails, code, why)


def write(
    session: Session, shop: Shop, asked: Sequence[RackPiece], there: Sequence[RackPiece],
    family: frozenset[int], rails: Sequence[StandingRail], code: str, why: str,
) -> Corrected:  # fmt: skip
    """The entry, its lines, and what it did."""
    frames = sorted({rail.frame for rail in rails})
    jobs = session.exec(select(Frame.job_id).where(col(Frame.id).in_(frames))).all()
    said = f"{', '.join(sorted({piece.batch for piece in there}))} is {code}"
    entry = open_entry(
        session, shop.hand, BATCH, why=f"{said}; {why}" if why else said,
        detail={"batches": {str(piece.id): piece.batch for piece in there}},
        touches=[*(("piece", number) for number in sorted(family)),
                 *(("job", job) for job in sorted(set(jobs)))],
    )  # fmt: skip
    flows: list[Flow] = []
    for piece in there:
        flows.append(Flow("rack", -piece.length, piece.profile, piece.batch, piece=piece.id))
        flows.append(Flow("rack", piece.length, piece.profile, code, piece=piece.id))
        session.get_one(Piece, piece.id).batch_code = code
    for rail in rails:
        flows.append(rail.out)
        flows.append(Flow("rails", rail.length, rail.profile, code, frame=rail.frame,
                          rail=rail.rail))  # fmt: skip
    add_lines(session, entry, flows, across_batches=True)
    named = labels(session, frames)
    mixed = [number for number in frames if len(batches_in(session, number)) > 1]
    along = {piece.id for piece in there} - {piece.id for piece in asked}
    return Corrected(entry, code, tuple(on_rack(session, ids=[piece.id for piece in there])),
                     tuple(sorted(along)), tuple(named[number] for number in frames),
                     tuple(named[number] for number in mixed))  # fmt: skip


def one_profile(pieces: Sequence[RackPiece]) -> str:
    """The profile of these pieces.

    Raises:
        Refused: there is none, or they are of several.
    """
    codes = sorted({piece.profile for piece in pieces})
    if len(codes) != 1:
        if not codes:
            raise Refused("no_piece_given")
        raise Refused("pieces_of_many_profiles", profiles=tuple(codes))
    return codes[0]


def cut_from_same(session: Session, numbers: Sequence[int]) -> frozenset[int]:
    """These pieces with all ancestors and offspring of theirs, on the rack or gone."""
    family: set[int] = set()
    for number in numbers:
        piece = session.get_one(Piece, number)
        while piece.parent_id is not None:
            piece = session.get_one(Piece, piece.parent_id)
        young = {piece.id}
        while young:
            family |= young
            asked = select(Piece.id).where(col(Piece.parent_id).in_(young))
            young = set(session.exec(asked)) - family
    return frozenset(family)


def rails_from(session: Session, family: frozenset[int]) -> list[StandingRail]:
    """The rails that were cut from these pieces and stand."""
    cuts = select(Line.entry_id).where(col(Line.piece_id).in_(family), Line.length_um < 0)
    asked = select(Frame).where(col(Frame.id).in_(
        select(Line.frame_id).where(col(Line.entry_id).in_(cuts), col(Line.frame_id).is_not(None))
    ))  # fmt: skip
    return [rail for rail in rails_standing(session, session.exec(asked).all())
            if rail.piece in family]  # fmt: skip


def refuse_held(session: Session, rails: Sequence[StandingRail]) -> None:
    """No plan is about to cut more rails of these frames to match.

    Raises:
        Clash: one is.
    """
    held = session.exec(
        select(PlanRail.plan_id).where(
            col(PlanRail.frame_id).in_({rail.frame for rail in rails}),
            col(PlanRail.settled_in).is_(None),
        )
    ).first()
    if held is not None:
        raise Clash("rails_to_match_are_held", Remedy(Do.LET_GO, held), plan=held)


def batches_in(session: Session, frame: int) -> set[str]:
    """The batches that a frame's rails are of."""
    return {rail.batch for rail in rails_standing(session, [session.get_one(Frame, frame)])}
