"""The morning: draft a plan of cuts, look at it, accept it or let it go."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial

from sqlmodel import Session, col, select

from planner.values import Piece as PlannedPiece
from planner.values import Plan as Answer
from planner.values import Problem
from stockroom.facts import Fact
from stockroom.record.database import changing, reading
from stockroom.record.jobs import open_frames
from stockroom.record.ledger import RackPiece, on_rack, post
from stockroom.record.numbering import serial
from stockroom.record.tables import Entry, Frame, Piece, Plan, PlanPiece, PlanRail, Touch
from stockroom.refusals import Clash, Refused, Unknown
from stockroom.remedies import Do, Remedy
from stockroom.services.counter.amend import cancel_stock
from stockroom.services.morning.batches import with_batches_chosen
from stockroom.services.morning.grain_order import round_frames
from stockroom.services.morning.halt import Halt
from stockroom.services.morning.jobs_ahead import with_what_pays
from stockroom.services.morning.problem import Choices, TodaysWork, nothing_waits, todays_work
from stockroom.services.morning.sheets import laid_out
from stockroom.services.morning.stop_order import in_turn, walk_of
from stockroom.services.planning import Gap, cluster, kept, planned, read_back, settable_piece
from stockroom.services.rack.pieces import what_took
from stockroom.services.shop import Shop, shop_time
from stockroom.settings.shop_settings import Settings
from stockroom.views.sheet import Sheet, plan_state

__all__ = ["accept", "drop", "last_choices", "plan_day"]


def plan_day(
    shop: Shop,
    choices: Choices,
    on_progress: Callable[[str, int, int], None] | None = None,
    on_gap: Gap | None = None,
    halt: Halt | None = None,
) -> Sheet:
    """Decides which pieces to cut for the frames due; keeps the draft, reserves nothing yet.

    ``on_gap`` hears, while a profile is planned, its code and how far its plan has come; ``halt``
    ends the search from another thread.

    Raises:
        Refused: nothing waits, the plan was thrown away, or the cluster set cannot be reached.
        PlannerFault: the judge found a fault in the plan.
    """
    with reading(shop.engine) as session:
        work = todays_work(session, shop.settings, choices)
        if work.later == frozenset(work.frames):
            raise nothing_waits(session, shop.settings, choices)
    told = None if on_progress is None else partial(counted, on_progress)
    over = None if halt is None else halt.over
    with cluster(shop.settings) as executor:
        work = with_batches_chosen(shop, with_what_pays(work, executor))
        answer = planned(work.problem, executor, told, on_gap, over)
    if halt is not None and halt.thrown:
        raise Refused("plan_thrown_away")
    problem, answer = work.problem, round_frames(work.problem, answer)
    walk = walk_of(problem, answer, {number: p.spot for number, p in work.pieces.items()})
    answer = in_turn(problem, answer, walk)
    return laid_out(shop, keep_draft(shop, choices, work, answer, walk), problem, answer)


def counted(
    on_progress: Callable[[str, int, int], None], profile: str, done: int, of: int, _plan: Answer
) -> None:
    """Tells how many profiles are planned."""
    on_progress(profile, done, of)


def keep_draft(
    shop: Shop, choices: Choices, work: TodaysWork, answer: Answer, walk: Sequence[int]
) -> Plan:
    """Writes the draft down; the same hand's earlier drafts are let go."""
    asked, told = kept(work.problem, answer)
    with changing(shop.engine, shop.waiting) as session:
        for old in session.exec(
            select(Plan).where(Plan.state == "drafted", Plan.who == shop.hand.who)
        ):
            old.state = "dropped"
            let_stock_go(session, shop, old, choices)
        plan = Plan(
            id=serial(session, Plan), made_at=shop.hand.at, day=shop.hand.day, who=shop.hand.who,
            until=choices.until, problem=asked, answer=told,
            choices={"frames": frames_kept(work), "pins": dict(choices.pins),
                     "barred": sorted(choices.left_alone), "without": sorted(choices.without),
                     "aims": choices.aims, "profile": choices.profile, "ahead": choices.ahead,
                     "stock": choices.stock, "tight": dict(work.margins),
                     "allowance": work.allowances,
                     "apart": [*choices.apart], "walk": [*walk]},
        )  # fmt: skip
        session.add(plan)
        return plan


