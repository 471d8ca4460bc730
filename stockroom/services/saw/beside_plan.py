"""What is true at the bench, recorded although its plan holds it no more.

While a tablet was away its plan was let go, or somebody settled the piece. The rails that lie
there are real: those that a frame still waits for are its rails, the others go on the rack as
offcuts, and another plan that holds the piece now goes without it.
"""

from collections.abc import Sequence
from typing import Any

from sqlmodel import Session, col, select

from stockroom.record.catalogue import profile_named
from stockroom.record.database import changing
from stockroom.record.jobs import rails_of
from stockroom.record.ledger import (
    Flow,
    RackPiece,
    add_lines,
    on_rack,
    open_entry,
    rails_cut,
    take_off,
)
from stockroom.record.tables import Frame, Job, Piece, PlanPiece, PlanRail
from stockroom.refusals import Refused
from stockroom.services.rack.rails_back import rack_rail
from stockroom.services.saw.cut_arithmetic import SawReport, reckon
from stockroom.services.saw.goes_back import goes_back
from stockroom.services.saw.planned_rules import rules_planned
from stockroom.services.saw.record_cut import (
    CutDone,
    close_if_done,
    cut_held,
    frames_after,
    is_held,
    rails_planned,
    settle,
)
from stockroom.services.shop import Shop

__all__ = ["record_beside_plan"]

CAUSE = "cut at the bench, beside the record"


def record_beside_plan(shop: Shop, report: SawReport) -> CutDone:
    """Records a piece as cut whether its plan still holds it or not.

    A piece that has left the rack is not cut again: its rails are found at the bench instead.

    Raises:
        Unknown: no plan ever had this piece.
        Refused: the lengths cannot be.
    """
    with changing(shop.engine, shop.waiting) as session:
        if is_held(session, report):
            return cut_held(session, shop, report)
        rails = rails_planned(session, report)
        there = on_rack(session, ids=[report.instead or report.piece])
        if there:
            return cut_freely(session, shop, report, there[0], rails)
        return rails_found(session, shop, report, rails)


def cut_freely(
    session: Session,
    shop: Shop,
    report: SawReport,
    piece: RackPiece,
    rails: Sequence[PlanRail],
) -> CutDone:
    """A piece that lies on the rack is cut, whoever holds it now."""
    profile = profile_named(session, piece.profile)
    rules = rules_planned(session, shop, report.plan, profile)
    reckoned = reckon(report, piece, rails, rules)
    entry = entry_for(session, shop, report, piece.id, reckoned.detail)
    flows = reckoned.flows
    offcuts = goes_back(session, shop, entry, piece, reckoned, report, flows)
    flows, spare = with_spare_racked(session, shop, entry, piece, flows)
    others = let_go(session, entry, piece.id)
    add_lines(session, entry, flows)
    take_off(session, entry, piece.id)
    return finished(session, entry, report, piece.id, [*offcuts, *spare], flows, others)


def rails_found(
    session: Session, shop: Shop, report: SawReport, rails: Sequence[PlanRail]
) -> CutDone:
    """The rails of a piece that the record has as gone already: found at the bench."""
    gone = session.get_one(Piece, report.instead or report.piece)
    at = (gone.profile_code, gone.batch_code)
    good = [rail for position, rail in enumerate(rails, 1)
            if position not in report.wanting]  # fmt: skip
    if not good:
        raise Refused("nothing_cut_of_gone_piece")
    piece = RackPiece(gone.id, *at, gone.kind, 0, report.spot, gone.since, (), None, "")
    entry = entry_for(session, shop, report, gone.id, {})
    flows = [Flow("found", -rail.length_um, *at, cause=CAUSE) for rail in good]
    flows += [Flow("rails", rail.length_um, *at, frame=rail.frame_id, rail=rail.rail)
              for rail in good]  # fmt: skip
    flows, spare = with_spare_racked(session, shop, entry, piece, flows)
    add_lines(session, entry, flows)
    return finished(session, entry, report, gone.id, spare, flows, ())


def entry_for(
    session: Session, shop: Shop, report: SawReport, piece: int, detail: dict[str, Any]
) -> int:
    """The entry of a cut beside its plan."""
    kept = {**detail, "machine": shop.settings.machine, "beside_plan": 1, **report.moment}
    return open_entry(session, shop.hand, "cut", why=report.why or CAUSE, detail=kept, touches=[
        ("plan", report.plan), ("piece", report.piece), ("piece", piece),
    ])  # fmt: skip


def with_spare_racked(
    session: Session, shop: Shop, entry: int, piece: RackPiece, flows: Sequence[Flow]
) -> tuple[list[Flow], list[int]]:
    """The flows with rails that no frame waits for on the rack, as offcuts, or in the scrap."""
    kept: list[Flow] = []
    numbers: list[int] = []
    for flow in flows:
        if flow.place == "rails" and not wanted(session, flow):
            racked, number = rack_rail(session, entry, shop.hand, flow, piece, "spare rail")
            kept.append(racked)
            numbers += [] if number is None else [number]
        else:
            kept.append(flow)
    return kept, numbers


def wanted(session: Session, flow: Flow) -> bool:
    """True where a frame still waits for this rail, of this length and batch, from nowhere else."""
    frame = session.get_one(Frame, flow.frame)
    if frame.dropped_in is not None or frame.done_in is not None:
        return False
    side = rails_of(frame)[flow.rail or 0]
    cut = rails_cut(session, [frame.id])
    held = session.exec(
        select(PlanRail.id).where(
            PlanRail.frame_id == frame.id, PlanRail.rail == flow.rail,
            col(PlanRail.settled_in).is_(None),
        )
    ).first()  # fmt: skip
    job = session.get_one(Job, frame.job_id)
    mixed = job.one_batch and set(cut.values()) - {flow.batch}
    return side == flow.length and (frame.id, flow.rail) not in cut and held is None and not mixed


def let_go(session: Session, entry: int, piece: int) -> tuple[int, ...]:
    """Another plan that holds the piece now goes without it: its rails wait again."""
    held = session.exec(
        select(PlanPiece).where(PlanPiece.piece_id == piece, col(PlanPiece.settled_in).is_(None))
    ).all()
    for row in held:
        settle(session, entry, row, rails_planned(session, SawReport(row.plan_id, piece)))
    return tuple(row.plan_id for row in held)


def finished(
    session: Session,
    entry: int,
    report: SawReport,
    piece: int,
    offcuts: Sequence[int],
    flows: Sequence[Flow],
    others: Sequence[int],
) -> CutDone:
    """What the cut did to frames and plans."""
    cut = {(flow.frame, flow.rail) for flow in flows if flow.place == "rails"}
    rails = [rail for rail in rails_planned(session, report)
             if (rail.frame_id, rail.rail) in cut]  # fmt: skip
    done, _ = frames_after(session, entry, SawReport(report.plan, report.piece), rails)
    for plan in others:
        close_if_done(session, entry, plan)
    return CutDone(entry, piece, tuple(on_rack(session, ids=list(offcuts))), done, (), 0, False)
