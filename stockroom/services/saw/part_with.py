"""Lengths that leave the shop outside any plan: sold, as a sample corner, as a gift."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sqlmodel import Session

from planner.stretches import stretches
from stockroom.record.catalogue import profile_named
from stockroom.record.columns import PARTED
from stockroom.record.database import changing
from stockroom.record.ledger import Flow, RackPiece, add_lines, on_rack, open_entry, take_off
from stockroom.refusals import Refused, Unreadable
from stockroom.services.planning import planner_piece, rules_for
from stockroom.services.rack.pieces import the_piece
from stockroom.services.saw.cut_arithmetic import Reckoned, SawReport, reckon
from stockroom.services.saw.goes_back import goes_back
from stockroom.services.shop import Shop
from stockroom.units.lengths import Micrometres

__all__ = ["Parted", "part_with"]

MITRED = "sample"
"""A sample corner is mitred; what is sold by length or given away is cut square."""


@dataclass(frozen=True, slots=True)
class Parted:
    """What was parted with: the piece as it was, what went of it (um), and the new offcuts."""

    entry: int
    piece: RackPiece
    gone: Micrometres
    offcuts: tuple[RackPiece, ...]


@dataclass(slots=True)
class Bare:
    """A length that is no frame's, from a stretch of its piece."""

    length_um: int
    stretch: int
    frame_id: int = 0
    rail: int = 0


def part_with(
    shop: Shop, number: int, lengths: Sequence[Micrometres], place: str, why: str,
    leftover: Micrometres | None = None, spot: str = "",
) -> Parted:  # fmt: skip
    """Cuts lengths off a piece, or takes all of it where none is named; the rest goes back.

    ``place`` says what they leave as: sold, sample or gift. ``leftover`` is what the tape says of
    the rest; else it is reckoned as any other cut.

    Raises:
        Unreadable: they leave as something else.
        Refused: the piece is too short, or a length is none.
        Clash: a plan holds the piece, or it has left the rack.
    """
    if place not in PARTED:
        raise Unreadable(place, "of_parting")
    if min(lengths, default=1) <= 0:
        raise Refused("length_of_nothing", length_um=0)
    with changing(shop.engine, shop.waiting) as session:
        piece = the_piece(session, number)
        if not lengths:
            return whole(session, shop, piece, place, why)
        report, cuts = cut_of(session, shop, piece, lengths, leftover, spot)
        profile = profile_named(session, piece.profile)
        machine = shop.machine or profile.machine or shop.settings.machine
        reckoned = reckon(report, piece, cuts, rules_for(shop.settings, profile, machine))
        reckoned = ended(reckoned, cuts[0].stretch, place)
        flows = [replace(flow, place=place, frame=None, rail=None) if flow.place == "rails"
                 else flow for flow in reckoned.flows]  # fmt: skip
        entry = open_entry(session, shop.hand, place, why=why,
                           detail={**reckoned.detail, "machine": machine},
                           touches=[("piece", number)])  # fmt: skip
        offcuts = goes_back(session, shop, entry, piece, reckoned, report, flows)
        add_lines(session, entry, flows)
        take_off(session, entry, number)
        return Parted(entry, piece, sum(lengths), tuple(on_rack(session, ids=offcuts)))


def whole(session: Session, shop: Shop, piece: RackPiece, place: str, why: str) -> Parted:
    """All of a piece leaves, as it is."""
    at = (piece.profile, piece.batch)
    entry = open_entry(session, shop.hand, place, why=why, touches=[("piece", piece.id)])
    add_lines(session, entry, [Flow("rack", -piece.length, *at, piece=piece.id),
                               Flow(place, piece.length, *at)])  # fmt: skip
    take_off(session, entry, piece.id)
    return Parted(entry, piece, piece.length, ())


def cut_of(
    session: Session, shop: Shop, piece: RackPiece, lengths: Sequence[Micrometres],
    leftover: Micrometres | None, spot: str,
) -> tuple[SawReport, list[Bare]]:  # fmt: skip
    """The lengths as cut from the shortest stretch that yields them.

    Raises:
        Refused: none does.
    """
    rules = rules_for(shop.settings, profile_named(session, piece.profile))
    runs = stretches(planner_piece(piece), rules)
    fitting = [(run.tape, place) for place, run in enumerate(runs)
               if sum(lengths) <= run.tape - run.first_trim]  # fmt: skip
    if not fitting:
        raise Refused("piece_too_short_to_part_with", piece=piece.id, wanted_um=sum(lengths))
    at = min(fitting)[1]
    left = None if leftover is None else tuple(
        leftover if place == at else run.tape for place, run in enumerate(runs)
    )  # fmt: skip
    report = SawReport(0, piece.id, leftovers=left, spot=spot)
    return report, [Bare(length, at) for length in lengths]


def ended(reckoned: Reckoned, at: int, place: str) -> Reckoned:
    """The cut with the fresh end of its leftover as the saw made it."""
    if place == MITRED:
        return reckoned
    lefts = tuple(
        replace(left, ends=("square", left.ends[1])) if number == at else left
        for number, left in enumerate(reckoned.lefts)
    )
    return replace(reckoned, lefts=lefts)