def let_stock_go(session: Session, shop: Shop, plan: Plan, choices: Choices | None = None) -> None:
    """The frames for stock that a plan let go was made for are let go with it, if not begun."""
    if plan.choices.get("stock") and not (choices and choices.stock):
        cancel_stock(session, shop.hand)


def last_choices(shop: Shop) -> Choices:
    """What was chosen for this hand's last draft.

    Raises:
        Refused: there is no draft to plan again.
    """
    with reading(shop.engine) as session:
        plan = session.exec(
            select(Plan)
            .where(Plan.state == "drafted", Plan.who == shop.hand.who)
            .order_by(col(Plan.id).desc())
        ).first()
    if plan is None:
        raise Refused("no_draft_to_plan_again", Remedy(Do.PLAN))
    last = plan.choices
    return Choices(plan.until, last["pins"], frozenset(last["barred"]), frozenset(last["without"]),
                   last["profile"], last["aims"], ahead=last.get("ahead", 0),
                   stock=last.get("stock", False), tight=bool(last.get("tight")),
                   apart=frozenset(last.get("apart", ())))  # fmt: skip


def frames_kept(work: TodaysWork) -> dict[str, list[int]]:
    """For each frame its id, then the numbers of its rails in the problem's order."""
    return {label: [frame.id, *frame.rails] for label, frame in work.frames.items()}


def accept(shop: Shop, number: int) -> Sheet:
    """Accepts a draft: its pieces and rails are held for it until they are cut or let go.

    Raises:
        Unknown, Refused: there is no such draft.
        Clash: a piece or a frame moved since the plan was made.
    """
    with changing(shop.engine, shop.waiting) as session:
        plan = drafted(session, number)
        problem, answer = read_back(plan.problem, plan.answer)
        if not answer.cuts:
            raise Refused("plan_cuts_nothing", Remedy(Do.SEE_WHY, number), number=number)
        check_unmoved(session, shop.settings, plan, problem, answer)
        jobs = {rail.frame[1:].split(".")[0] for cut in answer.cuts for rail in cut.rails}
        entry = post(session, shop.hand, "accept", touches=[
            ("plan", number), *(("piece", cut.piece) for cut in answer.cuts),
            *(("job", job) for job in sorted(jobs)),
        ])  # fmt: skip
        hold(session, plan, answer, entry)
        plan.state, plan.accepted_in = "accepted", entry
        session.add(plan)
    return laid_out(shop, plan, problem, answer)


def drafted(session: Session, number: int) -> Plan:
    """The draft of this number."""
    plan = session.get(Plan, number)
    if plan is None:
        raise Unknown("unknown_plan", str(number))
    if plan.state != "drafted":
        by, remedy = None, Remedy(Do.PLAN_AGAIN)
        if plan.state == "accepted":
            entry = session.get_one(Entry, plan.accepted_in)
            by = Fact("by_whom", {"who": entry.who, "at": shop_time(session, entry.at)})
            remedy = Remedy(Do.CUT_OR_LET_GO, number)
        raise Clash("plan_is_no_draft", remedy, number=number, state=plan.state, by=by)
    return plan


def state_of(piece: PlannedPiece) -> tuple[object, ...]:
    """What of a piece must not have changed since its plan was made."""
    return (piece.length, piece.batch, tuple(sorted(piece.flaws)), piece.longest, piece.kept_for,
            piece.motif)  # fmt: skip


def check_unmoved(
    session: Session, settings: Settings, plan: Plan, problem: Problem, answer: Answer
) -> None:
    """Every piece and frame of the plan is as it was when the plan was made.

    Raises:
        Clash: one is not; says which, who moved it and when.
    """
    used = {cut.piece for cut in answer.cuts}
    rack = {str(piece.id): piece for piece in on_rack(session, ids=[int(key) for key in used])}
    for piece in problem.pieces:
        if piece.id not in used:
            continue
        there = rack.get(piece.id)
        if (
            there is None
            or there.held_by is not None
            or state_of(settable_piece(there, settings)) != state_of(piece)
        ):
            raise Clash("plan_out_of_date", Remedy(Do.PLAN_AGAIN), plan=plan.id,
                        moved=what_moved(session, piece.id, there))  # fmt: skip
    held: Mapping[str, Sequence[int]] = plan.choices["frames"]
    standing = {frame.label: frame for frame in open_frames(session, stock="with")}
    for label in sorted({rail.frame for cut in answer.cuts for rail in cut.rails}):
        frame = standing.get(label)
        wanted = next(frame.rails for frame in problem.frames if frame.id == label)
        if frame is None or frame.held or [frame.id, *frame.rails] != list(held[label]) or (
            tuple(frame.rails.values()) != wanted
        ):  # fmt: skip
            job = label[1:].split(".")[0]
            raise Clash("plan_out_of_date", Remedy(Do.PLAN_AGAIN), plan=plan.id,
                        moved=last_word(session, "job", job, label))  # fmt: skip


