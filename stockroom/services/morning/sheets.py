"""Plans as sheets for the bench, built from what the record keeps of them."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlalchemy import func
from sqlmodel import Session, col, select

from planner.stretches import stretches
from planner.values import Cut, Piece, Problem, Reason
from planner.values import Plan as Answer
from stockroom.frame.shapes import MITRED, Angles, shape_told
from stockroom.record.catalogue import moulding_of, profiles
from stockroom.record.database import reading
from stockroom.record.jobs import frame_label, frame_profile, rails_of
from stockroom.record.ledger import spots_of
from stockroom.record.tables import Frame, Job, Plan, PlanPiece, Profile
from stockroom.refusals import Refused, Unknown
from stockroom.remedies import Do, Remedy
from stockroom.services.morning.grain_order import round_on
from stockroom.services.morning.short_together import told_together
from stockroom.services.planning import by_hand, read_back
from stockroom.services.shop import Shop, shop_time
from stockroom.settings.machines import machines_known, on_machine
from stockroom.settings.shop_settings import Settings
from stockroom.units.bench_days import BenchDays
from stockroom.units.places import place_order
from stockroom.views.collating import frames_as_runs
from stockroom.views.piece_parts import marks_on, parts_of, tally
from stockroom.views.sheet import Sheet, SheetFrame, SheetPiece, Tally, plan_state

__all__ = [
    "PlanRow",
    "ends_of",
    "laid_out",
    "newest_plan",
    "plan_rows",
    "problem_text",
    "sheet_of",
    "to_settle",
]


@dataclass(frozen=True, slots=True)
class PlanRow:
    """A plan in a list."""

    number: int
    state: str
    who: str
    made_at: datetime
    day: date
    until: date
    pieces: int
    waiting: int


def plan_rows(shop: Shop, *, states: Sequence[str] = ()) -> list[PlanRow]:
    """The plans, newest first; ``waiting`` is how many of their pieces are still to be cut, all of
    them where a plan is a draft."""
    with reading(shop.engine) as session:
        asked = select(Plan).order_by(col(Plan.id).desc())
        if states:
            asked = asked.where(col(Plan.state).in_(states))
        plans = session.exec(asked).all()
        held = {
            number: (pieces, pieces - settled)
            for number, pieces, settled in session.exec(
                select(
                    PlanPiece.plan_id,
                    func.count(col(PlanPiece.piece_id)),
                    func.count(col(PlanPiece.settled_in)),
                )
                .where(
                    col(PlanPiece.plan_id).in_(asked.with_only_columns(col(Plan.id)).order_by(None))
                )
                .group_by(col(PlanPiece.plan_id))
            )
        }
    return [
        PlanRow(plan.id, plan.state, plan.who, plan.made_at, plan.day, plan.until,
                *(drafted(plan) if plan.state == "drafted" else held.get(plan.id, (0, 0))))
        for plan in plans
    ]  # fmt: skip


def drafted(plan: Plan) -> tuple[int, int]:
    """How many pieces a draft takes, all of them to be cut."""
    cuts = read_back(plan.problem, plan.answer)[1].cuts
    pieces = len({cut.piece for cut in cuts if cut.rails})
    return pieces, pieces


def newest_plan(shop: Shop, states: Sequence[str], *, own: bool = False) -> int:
    """The number of the newest plan in one of these states; with ``own`` of this hand's alone.

    Raises:
        Refused: there is none.
    """
    with reading(shop.engine) as session:
        asked = select(Plan.id).where(col(Plan.state).in_(states)).order_by(col(Plan.id).desc())
        whose = asked.where(Plan.who == shop.hand.who) if own else asked
        number, others = session.exec(whose).first(), session.exec(asked).first()
        if number is None and others is not None:
            plan = session.get_one(Plan, others)
            raise Refused("plan_of_another", Remedy(Do.ACCEPT_OTHERS, plan.id), who=shop.hand.who,
                          states=tuple(map(plan_state, states)), plan=plan.id, other=plan.who,
                          at=shop_time(session, plan.made_at))  # fmt: skip
        drafted = session.exec(select(Plan.id).where(Plan.state == "drafted")).first()
    if number is None:
        first = Do.PLAN if drafted is None else Do.ACCEPT_ONE
        before = {"accepted": first, "drafted": Do.PLAN}.get(states[0], Do.SEE_PLANS)
        raise Refused("no_plan_in_state", Remedy(before), states=tuple(map(plan_state, states)))
    return number


def to_settle(shop: Shop, number: int) -> list[int]:
    """The pieces that this plan still holds, in the order of the walk.

    Raises:
        Unknown: there is no plan of this number.
    """
    with reading(shop.engine) as session:
        plan = _known(session, number)
        held = set(session.exec(
            select(PlanPiece.piece_id).where(
                PlanPiece.plan_id == number, col(PlanPiece.settled_in).is_(None)
            )
        ))  # fmt: skip
        spots = spots_of(session, sorted(held))
        walk = plan.choices.get("walk", ())
    return sorted(held, key=walked(walk, spots))


def walked(
    walk: Sequence[int], spots: Mapping[int, str]
) -> Callable[[int], tuple[object, int, int]]:
    """By what pieces are ordered along the rack: their places, then the plan's own walk."""
    turn = {piece: at for at, piece in enumerate(walk)}
    return lambda piece: (place_order(spots.get(piece, "")), turn.get(piece, len(turn)), piece)


