"""Rails that no frame wants any more go back on the rack, mitred at both ends.

A rail's length is measured along its back edge, as an offcut's is.
"""

from collections.abc import Sequence

from sqlmodel import Session, col, select

from stockroom.record.catalogue import profile_named
from stockroom.record.ledger import Flow, bring_in, rails_cut
from stockroom.record.tables import Frame, Line
from stockroom.services.shop import Shop

__all__ = ["back_on_rack", "rails_of"]


def rails_of(session: Session, frames: Sequence[Frame]) -> list[Line]:
    """The lines by which the rails of these frames were cut, of those that stand."""
    ids = [frame.id for frame in frames]
    cut = rails_cut(session, ids)
    asked = select(Line).where(col(Line.frame_id).in_(ids), Line.length_um > 0)
    newest = {
        (line.frame_id or 0, line.rail or 0): line
        for line in session.exec(asked.order_by(col(Line.id)))
    }
    return [newest[key] for key in sorted(newest) if key in cut]


def back_on_rack(
    session: Session, shop: Shop, entry: int, cut: Sequence[Line], spot: str, *, scrap: bool
) -> tuple[list[int], list[Flow]]:
    """The flows that bring rails back: on the rack as offcuts where they are worth keeping."""
    racked: list[int] = []
    flows: list[Flow] = []
    for line in cut:
        at = (line.profile_code, line.batch_code)
        flows.append(Flow("rails", -line.length_um, *at, frame=line.frame_id, rail=line.rail))
        if scrap or line.length_um < max(profile_named(session, at[0]).keep_um, 1):
            flows.append(Flow("scrap", line.length_um, *at, cause="rail cut afresh"))
            continue
        number = bring_in(session, entry, shop.hand, profile=at[0], batch=at[1], kind="offcut",
                          spot=spot, parent=cut_from(session, line))  # fmt: skip
        flows.append(Flow("rack", line.length_um, *at, piece=number))
        racked.append(number)
    return racked, flows


def cut_from(session: Session, rail: Line) -> int | None:
    """The piece that a rail was cut from; none where it came cut to size."""
    asked = select(Line.piece_id).where(Line.entry_id == rail.entry_id, Line.length_um < 0,
                                        col(Line.piece_id).is_not(None))  # fmt: skip
    return session.exec(asked).first()
