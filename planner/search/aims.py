"""The exact choice of columns, aim by aim: prices, bounds in whole numbers, and what remains."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planner.branching.cpsat import confirmed
from planner.branching.tree import Tree, best_in_tree
from planner.columns.enumeration import Near
from planner.columns.pricing import price_bound, priced_bound
from planner.columns.restricted_master import add_columns, prices_of, program_of
from planner.cuts.cut_loop import rounded
from planner.explain.progress import gap
from planner.lp.dual_bound import Bound, proven_bound
from planner.model.patterns import TooMany
from planner.model.pool import Pool
from planner.model.rows import Aim, Fetched, Held, Rows
from planner.model.subproblem import Chosen, Stage
from planner.search.gap_loop import MOST, swept, too_large
from planner.search.improver import Improver, of_many
from planner.search.stick_totals import best_opened, fewest_opened, openable
from planner.stop import Stop

__all__ = ["Outcome", "search"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]

# Work limits, so that the same problem ends alike anywhere: columns that a search in whole
# numbers takes at once, and its branches.
WIDEST, LIKELY, BRANCHING = 20_000, 300, 1_000_000
# CP-SAT is asked about so few columns only, and for so much of its own work.
FEW, WORK = 3_000, 4.0


STICKS, MANY = Aim("fewest sticks", sticks=-1), Aim("so many sticks", sticks=1)


@dataclass(frozen=True)
class Outcome:
    """A solution, and for each aim what it reaches and its bound (None: nothing proven).

    ``pool`` holds the columns that solutions as good may use. ``settled`` if no solution as good
    takes fewer or older pieces.
    """

    chosen: Chosen
    reached: tuple[int, ...]
    bounds: tuple[int | None, ...]
    pool: Pool
    settled: bool


def search(rows: Rows, pool: Pool, aims: Sequence[Aim], chosen: Chosen, stop: Stop) -> Outcome:
    """The best for the aims in strict order, starting from a solution; then the fewest pieces."""
    held: tuple[Held, ...] = ()
    improver = Improver()
    bounds: list[int | None] = []
    settled = False
    for aim in aims:
        if aim.opened and not aim.gain:
            held = (*held, *_sticks(Stage(rows, pool, STICKS, held), chosen, stop))
        stage = Stage(rows, pool, aim, held)
        found = improved(stage, chosen, stop, aim is aims[-1], improver)
        chosen, pool, settled = found.chosen, found.pool, found.settled
        bounds.append(found.bound)
        reached = Stage(rows, pool, aim, held).value(chosen)
        held = (*held, Held(aim, reached))
        rows = rows.with_fewer(
            dict.fromkeys(found.idle, 0) | _openable(rows, aim, reached, found.bound)
        )
    reaches = tuple(h.reached for h in held if h.aim in aims)
    return Outcome(chosen, reaches, tuple(bounds), pool, settled)


def _openable(rows: Rows, aim: Aim, reached: int, bound: int | None) -> dict[int, int]:
    """How many sticks of each kind a solution opens at most, since all together are no more."""
    if aim.gain or not aim.opened:
        return {}
    return openable(rows, 0 if bound is None else -bound, -reached)


def fewest(rows: Rows, outcome: Outcome, aims: Sequence[Aim], stop: Stop) -> Chosen:
    """The same aims reached with the fewest pieces, and of as few the oldest."""
    held, pool, chosen = [], outcome.pool, outcome.chosen
    if outcome.settled:
        return chosen
    for aim in aims:
        held.append(Held(aim, Stage(rows, pool, aim, ()).value(chosen)))
    aged = rows.with_ages()
    uses = np.zeros(len(rows.caps), np.int64)
    for (kind, _), times in chosen.uses.items():
        uses[kind] += times
    ages = [int(n < uses[t]) for t in aged.aged for n in range(int(rows.caps[t]))]
    start = Chosen(
        chosen.uses, np.concatenate([chosen.extras, np.array(ages, np.int64)]), chosen.splits
    )
    stage = Stage(aged, pool, Fetched(), tuple(held))
    if stop.over() or not pool.complete:
        return outcome.chosen
    prices, stage = prices_of(stage, start, stop)
    bound = proven_bound(stage, prices)
    stage = stage.only(bound.within(stage.value(start)))
    found = start
    if len(stage.pool) <= WIDEST:
        found, _ = best_in_tree(stage, start, stop, _branches(stage) // 8)
    return Chosen(found.uses, found.extras[: len(rows.most)], found.splits)


def _sticks(stage: Stage, chosen: Chosen, stop: Stop) -> tuple[Held, ...]:
    """So many sticks at least, held beside the aims: whole sticks say more than their lengths."""
    if stage.value(chosen) == 0 or (too_large(stage.rows.model) and not stage.pool.complete):
        return ()
    prices, stage = prices_of(stage, chosen, stop)
    bound = _proven(stage, prices)
    return (Held(MANY, -bound),) if bound is not None and bound < 0 else ()


def _proven(stage: Stage, prices: Floats) -> int | None:
    """What these prices prove, of all ways to cut."""
    if stage.pool.complete:
        return proven_bound(stage, prices).whole
    return price_bound(stage, prices)


@dataclass(frozen=True)
class Improved:
    """The best for one aim, its bound (None: nothing proven), and what solutions as good may use.

    ``settled`` if it is proven to take the fewest and oldest pieces; ``idle`` kinds are not used.
    """

    chosen: Chosen
    bound: int | None
    pool: Pool
    settled: bool = False
    idle: frozenset[int] = frozenset()


def improved(stage: Stage, chosen: Chosen, stop: Stop, last: bool, improver: Improver) -> Improved:
    """The best for one aim; with ``last`` of the best the one of fewest and oldest pieces."""
    reached, known = stage.value(chosen), stage.aim.known
    if reached == known or stop.over():
        return Improved(chosen, known, stage.pool)
    of_sticks = _asks(stage.aim)[0]
    exact = stop.within(stop.left() / 2) if of_many(stage.rows.model) else stop
    prices, stage = prices_of(stage, chosen, stop)
    bound = proven_bound(stage, prices)
    best = _least(_proven(stage, prices), known)
    stop.say(gap(stage.aim, reached, best))
    if best is None:
        return Improved(chosen, best, stage.pool.only(bound.within(reached)))
    pool, whole, reached = stage.pool, False, stage.value(chosen)
    if of_sticks:
        sweep = fewest_opened(stage, chosen, best, exact)
        chosen, best, pool, whole = sweep.chosen, sweep.bound, sweep.pool, sweep.whole
    # Of frames alone there is little to tell columns apart by: too many are near to be listed.
    elif last or (best > reached and (pool.complete or stage.aim.gain)):
        sweep = swept(stage, prices, chosen, (bound, best), exact, last)
        chosen, best, pool, whole = sweep.chosen, min(best, sweep.bound), sweep.pool, sweep.whole
    if pool is not stage.pool:
        stage = replace(stage, pool=pool)
        bound = proven_bound(stage, prices)
    if not whole and best > stage.value(chosen):
        stop.say(gap(stage.aim, stage.value(chosen), best))
        stage, chosen, best = _further(stage, prices, (chosen, best), stop, improver)
        bound, pool = proven_bound(stage, prices), stage.pool
        best = best_opened(stage.rows, best, stage.value(chosen)) if of_sticks else best
    reached = stage.value(chosen)
    # Of large profiles there are too many to list, which takes long to find out.
    if best == reached and not (last or pool.complete or too_large(stage.rows.model)):
        pool = _listed(stage, prices, reached, stop)
    idle = frozenset() if last else _idle(stage, prices, reached)
    if len(pool) == len(bound.loss):
        pool = pool.only(bound.within(reached))
    return Improved(chosen, best, pool, whole and last, idle)


def _asks(aim: Aim) -> tuple[bool, bool]:
    """Whether an aim asks for the least of sticks, and whether for pieces at all, not frames."""
    return bool(aim.opened and not aim.gain), bool(aim.opened or aim.gain)


def _listed(stage: Stage, prices: Floats, reached: int, stop: Stop) -> Pool:
    """All columns that solutions as good may use, if they are few; else those of the stage."""
    try:
        return Near(stage, prices, MOST).pool(reached, stop)
    except TooMany:
        return stage.pool


def _idle(stage: Stage, prices: Floats, reached: int) -> frozenset[int]:
    """The kinds that no solution as good uses, where not all ways to cut are listed."""
    priced = None if stage.pool.complete else priced_bound(stage, prices)
    return frozenset() if priced is None else priced.idle(reached)


def _further(
    stage: Stage, prices: Floats, known: tuple[Chosen, int], stop: Stop, improver: Improver
) -> tuple[Stage, Chosen, int]:
    """Branches and a long look at neighbours; where all is too large neighbours come first."""
    chosen, best = known
    of_pieces, large = _asks(stage.aim)[1], too_large(stage.rows.model)
    if of_pieces and large:
        stage, chosen = improver.thoroughly(stage, chosen, best, stop)
    chosen, best = _branched(stage, proven_bound(stage, prices), (chosen, best), stop)
    if of_pieces and not large:
        stage, chosen = improver.thoroughly(stage, chosen, best, stop)
    return stage, chosen, best


def _branched(
    stage: Stage, bound: Bound, known: tuple[Chosen, int], stop: Stop
) -> tuple[Chosen, int]:
    """A better solution by branching, and a better bound where the pool is complete."""
    chosen, best = known
    chosen = _whole(stage, bound, chosen, stop)
    narrow = stage.only(bound.within(stage.value(chosen)))
    if stage.pool.complete and best > stage.value(chosen) and len(narrow.pool) <= FEW:
        sharp = rounded(narrow, chosen, best, stage.value(chosen) + stage.step, stop)
        chosen, best, narrow = sharp.chosen, sharp.bound, sharp.stage
    if best > stage.value(chosen) and len(narrow.pool) <= WIDEST:
        tree = Tree(narrow, chosen, stage.value(chosen))
        # Where ways to cut are missing nothing is proven: what is found soon will do.
        tree.grow(_branches(narrow) // (1 if stage.pool.complete else 4), stop)
        chosen = tree.chosen
        if stage.pool.complete:
            best = best if tree.bound is None else min(best, tree.bound)
            if best != stage.value(chosen) and len(narrow.pool) <= FEW:
                reached = stage.value(chosen)
                plain = replace(narrow, added=None)
                chosen, bound_found = confirmed(plain, chosen, reached, stop, WORK)
                best = best if bound_found is None else min(best, bound_found)
    return chosen, best


def _branches(stage: Stage) -> int:
    """Branches for about the same work whatever the number of columns."""
    return min(4_000, max(100, BRANCHING // (50 + len(stage.pool))))


def _least(*bounds: int | None) -> int | None:
    return min((b for b in bounds if b is not None), default=None)


def _whole(stage: Stage, bound: Bound, chosen: Chosen, stop: Stop) -> Chosen:
    """A better solution in whole numbers, if the solver finds one among the likeliest columns."""
    reached = stage.value(chosen)
    columns = np.flatnonzero(bound.within(reached))
    own = stage.pool.numbers(chosen.uses)
    mine = np.array(sorted(own), np.int64)
    columns = columns[np.argsort(-bound.loss[columns], kind="stable")[:LIKELY]]
    columns = np.union1d(columns, mine)
    program, extras = program_of(stage), len(stage.rows.most)
    add_columns(program, stage, columns)
    start = np.concatenate([chosen.extras, np.zeros(len(columns), np.int64)])
    start[extras + np.searchsorted(columns, own)] = list(chosen.uses.values())
    found = program.solve_whole(stop, start, nodes=30)
    if len(found.values) != extras + len(columns):
        return chosen
    values = np.rint(found.values).astype(np.int64)
    uses, used = values[extras:], np.flatnonzero(values[extras:])
    if not stage.fits(columns[used], uses[used], values[:extras]):
        return chosen
    better = stage.chosen(columns[used], uses[used], values[:extras])
    return better if stage.value(better) > reached else chosen