def problem_text(shop: Shop, number: int) -> str:
    """The problem that a plan answers, as the planner's program reads it.

    Raises:
        Unknown: there is no plan of this number.
    """
    with reading(shop.engine) as session:
        return _known(session, number).problem


def _known(session: Session, number: int) -> Plan:
    plan = session.get(Plan, number)
    if plan is None:
        raise Unknown("unknown_plan", str(number))
    return plan


def sheet_of(shop: Shop, number: int) -> Sheet:
    """A plan as a sheet, with what the hand rule would have taken beside it.

    Raises:
        Unknown: there is no plan of this number.
    """
    with reading(shop.engine) as session:
        plan = _known(session, number)
    return laid_out(shop, plan, *read_back(plan.problem, plan.answer))


def laid_out(shop: Shop, plan: Plan, problem: Problem, answer: Answer) -> Sheet:
    """A plan as a sheet, where its problem and its answer are at hand."""
    with reading(shop.engine) as session:
        frames = sheet_frames(session, plan.choices["frames"], shop.settings.bench)
        ends = ends_of(session, plan.choices["frames"])
        every = {profile.code: profile for profile in profiles(session)}
        spots = spots_of(session, [int(cut.piece) for cut in answer.cuts])
    order = walked(plan.choices.get("walk", ()), spots)
    return Sheet(
        plan=plan.id, day=plan.day, until=plan.until, shop=shop.settings.name, state=plan.state,
        pieces=tuple(sorted(
            sheet_pieces(problem, answer, spots, shop.settings, every,
                         plan.choices.get("tight", {}), ends),
            key=lambda row: order(row.number))), frames=frames,
        short=told_together(problem, answer, frames,
                            {code: profile.stick_length_um for code, profile in every.items()}),
        tally=tally_of(problem, answer), hand=tally_of(problem, by_hand(problem)),
        proof=proof_of(answer), cut_allowance=problem.rules.cut_allowance,
        seconds=round(answer.seconds, 3),
        pinned=tuple((frame, (cost,)) for frame, cost in answer.why_pinned.items()),
        matched=tuple((frame.id, (cost,)) for frame in problem.frames
                      if (cost := answer.why_matched.get(frame.link or "", FREE)) != FREE),
    )  # fmt: skip


FREE = Reason("matching_costs_nothing")
"""What goes without saying."""


def sheet_frames(
    session: Session, kept: Mapping[str, Sequence[int]], bench: BenchDays
) -> dict[str, SheetFrame]:
    """The frames of a plan by their labels."""
    ids = [row[0] for row in kept.values()]
    rows = session.exec(select(Frame, Job).join(Job).where(col(Frame.id).in_(ids))).all()
    return {
        (label := frame_label(job, frame)): SheetFrame(
            label, job.customer, job.title, frame_profile(job, frame), job.due,
            frame.across_um, frame.upright_um, bench.cut_by(job.due, job.bench_days),
            rails_of(frame) if frame.rails_um else ())
        for frame, job in rows
    }  # fmt: skip


