"""Undo: a mistake is reversed by a new entry that names the old one; nothing is erased."""

from datetime import date
from typing import Any

from sqlalchemy import and_, or_
from sqlalchemy.orm import aliased
from sqlmodel import Session, SQLModel, col, select

from stockroom.record import orders
from stockroom.record.database import changing, reading
from stockroom.record.jobs import rails_of, standing_frames
from stockroom.record.ledger import BATCH, Flow, add_lines, open_entry, rails_cut, stands, undoings
from stockroom.record.tables import (
    STAGES,
    Entry,
    Flaw,
    Frame,
    Job,
    Line,
    Move,
    Piece,
    Plan,
    PlanPiece,
    PlanRail,
    Touch,
)
from stockroom.refusals import Clash, Refused, Unknown
from stockroom.remedies import Do, Remedy
from stockroom.services.shop import Shop, shop_time

__all__ = ["LASTING", "brought_by", "last_own", "undo"]

LASTING = ("setup", "setting", "load suppliers", "load profiles", "add profile",
           "change profile", "add supplier", "change supplier", "undo")  # fmt: skip
"""Kinds of entry that are set right by their own commands, not by undoing."""
REOPENS_RAILS = ("cut", "left")
"""Kinds whose undoing holds their rails for their plan again."""
JOB_CHANGES = ("change", "cancel", "hold", "afresh", BATCH, *STAGES[1:])


def undo(shop: Shop, number: int | None = None, why: str = "") -> tuple[Entry, int]:
    """Undoes an entry, this hand's last unless told; gives it and the entry that reverses it.

    Raises:
        Unknown: there is no such entry.
        Refused: it is of a kind that is not undone, or is undone already.
        Clash: something later depends on it; says what.
    """
    with changing(shop.engine, shop.waiting) as session:
        entry = to_undo(session, number, shop.hand.who)
        refuse_depended_on(session, entry)
        touches = session.exec(select(Touch).where(Touch.entry_id == entry.id)).all()
        reversal = open_entry(
            session, shop.hand, "undo", why=why, reverses=entry.id,
            touches=[(touch.what, touch.which) for touch in touches],
        )  # fmt: skip
        turn_back(session, entry, reversal)
        give_back(session, entry, reversal)
        return entry, reversal


def brought_by(shop: Shop, entry: int) -> tuple[int, ...]:
    """The numbers that pieces got from an entry; once it is undone, what bears them is none."""
    with reading(shop.engine) as session:
        return tuple(session.exec(select(Piece.id).where(Piece.came_in == entry)
                                  .order_by(col(Piece.id))))  # fmt: skip


def last_own(shop: Shop) -> int:
    """The entry that undo takes back where none is named: this hand's last that stands.

    Raises:
        Refused: there is none.
    """
    with reading(shop.engine) as session:
        return to_undo(session, None, shop.hand.who).id


def to_undo(session: Session, number: int | None, who: str) -> Entry:
    """The entry to undo: this one, or this hand's last that stands."""
    if number is None:
        entry = session.exec(
            select(Entry).where(stands(), Entry.who == who).order_by(col(Entry.id).desc())
        ).first()
    else:
        entry = session.get(Entry, number)
    if entry is None and number is None:
        raise Refused("nothing_to_undo", Remedy(Do.SEE_ENTRIES), who=who)
    if entry is None:
        raise Unknown("unknown_entry", str(number))
    if undoings(session, [entry.id]):
        raise Refused("undone_already", Remedy(Do.SEE_ENTRIES), entry=entry.id)
    if entry.kind in LASTING:
        raise Refused("never_undone", entry=entry.id, kind=entry.kind)
    return entry


def refuse_depended_on(session: Session, entry: Entry) -> None:
    """Nothing later that stands builds on this entry.

    Raises:
        Clash: something does.
    """
    mine = aliased(Touch)
    later = session.exec(
        select(Entry, Touch)
        .join(Touch, col(Touch.entry_id) == Entry.id)
        .join(mine, and_(col(mine.what) == Touch.what, col(mine.which) == Touch.which))
        .where(mine.entry_id == entry.id, col(mine.what).in_(("piece", "job", "plan", "order")))
        .where(Entry.id > entry.id, stands())
        .order_by(col(Entry.id).desc())
    )
    for other, touch in later:
        if depends(session, entry, other, touch):
            raise Clash("built_on", Remedy(Do.UNDO_FIRST, other.id), entry=entry.id,
                        kind=entry.kind, other=other.id, by_kind=other.kind, who=other.who,
                        at=shop_time(session, other.at), what=touch.what,
                        which=touch.which)  # fmt: skip


def depends(session: Session, entry: Entry, other: Entry, touch: Touch) -> bool:
    """True where a later entry about the same thing builds on this one."""
    if entry.kind not in REOPENS_RAILS or touch.what == "piece":
        return True
    if touch.what == "plan":
        return other.kind == "drop"
    if other.kind == "accept":
        return rails_taken(session, entry.id, other.id)
    return other.kind in JOB_CHANGES


def rails_taken(session: Session, entry: int, accepted: int) -> bool:
    """True where a plan accepted later holds, or has cut, a rail that this entry left waiting."""
    later = aliased(PlanRail)
    asked = (
        select(later.id)
        .join(PlanRail, and_(col(PlanRail.frame_id) == later.frame_id,
                             col(PlanRail.rail) == later.rail))
        .join(Entry, col(Entry.id) == later.settled_in, isouter=True)
        .where(PlanRail.settled_in == entry, later.held_in == accepted)
        .where(or_(col(later.settled_in).is_(None), col(Entry.kind) == "cut"))
    )  # fmt: skip
    return session.exec(asked).first() is not None