def what_moved(session: Session, number: str, there: RackPiece | None) -> Fact:
    """Why a piece is not as it was when it was planned: who has it, took it or changed it."""
    if there is None:
        gone = session.get(Piece, int(number))
        if gone is None or gone.left_in is None:
            return Fact("piece_not_on_record", {"number": number})
        taken = what_took(session, gone.left_in)
        return Fact("piece_has_left", {"number": number, "taken": taken})
    if there.held_by is not None:
        holder = session.get_one(Plan, there.held_by)
        taken = what_took(session, holder.accepted_in)
        return Fact("piece_is_held", {"number": number, "plan": holder.id, "taken": taken})
    return last_word(session, "piece", number)


def last_word(session: Session, what: str, which: str, label: str = "") -> Fact:
    """What happened last to a piece or a job."""
    entry = session.exec(
        select(Entry)
        .join(Touch)
        .where(Touch.what == what, Touch.which == which)
        .order_by(col(Entry.id).desc())
    ).first()
    name = label or Fact(f"this_{what}", {"number": which})
    if entry is None:
        return Fact("has_changed", {"name": name})
    at = shop_time(session, entry.at)
    return Fact("was_changed", {"name": name, "kind": entry.kind, "who": entry.who, "at": at})


def hold(session: Session, plan: Plan, answer: Answer, entry: int) -> None:
    """Reserves the pieces and rails of a plan."""
    held: Mapping[str, Sequence[int]] = plan.choices["frames"]
    used = dict.fromkeys(int(cut.piece) for cut in answer.cuts)
    for position, piece in enumerate(used):
        session.add(PlanPiece(plan_id=plan.id, piece_id=piece, position=position, held_in=entry))
    number = serial(session, PlanRail)
    for cut in answer.cuts:
        for position, rail in enumerate(cut.rails):
            frame, *rails = held[rail.frame]
            session.add(PlanRail(
                id=number, plan_id=plan.id, piece_id=int(cut.piece), stretch=cut.stretch,
                position=position, frame_id=frame, rail=rails[rail.rail], length_um=rail.length,
                held_in=entry,
            ))  # fmt: skip
            number += 1
    session.flush()


def jobs_of(session: Session, rails: Sequence[PlanRail]) -> list[int]:
    """The jobs that these rails are for."""
    frames = {rail.frame_id for rail in rails}
    return sorted(set(session.exec(select(Frame.job_id).where(col(Frame.id).in_(frames)))))


def drop(shop: Shop, number: int, why: str = "") -> int:
    """Lets a plan go: what it still holds is free again; gives how many pieces that were.

    Raises:
        Unknown: there is no plan of this number.
        Clash: it is finished, or was let go already.
    """
    with changing(shop.engine, shop.waiting) as session:
        plan = session.get(Plan, number)
        if plan is None:
            raise Unknown("unknown_plan", str(number))
        if plan.state not in ("drafted", "accepted"):
            raise Clash("plan_is_already", number=number, state=plan_state(plan.state))
        held = session.exec(
            select(PlanPiece).where(
                PlanPiece.plan_id == number, col(PlanPiece.settled_in).is_(None)
            )
        ).all()
        rails = session.exec(
            select(PlanRail).where(PlanRail.plan_id == number, col(PlanRail.settled_in).is_(None))
        ).all()
        entry = post(session, shop.hand, "drop", why=why, touches=[
            ("plan", number), *(("piece", row.piece_id) for row in held),
            *(("job", job) for job in jobs_of(session, rails)),
        ])  # fmt: skip
        for row in (*held, *rails):
            row.settled_in = entry
            session.add(row)
        plan.state, plan.closed_in = "dropped", entry
        session.add(plan)
        session.flush()
        let_stock_go(session, shop, plan)
        return len(held)
