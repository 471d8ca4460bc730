"""What a cut leaves in hand: leftovers and miscut rails, on the rack where long enough to keep."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from sqlmodel import Session

from stockroom.record.arrivals import bring_in
from stockroom.record.catalogue import profile_named
from stockroom.record.ledger import Flow, RackPiece, mark_flaws
from stockroom.refusals import Refused
from stockroom.services.rack.new_piece import check_flaw
from stockroom.services.rack.rails_back import NOT_MEASURED, rack_rail
from stockroom.services.saw.cut_arithmetic import Left, Reckoned, SawReport
from stockroom.services.shop import Shop

__all__ = ["goes_back"]


def goes_back(
    session: Session, shop: Shop, entry: int, piece: RackPiece, reckoned: Reckoned,
    report: SawReport, flows: list[Flow],
) -> list[int]:  # fmt: skip
    """Adds the lines of all that a cut leaves in hand; gives the new offcuts' numbers."""
    offcuts = rack_leftovers(session, shop, entry, piece, reckoned.lefts, report, flows)
    return offcuts + rack_spoilt(session, shop, entry, piece, reckoned.spoilt, report, flows)


def rack_leftovers(
    session: Session,
    shop: Shop,
    entry: int,
    piece: RackPiece,
    lefts: Sequence[Left],
    report: SawReport,
    flows: list[Flow],
) -> list[int]:
    """Leftovers worth keeping become offcuts with numbers; the rest is scrap."""
    keep = profile_named(session, piece.profile).keep_um
    kept: list[int] = []
    for left in lefts:
        if left.clear >= max(keep, 1):
            number = bring_in(session, entry, shop.hand, profile=piece.profile, batch=piece.batch,
                              kind="offcut", spot=report.spot or piece.spot,
                              parent=piece.id, ends=left.ends, longest=piece.longest,
                              grade=piece.grade, owner=piece.owner, motif=left.motif)  # fmt: skip
            flows.append(Flow("rack", left.length, piece.profile, piece.batch, piece=number))
            kept.append(number)
        else:
            flows.append(Flow("scrap", left.length, piece.profile, piece.batch,
                              cause="short end"))  # fmt: skip
    if report.flaws:
        if len(kept) != 1:
            raise Refused("which_leftover_has_flaw", leftovers=len(kept))
        length = next(flow.length for flow in flows if flow.piece == kept[0])
        for start, end in report.flaws:
            check_flaw(start, end, length)
        mark_flaws(session, entry, kept[0], report.flaws)
    return kept


def rack_spoilt(
    session: Session,
    shop: Shop,
    entry: int,
    piece: RackPiece,
    spoilt: Mapping[int, Flow],
    report: SawReport,
    flows: list[Flow],
) -> list[int]:
    """Miscut rails long enough to keep become offcuts with numbers; the rest is scrap."""
    origin = replace(piece, spot=report.spot or piece.spot)
    numbers: list[int] = []
    for position, rail in spoilt.items():
        note = "a miscut rail" if position in report.remains else NOT_MEASURED
        flow, number = rack_rail(session, entry, shop.hand, rail, origin, "miscut", note)
        flows.append(flow)
        numbers += [] if number is None else [number]
    return numbers