def turn_back(session: Session, entry: Entry, reversal: int) -> None:
    """Writes the entry's lines again with their signs turned."""
    asked = select(Line).where(Line.entry_id == entry.id).order_by(col(Line.id))
    lines = session.exec(asked).all()
    add_lines(session, reversal, [
        Flow(line.place, -line.length_um, line.profile_code, line.batch_code, line.piece_id,
             line.frame_id, line.rail, line.cause)
        for line in lines
    ], across_batches=entry.kind == BATCH)  # fmt: skip


def give_back(session: Session, entry: Entry, reversal: int) -> None:
    """Takes back what the entry did besides moving length."""
    point(session, Piece, "left_in", entry.id, None)
    for piece in session.exec(select(Piece).where(Piece.came_in == entry.id)):
        piece.left_in = reversal
        session.add(piece)
    for number, batch in (entry.detail or {}).get("batches", {}).items():
        session.get_one(Piece, int(number)).batch_code = batch
    for number, marks in (entry.detail or {}).get("marks", {}).items():
        for name, value in marks.items():
            setattr(session.get_one(Piece, int(number)), name, value)
    for flaw in session.exec(select(Flaw).where(Flaw.marked_in == entry.id)):
        flaw.lifted_in = reversal
        session.add(flaw)
    for move in session.exec(select(Move).where(Move.moved_in == entry.id)):
        move.lifted_in = reversal
        session.add(move)
    for row in held_rows(session, entry.id):
        row.settled_in = row.settled_in or reversal
        session.add(row)
    point(session, PlanPiece, "settled_in", entry.id, None)
    point(session, PlanRail, "settled_in", entry.id, None)
    point(session, Frame, "dropped_in", entry.id, None)
    session.flush()
    give_back_plans(session, entry)
    reopen_plans(session)
    give_back_jobs(session, entry, reversal)
    orders.give_back(session, entry.id, (entry.detail or {}).get("sticks_were", {}), reversal)
    check_done(session, entry)
    session.flush()


def held_rows(session: Session, entry: int) -> list[PlanPiece | PlanRail]:
    """What this entry reserved."""
    pieces = session.exec(select(PlanPiece).where(PlanPiece.held_in == entry)).all()
    rails = session.exec(select(PlanRail).where(PlanRail.held_in == entry)).all()
    return [*pieces, *rails]


def point(session: Session, table: type[SQLModel], column: str, was: int, now: int | None) -> None:
    """Moves the pointers of a column from one entry to another."""
    for row in session.exec(select(table).where(getattr(table, column) == was)):
        setattr(row, column, now)
        session.add(row)


def give_back_plans(session: Session, entry: Entry) -> None:
    """A plan that this entry accepted is let go; one that it closed is open again."""
    for plan in session.exec(select(Plan).where(Plan.accepted_in == entry.id)):
        plan.state = "dropped"
        session.add(plan)
    for plan in session.exec(select(Plan).where(Plan.closed_in == entry.id)):
        plan.state = "drafted" if plan.accepted_in is None else "accepted"
        plan.closed_in = None
        session.add(plan)


def reopen_plans(session: Session) -> None:
    """A plan that another entry finished, and that holds a piece again, is to be cut again."""
    holding = select(PlanPiece.plan_id).where(col(PlanPiece.settled_in).is_(None))
    for plan in session.exec(
        select(Plan).where(Plan.state == "finished", col(Plan.id).in_(holding))
    ):
        plan.state, plan.closed_in = "accepted", None
        session.add(plan)


def give_back_jobs(session: Session, entry: Entry, reversal: int) -> None:
    """A job that this entry took in is cancelled; one that it changed is as it was."""
    for job in session.exec(select(Job).where(Job.taken_in == entry.id)):
        job.state = "cancelled"
        session.add(job)
        drop_frames(session, job, reversal)
    was: dict[str, Any] = entry.detail.get("was", {}) if entry.detail else {}
    touches = select(Touch).where(Touch.entry_id == entry.id, Touch.what == "job")
    for touch in session.exec(touches) if was else ():
        job = session.get_one(Job, int(touch.which))
        for name, value in was.items():
            setattr(job, name, date.fromisoformat(value) if name == "due" else value)
        session.add(job)
        session.flush()
        resize_back(session, job, entry, reversal)


def drop_frames(session: Session, job: Job, reversal: int) -> None:
    """The frames of a job that was not taken in after all."""
    for _, frame in standing_frames(session, [job]):
        frame.dropped_in = reversal
        session.add(frame)


def resize_back(session: Session, job: Job, entry: Entry, reversal: int) -> None:
    """The frames of a changed job as they were before the change."""
    sizes: dict[str, list[Any]] = entry.detail.get("frames", {})
    if not sizes:
        return
    own = {one["number"]: one["profile"] for one in job.layers or ()}
    for _, frame in standing_frames(session, [job]):
        if str(frame.id) in sizes:
            frame.across_um, frame.upright_um, *others = sizes[str(frame.id)]
            frame.rails_um = others[0] if others else None
            frame.profile_code = own.get(frame.layer)
        else:
            frame.dropped_in = reversal
        session.add(frame)


def check_done(session: Session, entry: Entry) -> None:
    """Frames that lost a rail are open again; those that have all theirs back are done again."""
    lines = session.exec(select(Line.frame_id).where(Line.entry_id == entry.id)).all()
    frames = sorted({frame for frame in lines if frame is not None})
    cut = rails_cut(session, frames)
    done: dict[str, int] = (entry.detail or {}).get("done_in", {})
    for number in frames:
        frame = session.get_one(Frame, number)
        whole = all((number, rail) in cut for rail in range(len(rails_of(frame))))
        frame.done_in = done.get(str(number), frame.done_in) if whole else None
        session.add(frame)
