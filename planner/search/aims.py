"""The exact choice of columns, aim by aim: prices, bounds in whole numbers, and what remains."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planner.branching.assignment import countable, fewest_opened, worth_over
from planner.branching.few_columns import best_of_few
from planner.branching.tree import best_in_tree
from planner.columns.enumeration import pool_of
from planner.columns.patterns import TooMany
from planner.columns.pricing import holding, price_bound, priced_bound, seeded
from planner.columns.restricted_master import prices_of
from planner.explain.progress import gap
from planner.heuristics.best_fit import hand_laid
from planner.lp.dual_bound import proven_bound
from planner.model.pool import Pool
from planner.model.profile_model import model_of
from planner.model.rows import Aim, Fetched, Held, Rows, rows_of
from planner.model.subproblem import Chosen, Stage
from planner.model.translate import chosen_of, laid_of
from planner.search.batch_by_batch import BatchPlan, fewest_by_batch
from planner.search.batch_master import NEVER
from planner.search.dive import dived
from planner.search.narrowing import narrowed
from planner.search.stick_totals import best_opened, needed, openable, opening_no_more, spare
from planner.stop import Stop
from planner.values import Problem

__all__ = ["Outcome", "fewest", "planned"]

Floats = npt.NDArray[np.float64]

# Work limits, so that the same problem ends alike anywhere: columns that a search in whole numbers
# takes at once, and CP-SAT's work where a tree did not end, of few columns.
WIDEST, FEW, AT_LAST = 20_000, 4_000, 4.0
# Branches for a plan as good of fewer pieces: where values are multiples of a step many are alike,
# of others hardly two (of a day's profiles none in hundreds).
ALIKE, APART = 200, 8
# Of more pieces than these the columns of plans that open no more are too many to be listed, and
# CP-SAT has too many counts.
PIECES = 150
# CP-SAT's work for the least of sticks, and its share of the time: a little, or much where it is
# all that can prove them; before that a brief look, and the share of batches one by one.
WORK, LONG, BRIEF, BY_BATCH = (1.0, 0.25), (6.0, 0.75), (0.4, 0.1), 0.4
# CP-SAT's work to tell whether there is so much more worth of tied frames, the share of the time
# for rows and branches before it, and the part of what is reached that counts as a little more.
WORTH, NARROW, LITTLE = 2.0, 0.5, 250
# That is asked where all that is left would make fewer leftovers to keep than these.
KEPT = 4
# Above so many columns they are made as they are called for.
MOST_COLUMNS = 40_000


@dataclass(frozen=True)
class Outcome:
    """A solution, and for each aim what it reaches and its bound (None: nothing proven).

    ``pool`` holds the columns that solutions as good may use.
    """

    chosen: Chosen
    reached: tuple[int, ...]
    bounds: tuple[int | None, ...]
    pool: Pool


def search(rows: Rows, pool: Pool, aims: Sequence[Aim], chosen: Chosen, stop: Stop) -> Outcome:
    """The best for the aims in strict order, starting from a solution; then the fewest pieces."""
    held: tuple[Held, ...] = ()
    bounds: list[int | None] = []
    for n, aim in enumerate(aims, 1):
        if not aim.opened and aim.gain:
            aim = replace(aim, known=rows.most_worth)
        stage = Stage(rows, pool, aim, held)
        found = improved(stage, chosen, stop, n == len(aims))
        chosen, pool = found.chosen, found.pool
        bounds.append(found.bound)
        reached = Stage(rows, pool, aim, held).value(chosen)
        if _asks(aim)[0]:
            # What opens no more than this leaves little.
            low = 0 if found.bound is None else -found.bound
            rows = rows.with_fewer(openable(rows, low, -reached))
            rows = replace(rows, spare=spare(rows, needed(rows, held), -reached))
            pool = pool.only(rows.sparing(pool))
        held = (*held, Held(aim, reached))
    return Outcome(chosen, tuple(h.reached for h in held), tuple(bounds), pool)


def fewest(rows: Rows, outcome: Outcome, aims: Sequence[Aim], stop: Stop) -> Chosen:
    """The same aims reached with the fewest pieces, and of as few the oldest."""
    held, pool, chosen = [], outcome.pool, outcome.chosen
    if stop.over() or not pool.complete:
        return chosen
    for aim in aims:
        held.append(Held(aim, Stage(rows, pool, aim, ()).value(chosen)))
    if len(pool) == len(chosen.uses) or len(pool) > WIDEST:
        return chosen
    aged = rows.with_ages()
    uses = np.zeros(len(rows.caps), np.int64)
    for (kind, _), times in chosen.uses.items():
        uses[kind] += times
    ages = [int(n < uses[t]) for t in aged.aged for n in range(int(rows.caps[t]))]
    start = Chosen(chosen.uses, np.concatenate([chosen.extras, np.array(ages, np.int64)]))
    stage = Stage(aged, pool, Fetched(), tuple(held))
    alike = np.gcd.reduce(stage.sums[-1]) > 1
    found, _ = best_in_tree(stage, start, stop, ALIKE if alike else APART)
    return Chosen(found.uses, found.extras[: len(rows.most)])


def _proven(stage: Stage, prices: Floats) -> int | None:
    """What these prices prove, of all ways to cut."""
    if stage.pool.complete:
        return proven_bound(stage, prices).whole
    return price_bound(stage, prices)


@dataclass(frozen=True)
class Improved:
    """The best for one aim, its bound (None: nothing proven), columns that plans as good use."""

    chosen: Chosen
    bound: int | None
    pool: Pool


def improved(stage: Stage, chosen: Chosen, stop: Stop, last: bool) -> Improved:
    """The best for one aim."""
    reached, known = stage.value(chosen), stage.aim.known
    if reached == known or stop.over():
        return Improved(chosen, known, stage.pool)
    of_sticks, of_pieces = _asks(stage.aim)
    few = not stage.pool.complete and stage.rows.caps.sum() <= PIECES
    # Where batches are missed by prices, columns near the optimum are too many to be listed.
    long = of_sticks and few and stage.rows.tied
    prices, stage = prices_of(stage, chosen, stop)
    best = _least(_proven(stage, prices), known)
    stop.say(gap(stage.aim, reached, best))
    if best is None:
        return Improved(chosen, best, _only(stage, prices, reached))
    if of_sticks:
        best = best_opened(stage, best, reached)
    if best > reached and not stage.pool.complete:
        # Where ways to cut are missing nothing is proven: what is found soon will do.
        stage, chosen = dived(stage, prices, (chosen, best), stop)
    if of_sticks and best > stage.value(chosen):
        stage, chosen, best = (
            _counted_long(stage, prices, (chosen, best), stop) if long
            else _counted(stage, (chosen, best), stop)
        )  # fmt: skip
    spared = _spared(stage.rows)
    within = stop.within(NARROW * stop.left()) if spared else stop
    # Of frames alone there is little to tell columns apart by: too many are near to be listed.
    likely = stage.pool.complete or (of_pieces and not long)
    if likely and (last or best > stage.value(chosen)):
        found = narrowed(stage, prices, chosen, best, within)
        stage, chosen, best = replace(stage, pool=found.pool), found.chosen, found.bound
    if best > stage.value(chosen) and stage.pool.complete:
        stop.say(gap(stage.aim, stage.value(chosen), best))
        chosen, best = _at_last(stage, prices, (chosen, best), within)
        best = best_opened(stage, best, stage.value(chosen)) if of_sticks else best
    if spared and best > stage.value(chosen):
        stage, chosen, best = _more_worth(stage, chosen, best, stop)
    reached = stage.value(chosen)
    if of_sticks and best == reached and few:
        stage = replace(stage, pool=opening_no_more(stage, chosen, stop) or stage.pool)
    return Improved(chosen, best, _only(stage, prices, reached))


def _counted_long(
    stage: Stage, prices: Floats, known: tuple[Chosen, int], stop: Stop
) -> tuple[Stage, Chosen, int]:
    """Fewer sticks and a better bound: a brief look by CP-SAT, batch by batch, then a long look."""
    stage, chosen, best = _counted(stage, known, stop, BRIEF, long=True)
    if best > stage.value(chosen) and _all_cut(stage):
        within = stop.within(BY_BATCH * stop.left()) if countable(stage.rows) else stop
        stage, chosen, best = _by_batch(stage, prices, (chosen, best), within)
    if best > stage.value(chosen):
        stage, chosen, best = _counted(stage, (chosen, best), stop, LONG, long=True)
    return stage, chosen, best


def _spared(rows: Rows) -> bool:
    """Whether frames are tied, and no more is left than a few leftovers that are kept."""
    return rows.tied and rows.spare is not None and rows.spare < KEPT * rows.model.rules.keep


def _all_cut(stage: Stage) -> bool:
    """Whether all frames are held to be cut."""
    tiers = stage.rows.model.tiers
    return tuple(held.reached for held in stage.held) == tiers


def _by_batch(
    stage: Stage, prices: Floats, known: tuple[Chosen, int], stop: Stop
) -> tuple[Stage, Chosen, int]:
    """Fewer sticks and a better bound, batch by batch."""
    chosen, best = known
    laid, least = fewest_by_batch(stage.rows, -best, priced_bound(stage, prices), stop, _part)
    found = chosen_of(stage.rows, laid) if laid else chosen
    opened = sum(int(stage.rows.opened[t]) * times for (t, _), times in found.uses.items())
    if opened < -stage.value(chosen):
        chosen, stage = found, replace(stage, pool=holding(stage.rows, stage.pool, found))
    return stage, chosen, best_opened(stage, -least, stage.value(chosen))


def _part(problem: Problem, stop: Stop) -> BatchPlan:
    """All frames of one batch cut with the least of sticks."""
    rows = rows_of(model_of(problem))
    (count,) = rows.model.tiers
    aims = Aim("frames", tier=0, known=count), Aim("opened", opened=-1, known=0)
    found = planned(rows, aims, chosen_of(rows, hand_laid(problem)), stop)
    if found.reached[0] < count:
        sure = found.bounds[0] is not None and found.bounds[0] < count
        return BatchPlan(NEVER, NEVER if sure else 0, {})
    least = 0 if found.bounds[1] is None else -found.bounds[1]
    return BatchPlan(-found.reached[1], least, laid_of(rows, found.chosen))


def planned(rows: Rows, aims: Sequence[Aim], start: Chosen, stop: Stop) -> Outcome:
    """The best choice over all columns if they are few, else over those that prices call for."""
    try:
        pool = pool_of(rows, MOST_COLUMNS, stop)
    except TooMany:
        pool = seeded(rows, start)
    return search(rows, pool, aims, start, stop)


def _only(stage: Stage, prices: Floats, reached: int) -> Pool:
    """The columns of a stage that solutions as good may use."""
    return stage.pool.only(proven_bound(stage, prices).within(reached))


def _counted(
    stage: Stage, known: tuple[Chosen, int], stop: Stop, limits: tuple[float, float] = WORK,
    long: bool = False,
) -> tuple[Stage, Chosen, int]:  # fmt: skip
    """The least of sticks by CP-SAT: any less at once, or total by total."""
    (chosen, best), (work, part) = known, limits
    stop, need = stop.within(part * stop.left()), needed(stage.rows, stage.held)
    while best > (reached := stage.value(chosen)) and not stop.over():
        high = -best if long else -reached - 1
        opened = -best, high, spare(stage.rows, need, high)
        chosen, bound = fewest_opened(stage, chosen, opened, stop, work)
        stage = replace(stage, pool=holding(stage.rows, stage.pool, chosen))
        bound = best_opened(stage, bound, stage.value(chosen))
        if not long or bound == best:
            return stage, chosen, bound
        best = bound
    return stage, chosen, best


def _more_worth(stage: Stage, chosen: Chosen, best: int, stop: Stop) -> tuple[Stage, Chosen, int]:
    """More worth by CP-SAT, and a better bound: is there a little more, or else much more?"""
    low = stage.value(chosen)
    step = little = max(1, abs(low) // LITTLE)
    while best > low and not stop.over():
        step = next((size for size in (step, little) if size < best - low), 1)
        found, none = worth_over(stage, chosen, low + step, stop, WORTH)
        if none:
            best, step = low + step - 1, little
            continue
        stage = replace(stage, pool=holding(stage.rows, stage.pool, found))
        if stage.value(found) > stage.value(chosen):
            chosen, low = found, stage.value(found)
        elif step == 1:
            break
        else:
            low += step
        step = max(little, 2 * step)
    return stage, chosen, max(best, stage.value(chosen))


def _at_last(
    stage: Stage, prices: Floats, known: tuple[Chosen, int], stop: Stop
) -> tuple[Chosen, int]:
    """A better solution and a better bound where few columns are left."""
    near = replace(stage, pool=_only(stage, prices, stage.value(known[0])))
    if len(near.pool) > FEW:
        return known
    chosen, bound = best_of_few(near, known[0], stop, AT_LAST)
    return chosen, known[1] if bound is None else min(known[1], bound)


def _asks(aim: Aim) -> tuple[bool, bool]:
    """Whether an aim asks for the least of sticks, and whether for pieces at all, not frames."""
    return bool(aim.opened and not aim.gain), bool(aim.opened or aim.gain)


def _least(*bounds: int | None) -> int | None:
    return min((b for b in bounds if b is not None), default=None)
