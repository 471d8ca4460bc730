"""One profile planned: the hand rule first, then the exact choice of columns, then the reasons."""

import math
import time
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace

from planner.branching.assignment import countable
from planner.explain.pins import why_pinned
from planner.explain.reasons import why_opened, why_short
from planner.heuristics.best_fit import hand_laid, loose_bounds
from planner.heuristics.whole_pieces import WholePieces
from planner.lp.threads import one_thread
from planner.model.profile_model import Model, model_of
from planner.model.rows import Aim, rows_of
from planner.model.translate import chosen_of, laid_of
from planner.score import Laid, cuts_of, score_of
from planner.search.aims import Outcome, fewest, planned
from planner.search.stick_totals import least_opened, room_asked
from planner.sorting import by_due
from planner.stop import OutOfTime, Stop
from planner.values import Plan, Problem, Proof, Score

__all__ = ["plan_profile"]

# Sets of rails that may be asked for, above which pieces are filled anew before the exact search,
# briefly or as long as is useful; sums of that, and of what comes after; so much of the time is for
# it, of the rest for the search: nearly all where pieces are many beside the rails. Sums, and time,
# for tied frames to share the batches.
SOME, MANY = 2**22, 2**45
QUICK, THOROUGH = 600_000_000, 400_000_000_000
PART, EXACT, ALMOST, NEARLY = 0.5, 0.6, 0.75, 0.95
SHARING, TIED, LAST = 8_000_000_000, 0.3, 0.7
# The aims beside frames whose value and bound a plan tells; it is proven where the others meet too.
SCORED = ("opened", "worth", "weighed")


def plan_profile(problem: Problem, stop: Stop) -> Plan:
    """The plan of a problem whose frames are all of one profile, with what each pin costs."""
    with one_thread():
        plan = _planned(problem, stop)
        return replace(plan, why_pinned=why_pinned(problem, plan, _planned, stop))


def _planned(problem: Problem, stop: Stop) -> Plan:
    started = time.monotonic()
    # From nothing nothing is cut, for sure.
    nothing = None if problem.pieces else Score(0, 0, 0)
    laid, bounds, sure = hand_laid(problem, stop), nothing, not problem.pieces
    model = None
    with suppress(OutOfTime):
        stop.check()
        model = model_of(problem, stop) if problem.pieces else None
    if model is not None:
        laid, bounds, sure = _exact(model, laid, stop)
    cuts = cuts_of(problem, laid)
    reached = score_of(problem, cuts)
    bounds = bounds or loose_bounds(problem, reached)
    proof: Proof = "optimal" if bounds == reached and sure else "feasible"
    done = {name for rails in laid.values() for name, _ in rails}
    left = [f for f in sorted(problem.frames, key=by_due) if f.id not in done]
    short = why_short(problem, cuts, left, reached.frames_cut == bounds.frames_cut)
    opened = why_opened(problem, cuts, bounds)
    return Plan(cuts, short, reached, bounds, proof, time.monotonic() - started, opened)


def aims_of(model: Model) -> tuple[Aim, ...]:
    """The aims of a problem in strict order, with the bounds that need no proof."""
    # As many frames as possible of the earliest due date, then of the next.
    tiers = [Aim(f"frames {t}", tier=t, known=count) for t, count in enumerate(model.tiers)]
    if model.problem.aims == "weighed":
        return (*tiers, Aim("weighed", opened=-1, gain=1))
    # Offcuts before new sticks, then what stays on the rack worth the most.
    return (*tiers, Aim("opened", opened=-1, known=0), Aim("worth", gain=1))


def _exact(model: Model, hand: Laid, stop: Stop) -> tuple[Laid, Score, bool]:
    """Where the rails lie, what is proven at best, and whether as many frames are cut as can be.

    Pieces filled anew come before the exact search, and take what time it leaves.
    """
    problem, rows, aims, exact, moves = model.problem, rows_of(model), aims_of(model), stop, 0
    sets = math.prod(asked + 1 for asked in model.item_asked)
    if sets > SOME:
        work, part = QUICK // 2, ALMOST if countable(rows) else NEARLY
        if sets > MANY:
            work, part = QUICK, EXACT
        hand, moves = _filled_anew(model, hand, work, stop.within(PART * stop.left()), 0)
        if rows.tied and sets > MANY and not aims[-1].opened:
            # Of how tied frames share the batches prices tell little.
            opened = score_of(problem, cuts_of(problem, hand)).stick_opened
            least = least_opened(rows, room_asked(rows), 0, opened)
            within = stop.within(TIED * stop.left())
            hand, moves = _filled_anew(model, hand, SHARING, within, moves, least)
        exact = stop.within(part * stop.left())
    outcome = planned(rows, aims, chosen_of(rows, hand), exact)
    laid = laid_of(rows, fewest(rows, outcome, aims, stop))
    bounds, got = _named(aims, outcome.bounds), _named(aims, outcome.reached)
    if bounds != got:
        if rows.tied and bounds.get("opened") != got.get("opened"):
            least, within = -(bounds["opened"] or 0), stop.within(LAST * stop.left())
            laid, moves = _filled_anew(model, laid, THOROUGH, within, moves, least)
            if score_of(problem, cuts_of(problem, laid)).stick_opened == least:
                # What was proven of worth was of more sticks.
                aims = (*aims[:-2], replace(aims[-2], known=-least), aims[-1])
                outcome = planned(rows, aims, chosen_of(rows, laid), stop)
                laid = laid_of(rows, outcome.chosen)
                bounds, got = _named(aims, outcome.bounds), _named(aims, outcome.reached)
        laid, _ = _filled_anew(model, laid, THOROUGH, stop, moves)
    sure = all(bounds[name] == got[name] for name in bounds if name not in SCORED)
    reached = score_of(problem, cuts_of(problem, laid))
    return laid, _bounds(problem, model, outcome, bounds, reached), sure


def _named(aims: Sequence[Aim], values: Sequence[int | None]) -> dict[str, int | None]:
    """What each aim reaches, or its bound, by its name."""
    return dict(zip((aim.name for aim in aims), values, strict=True))


def _filled_anew(
    model: Model, laid: Laid, work: int, stop: Stop, moves: int, least: int | None = None
) -> tuple[Laid, int]:
    """A plan no worse that cuts the same frames, after so many sums more; all ``moves`` by then.

    With ``least`` no more than that is asked for, and nothing but less stick opened.
    """
    if stop.over():
        return laid, moves
    search = WholePieces(model, laid, work, moves, least is not None)
    search.improve(work, stop, -1 if least is None else least)
    return search.best_laid(), search.moves


def _bounds(
    problem: Problem, model: Model, outcome: Outcome, bounds: dict[str, int | None], reached: Score
) -> Score:
    """What is proven possible at best, each aim with those before it as reached."""
    tiers = len(model.tiers)
    frames = _frames(outcome.bounds[:tiers], outcome.reached[:tiers], model.tiers)
    loose = loose_bounds(problem, reached)
    if problem.aims == "weighed":
        bound = bounds["weighed"]
        most = loose.worth if bound is None else bound + reached.stick_opened
        return Score(frames, reached.stick_opened, most)
    opened, worth = bounds["opened"], bounds["worth"]
    return Score(frames, -(opened or 0), loose.worth if worth is None else worth)


def _frames(bounds: Sequence[int | None], reached: Sequence[int], asked: Sequence[int]) -> int:
    """The most frames: after a due date that is not proven, later ones may all be cut."""
    total, sure = 0, True
    for bound, got, count in zip(bounds, reached, asked, strict=True):
        total += count if bound is None or not sure else bound
        sure = sure and bound == got
    return total
