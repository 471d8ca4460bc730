"""The one door from the shop to the planner: what it owns up to becomes a refusal of ours.

No plan is made in a transaction: what it is made from is read first, then the record is let go.
"""

from collections.abc import Collection, Iterable, Iterator
from concurrent.futures import Executor
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from threading import Event

import planner
from planner.explain.cure import left_for
from planner.heuristics.look_ahead import laid_ahead, laid_stepwise
from planner.io.schema import (
    plan_from_json,
    plan_to_json,
    problem_from_json,
    problem_to_json,
)
from planner.score import cuts_of
from planner.side_by_side import dask_cluster, processors
from planner.solve import Gap, Progress
from planner.stop import Stop, stop_on_interrupt
from planner.values import Cut, Limits, Piece, Plan, Problem, Rules
from stockroom.frame.shapes import JobShape
from stockroom.record.ledger import RackPiece
from stockroom.record.stocktake import UNKNOWN_BATCH
from stockroom.record.tables import Profile
from stockroom.refusals import PlannerFault, Refused
from stockroom.remedies import Do, Remedy
from stockroom.services.kept_for import kept_for
from stockroom.settings.machines import on_machine
from stockroom.settings.shop_settings import Settings

__all__ = [
    "Gap",
    "Stop",
    "by_hand",
    "cluster",
    "deadline",
    "frame_by_frame",
    "kept",
    "left_for",
    "likely_ahead",
    "limits_of",
    "planned",
    "planner_piece",
    "planning",
    "read_back",
    "rules_for",
    "settable_piece",
]


@contextmanager
def planning() -> Iterator[None]:
    """What is done in here asks the planner.

    Raises:
        PlannerFault: the planner refuses what the shop asks, or finds its own answer wrong.
    """
    try:
        yield
    except planner.PlannerBug as error:
        raise PlannerFault("planner_at_fault", why=str(error)) from error
    except planner.ProblemRefused as error:
        raise PlannerFault("planner_refuses", why=str(error)) from error


def planned(
    problem: Problem,
    executor: Executor | None = None,
    on_progress: Progress | None = None,
    on_gap: Gap | None = None,
    stop: Event | Stop | None = None,
) -> Plan:
    """The best plan found for a problem, with how sure that is; ``stop`` ends the search, and a
    deadline is one that many plans share.

    Raises:
        PlannerFault: the planner refuses the problem, or the judge found a fault in its plan.
    """
    with planning():
        return planner.plan(problem, executor, on_progress, on_gap, stop)


@contextmanager
def deadline(seconds: float) -> Iterator[Stop]:
    """What many plans take in all; the first Ctrl-C ends it too, with the best so far of each."""
    stop = Stop(seconds)
    with stop_on_interrupt(stop):
        yield stop


def limits_of(settings: Settings, seconds: float) -> Limits:
    """So many seconds, and the processes that this shop plans with."""
    return Limits(seconds, settings.processes or processors())


@contextmanager
def cluster(settings: Settings) -> Iterator[Executor | None]:
    """Where profiles are planned, if that is not this computer.

    Raises:
        Refused: the cluster that is set cannot be reached.
    """
    if not settings.cluster:
        yield None
        return
    with ExitStack() as opened:
        try:
            executor = opened.enter_context(dask_cluster(settings.cluster))
        except ImportError as error:
            raise Refused("dask_not_installed", Remedy(Do.PLAN_HERE)) from error
        except OSError as error:
            raise Refused(
                "no_dask_scheduler", Remedy(Do.PLAN_HERE), cluster=settings.cluster
            ) from error
        yield executor


def by_hand(problem: Problem) -> Plan:
    """What a framer would cut by the usual rule, the best fit first."""
    with planning():
        return planner.hand_plan(problem)


def frame_by_frame(problem: Problem) -> tuple[Cut, ...]:
    """The frames one by one in their order, each where it loses least worth."""
    with planning():
        return cuts_of(problem, laid_stepwise(problem))


def likely_ahead(problem: Problem, due: Collection[str]) -> frozenset[str]:
    """The frames beside those due that a look ahead would cut today, by name."""
    with planning():
        laid = laid_ahead(problem, due)
    return frozenset(name for rails in laid.values() for name, _ in rails) - frozenset(due)


def kept(problem: Problem, plan: Plan) -> tuple[str, str]:
    """A problem and its plan as the record keeps them."""
    return problem_to_json(problem), plan_to_json(plan)


def read_back(problem: str, plan: str) -> tuple[Problem, Plan]:
    """A problem and its plan as they were kept.

    Raises:
        PlannerFault: they cannot be read any more.
    """
    with planning():
        return problem_from_json(problem), plan_from_json(plan)


def rules_for(
    settings: Settings, profile: Profile, machine: str = "", shapes: Iterable[JobShape] = ()
) -> Rules:
    """How the machine that a profile goes to, or another that is named, eats it.

    The widest cut of the ``shapes`` counts for all of them, so that what is told to be left is
    there: a triangle's mitre takes 2 k, a square end k, a frame's 1.41 k.
    """
    own = on_machine(settings, machine or profile.machine)
    sides = {shape.mitred_as for shape in shapes} or {4}
    allowance = max(map(own.allowance_of, sides))
    margin = settings.usual("margin") if profile.margin_um is None else profile.margin_um
    return Rules(allowance, profile.end_trim_um, profile.keep_um, margin, profile.repeat_um or 0)


def planner_piece(piece: RackPiece) -> Piece:
    """A piece of the rack as the planner takes it: a batch that is not known is none."""
    batch = "" if piece.batch == UNKNOWN_BATCH else piece.batch
    return Piece(str(piece.id), piece.profile, batch, piece.kind,  # type: ignore[arg-type]
                 piece.length, piece.since, piece.flaws, piece.ends,  # type: ignore[arg-type]
                 piece.longest, kept_for(piece.grade, piece.owner), piece.motif)  # fmt: skip


def settable_piece(piece: RackPiece, settings: Settings) -> Piece:
    """A piece as the plan is made and printed: its length rounded down to the shop's step, and
    its flaws outwards, so that what is printed fits what is printed."""
    length = settings.settable(piece.length, "down") or piece.length
    flaws = tuple(
        (settings.settable(start, "down"), min(settings.settable(end, "up"), length))
        for start, end in piece.flaws
        if start < length
    )
    motif = None if piece.motif is None else min(piece.motif, length)
    return planner_piece(replace(piece, length=length, flaws=flaws, motif=motif))
