"""What waits at the saw: the pieces of an accepted plan, each with its rails and what is left."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, col, select

from planner.stretches import stretches
from planner.values import Cut, Problem
from stockroom.record.catalogue import profiles
from stockroom.record.database import reading
from stockroom.record.ledger import on_rack, spots_of, undoings
from stockroom.record.tables import Entry, Piece, Plan, PlanPiece
from stockroom.refusals import Unknown
from stockroom.services.morning.sheets import ends_of, sheet_pieces
from stockroom.services.planning import read_back
from stockroom.services.shop import Shop
from stockroom.units.lengths import Micrometres
from stockroom.views.sheet import SheetPiece

__all__ = ["BenchPiece", "BenchWork", "Settled", "bench_work", "how_settled"]


@dataclass(frozen=True, slots=True)
class Settled:
    """How a piece of a plan was settled: by which entry, of which kind, by whom and when.

    ``offcuts`` are the numbers and lengths (um) that its offcuts that still lie there have.
    """

    entry: int
    kind: str
    who: str
    at: datetime
    offcuts: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class BenchPiece:
    """A piece to cut. ``stretches`` has for each of its rails the stretch between flaws that it
    comes from, ``leftovers`` for each stretch what the tape should say when all are cut, um, and
    ``trims`` what of that its ends still want: what is kept goes by the rest.
    """

    piece: SheetPiece
    stretches: tuple[int, ...]
    leftovers: tuple[int, ...]
    trims: tuple[int, ...]
    allowance: Micrometres
    keep: Micrometres
    settled: Settled | None


@dataclass(frozen=True, slots=True)
class BenchWork:
    """The pieces of a plan in the order of the walk, and the plan's state."""

    plan: int
    state: str
    pieces: tuple[BenchPiece, ...]


def bench_work(shop: Shop, number: int) -> BenchWork:
    """The pieces of a plan as the saw cuts them.

    Raises:
        Unknown: there is no plan of this number.
    """
    with reading(shop.engine) as session:
        plan = session.get(Plan, number)
        if plan is None:
            raise Unknown("unknown_plan", str(number))
        problem, answer = read_back(plan.problem, plan.answer)
        spots = spots_of(session, [int(cut.piece) for cut in answer.cuts])
        settled = settled_pieces(session, number)
        ends = ends_of(session, plan.choices["frames"])
        every = {profile.code: profile for profile in profiles(session)}
    pieces = sheet_pieces(
        problem, answer, spots, shop.settings, every, plan.choices.get("tight", {}), ends
    )
    return BenchWork(number, plan.state, tuple(
        bench_piece(piece, problem, [cut for cut in answer.cuts if cut.piece == str(piece.number)],
                    settled.get(piece.number))
        for piece in pieces
    ))  # fmt: skip


def bench_piece(
    piece: SheetPiece, problem: Problem, cuts: Sequence[Cut], settled: Settled | None
) -> BenchPiece:
    """One piece with the stretches of its rails and what each stretch leaves."""
    planned = next(one for one in problem.pieces if one.id == str(piece.number))
    rules = problem.rules_of(piece.profile)
    runs = stretches(planned, rules)
    left = [run.tape for run in runs]
    trims = [run.tape - run.clear for run in runs]
    of_rails: list[int] = []
    for cut in sorted(cuts, key=lambda cut: cut.stretch):
        left[cut.stretch] = cut.leftover
        trims[cut.stretch] = runs[cut.stretch].far_trim
        if cut.rails:
            trims[cut.stretch] += runs[cut.stretch].gap(cut.rails[-1].length)
        of_rails += [cut.stretch] * len(cut.rails)
    return BenchPiece(piece, tuple(of_rails), tuple(left), tuple(trims), rules.cut_allowance,
                      rules.keep, settled)  # fmt: skip


def how_settled(shop: Shop, number: int) -> tuple[Settled, str]:
    """What an entry of the saw did, and who has undone it since ("" where it stands).

    Raises:
        Unknown: there is no such entry.
    """
    with reading(shop.engine) as session:
        entry = session.get(Entry, number)
        if entry is None:
            raise Unknown("unknown_entry", str(number))
        undoing = undoings(session, [number]).get(number)
        offcuts = offcuts_of(session, [number]).get(number, ())
    settled = Settled(number, entry.kind, entry.who, entry.at, tuple(offcuts))
    return settled, "" if undoing is None else undoing.who


def settled_pieces(session: Session, plan: int) -> dict[int, Settled]:
    """The pieces of a plan that were cut, left or let go, and how."""
    rows = session.exec(
        select(PlanPiece.piece_id, Entry)
        .join(Entry, col(Entry.id) == PlanPiece.settled_in)
        .where(PlanPiece.plan_id == plan)
    ).all()
    offcuts = offcuts_of(session, [entry.id for _, entry in rows])
    return {
        piece: Settled(entry.id, entry.kind, entry.who, entry.at, tuple(offcuts.get(entry.id, ())))
        for piece, entry in rows
    }


def offcuts_of(session: Session, entries: Sequence[int]) -> dict[int, list[tuple[int, int]]]:
    """The offcuts that came in these entries and still lie there: number and length, um."""
    came = session.exec(
        select(Piece.id, Piece.came_in).where(
            col(Piece.came_in).in_(entries), col(Piece.left_in).is_(None)
        )
    ).all()
    there = {piece.id: piece.length for piece in on_rack(session, ids=[n for n, _ in came])}
    found: dict[int, list[tuple[int, int]]] = {}
    for number, entry in came:
        found.setdefault(entry, []).append((number, there[number]))
    return found
