"""At the saw: what was really cut from each piece of a plan, whole or not at all."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlmodel import Session, col, select

from stockroom.record.catalogue import profile_named
from stockroom.record.database import changing, reading
from stockroom.record.jobs import labels, rails_of
from stockroom.record.ledger import (
    RackPiece,
    add_lines,
    mark_flaws,
    on_rack,
    open_entry,
    post,
    rails_cut,
    take_off,
    touch,
)
from stockroom.record.stocktake import NOT_THERE
from stockroom.record.tables import (
    Entry,
    Frame,
    Piece,
    Plan,
    PlanPiece,
    PlanRail,
    Touch,
)
from stockroom.refusals import Clash, Refused, Unknown
from stockroom.remedies import Do, Remedy
from stockroom.services.rack.new_piece import check_flaw
from stockroom.services.rack.pieces import the_piece
from stockroom.services.saw.cut_arithmetic import SawReport, reckon
from stockroom.services.saw.goes_back import goes_back
from stockroom.services.saw.planned_rules import rules_planned
from stockroom.services.saw.taken_instead import taken_piece
from stockroom.services.shop import Shop, shop_time

__all__ = [
    "CutDone", "cut_before", "cut_held", "fits_again", "left_held", "record_cut", "record_left",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class CutDone:
    """What a cut did: its entry, new offcuts, finished frames, rails to cut again, difference."""

    entry: int
    piece: int
    offcuts: tuple[RackPiece, ...]
    finished: tuple[str, ...]
    again: tuple[str, ...]
    difference: int
    plan_finished: bool


def record_cut(shop: Shop, report: SawReport) -> CutDone:
    """Records a piece as cut, with all that differs from the plan.

    Raises:
        Clash: the piece is not this plan's to cut, or has been settled already.
        Refused: what was reported cannot be (more length than the piece had, mixed batches).
    """
    with changing(shop.engine, shop.waiting) as session:
        return cut_held(session, shop, report)


def cut_held(session: Session, shop: Shop, report: SawReport) -> CutDone:
    """Records a piece that its plan holds as cut, under the write lock."""
    held, rails = held_rails(session, report)
    piece = taken_piece(session, report, rails)
    profile = profile_named(session, piece.profile)
    machine = shop.machine or profile.machine or shop.settings.machine
    rules = rules_planned(session, shop, report.plan, profile, machine)
    reckoned = reckon(report, piece, rails, rules)
    flows, detail = reckoned.flows, {**reckoned.detail, "machine": machine, **report.moment}
    about = [("plan", report.plan), ("piece", report.piece), ("piece", piece.id)]
    entry = open_entry(session, shop.hand, "cut", why=report.why, detail=detail,
                       touches=about)  # fmt: skip
    offcuts = goes_back(session, shop, entry, piece, reckoned, report, flows)
    add_lines(session, entry, flows)
    take_off(session, entry, piece.id)
    settle(session, entry, held, rails)
    finished, again = frames_after(session, entry, report, rails)
    done = close_if_done(session, entry, report.plan)
    return CutDone(
        entry, piece.id, tuple(on_rack(session, ids=offcuts)), finished, again,
        detail["difference_um"], done,
    )  # fmt: skip


def fits_again(shop: Shop, report: SawReport) -> bool:
    """True where every miscut rail of a report would come once more out of what is left."""
    anew = replace(report, again=report.miscut, leftovers=None)
    with reading(shop.engine) as session:
        _, rails = held_rails(session, anew)
        piece = taken_piece(session, anew, rails)
        profile = profile_named(session, piece.profile)
        machine = shop.machine or profile.machine or shop.settings.machine
        rules = rules_planned(session, shop, report.plan, profile, machine)
        try:
            left = reckon(anew, piece, rails, rules).lefts
        except Refused:
            return False
    return min(one.length for one in left) >= 0


def record_left(
    shop: Shop, plan: int, piece: int, why: str, flaw: tuple[int, int] | None = None,
    cut_at: datetime | None = None, *, not_there: bool = False,
) -> CutDone:  # fmt: skip
    """Records that a piece was not cut today; a flaw that was found on it is marked.

    One that was ``not_there`` is in no plan until somebody sees it.
    """
    with changing(shop.engine, shop.waiting) as session:
        report = SawReport(plan, piece, why=why, cut_at=cut_at)
        return left_held(session, shop, report, flaw, not_there=not_there)


def left_held(
    session: Session, shop: Shop, report: SawReport, flaw: tuple[int, int] | None,
    *, not_there: bool,
) -> CutDone:  # fmt: skip
    """Records that a piece which its plan holds was not cut, under the write lock."""
    plan, piece = report.plan, report.piece
    held, rails = held_rails(session, report)
    detail = {**report.moment, **({NOT_THERE: True} if not_there else {})}
    entry = post(session, shop.hand, "left", why=report.why, detail=detail,
                 touches=[("plan", plan), ("piece", piece)])  # fmt: skip
    if flaw is not None:
        check_flaw(*flaw, the_piece(session, piece, free=False).length)
        mark_flaws(session, entry, piece, [flaw])
    settle(session, entry, held, rails)
    touch_jobs(session, entry, rails)
    names = labels(session, [rail.frame_id for rail in rails])
    done = close_if_done(session, entry, plan)
    again = tuple(dict.fromkeys(names[rail.frame_id] for rail in rails))
    return CutDone(entry, piece, (), (), again, 0, done)


def cut_before(shop: Shop, number: int) -> CutDone:
    """What an entry of the saw did when it was written; undone or not."""
    with reading(shop.engine) as session:
        came = session.exec(select(Piece.id).where(Piece.came_in == number)).all()
        touched = select(Touch.which).where(Touch.entry_id == number, Touch.what == "piece")
        piece = next(int(which) for which in session.exec(touched) if int(which) not in came)
        frames = session.exec(select(Frame.id).where(Frame.done_in == number)).all()
        done = tuple(labels(session, frames).values())
        return CutDone(number, piece, tuple(on_rack(session, ids=came)), done, (), 0, False)


def held_rails(session: Session, report: SawReport) -> tuple[PlanPiece, list[PlanRail]]:
    """The piece as its plan holds it, and the rails to be cut from it in cutting order."""
    plan = session.get(Plan, report.plan)
    if plan is None:
        raise Unknown("unknown_plan", str(report.plan))
    if plan.state == "drafted":
        raise Clash("plan_not_accepted", Remedy(Do.ACCEPT, plan.id), plan=plan.id)
    held = session.get(PlanPiece, (report.plan, report.piece))
    if held is None:
        raise Refused("piece_not_in_plan", Remedy(Do.SEE_PIECES, report.plan), piece=report.piece,
                      plan=report.plan)  # fmt: skip
    if held.settled_in is not None:
        entry = session.get_one(Entry, held.settled_in)
        raise Clash("piece_settled_already", piece=report.piece, plan=report.plan, kind=entry.kind,
                    who=entry.who, at=shop_time(session, entry.at), entry=entry.id)  # fmt: skip
    return held, rails_planned(session, report)


def is_held(session: Session, report: SawReport) -> bool:
    """True where the plan still waits for this piece to be cut."""
    plan = session.get(Plan, report.plan)
    held = session.get(PlanPiece, (report.plan, report.piece))
    if plan is None or held is None:
        raise Unknown("unknown_piece_of_that_plan", str(report.piece))
    return held.settled_in is None


def rails_planned(session: Session, report: SawReport) -> list[PlanRail]:
    """The rails that the plan takes from the piece, in cutting order.

    Raises:
        Refused: the report names a rail that the piece does not have.
    """
    rails = session.exec(
        select(PlanRail)
        .where(PlanRail.plan_id == report.plan, PlanRail.piece_id == report.piece)
        .order_by(col(PlanRail.stretch), col(PlanRail.position))
    ).all()
    check_positions(report, len(rails))
    return list(rails)


def check_positions(report: SawReport, count: int) -> None:
    """Rails are named by positions that the piece has, and what remains is of miscut ones."""
    if whole := report.remains.keys() - report.miscut:
        raise Refused("remainder_of_rail_not_miscut", rail=min(whole), piece=report.piece)
    for position in report.miscut | report.uncut:
        if not 1 <= position <= count:
            raise Refused(
                "no_such_rail_of_piece", piece=report.piece, count=count, position=position
            )
    if len(report.uncut) == count:
        raise Refused("no_rail_was_cut", piece=report.piece)


def settle(session: Session, entry: int, held: PlanPiece, rails: Sequence[PlanRail]) -> None:
    """The plan lets go of the piece and its rails."""
    for row in (held, *rails):
        row.settled_in = entry
        session.add(row)
    session.flush()


def touch_jobs(session: Session, entry: int, rails: Sequence[PlanRail]) -> list[Frame]:
    """The entry is about the jobs of these rails; gives their frames."""
    frames = [session.get_one(Frame, number) for number in sorted({r.frame_id for r in rails})]
    touch(session, entry, [("job", frame.job_id) for frame in frames])
    return frames


def frames_after(
    session: Session, entry: int, report: SawReport, rails: Sequence[PlanRail]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Frames that now have all their rails, and those with a rail to be cut again."""
    frames = touch_jobs(session, entry, rails)
    cut = rails_cut(session, [frame.id for frame in frames])
    names = labels(session, [frame.id for frame in frames])
    finished: list[str] = []
    for frame in frames:
        if all((frame.id, rail) in cut for rail in range(len(rails_of(frame)))):
            frame.done_in = entry
            session.add(frame)
            finished.append(names[frame.id])
    session.flush()
    again = [names[rail.frame_id] for position, rail in enumerate(rails, 1)
             if position in report.wanting]  # fmt: skip
    return tuple(finished), tuple(again)


def close_if_done(session: Session, entry: int, plan: int) -> bool:
    """The plan is finished once none of its pieces is held any more."""
    waiting = session.exec(
        select(PlanPiece.piece_id).where(
            PlanPiece.plan_id == plan, col(PlanPiece.settled_in).is_(None)
        )
    ).first()
    if waiting is not None:
        return False
    row = session.get_one(Plan, plan)
    row.state, row.closed_in = "finished", entry
    session.add(row)
    session.flush()
    return True