Ends = Mapping[tuple[str, int], Angles]


def ends_of(session: Session, kept: Mapping[str, Sequence[int]]) -> Ends:
    """The angles of the rails that are not a frame's of four sides, by the frame's label and the
    rail's place in the problem."""
    ids = [row[0] for row in kept.values()]
    asked = select(Frame.id, Job.shape).join(Job).where(col(Frame.id).in_(ids), Job.shape != "")
    shapes = {frame: shape_told(shape) for frame, shape in session.exec(asked)}
    return {
        (label, place): shapes[frame].angles(rail)
        for label, (frame, *rails) in kept.items() if frame in shapes
        for place, rail in enumerate(rails)
    }  # fmt: skip


def tally_of(problem: Problem, answer: Answer) -> Tally:
    """What a plan takes."""
    by_id = {piece.id: piece for piece in problem.pieces}
    rules = {piece.profile: problem.rules_of(piece.profile) for piece in problem.pieces}
    return tally(by_id, answer.cuts, rules)


def sheet_pieces(
    problem: Problem,
    answer: Answer,
    spots: Mapping[int, str],
    settings: Settings,
    every: Mapping[str, Profile],
    margins: Mapping[str, int],
    ends: Ends,
) -> list[SheetPiece]:
    """The pieces to fetch; ``ends`` are those of rails that are not a frame's of four sides."""
    by_id = {piece.id: piece for piece in problem.pieces}
    rows = []
    for key in dict.fromkeys(cut.piece for cut in answer.cuts if cut.rails):
        piece = by_id[key]
        cuts = [cut for cut in answer.cuts if cut.piece == key]
        profile = every[piece.profile]
        machine, moulding = on_machine(settings, profile.machine), moulding_of(profile)
        parts = tuple(
            replace(part, angles=ends.get((part.frame, part.rail), MITRED)) for part in
            parts_of(piece, cuts, problem.rules_of(piece.profile), machine.shortest_um)
        )  # fmt: skip
        rows.append(SheetPiece(int(key), piece.profile, piece.batch, piece.kind,
                               spots.get(int(key), ""), piece.length, parts,
                               frames_as_runs(answer.why_opened.get(key)),
                               machine.machine if len(machines_known(settings)) > 1 else "",
                               machine.stop,
                               (moulding.beyond("inside"), moulding.beyond("sight")),
                               machine.shortest_um,
                               is_tight(piece, cuts, problem, margins),
                               round_on(problem, cuts),
                               marks_on(piece, problem.rules_of(piece.profile))))  # fmt: skip
    return rows


def is_tight(
    piece: Piece, cuts: Sequence[Cut], problem: Problem, margins: Mapping[str, int]
) -> bool:
    """True where rails take what is else kept back on an offcut."""
    rules, margin = problem.rules_of(piece.profile), margins.get(piece.profile, 0)
    runs = stretches(piece, rules)
    return piece.kind == "offcut" and any(
        runs[cut.stretch].clear + rules.cut_allowance - margin
        < sum(rules.taken(rail.length) for rail in cut.rails)
        for cut in cuts if cut.rails
    )  # fmt: skip


def proof_of(answer: Answer) -> tuple[Reason, ...]:
    """How sure the plan is, and what might still be better."""
    if answer.proof == "optimal":
        return (Reason("proven"),)
    reached, bounds, gaps = answer.reached, answer.bounds, []
    if bounds.frames_cut > reached.frames_cut:
        gaps.append(Reason("more_frames", {"frames": bounds.frames_cut}))
    if bounds.stick_opened < reached.stick_opened:
        gaps.append(Reason("less_stick", {"stick_um": reached.stick_opened - bounds.stick_opened}))
    return Reason("not_proven"), *(gaps or [Reason("better_rack")])
