"""The least length of sticks opened: the totals that sticks can have, gone through shortest first.

Few totals are possible, since sticks are few and opened whole. For a total prices tell how scarce
the pieces are, sticks of that total among them; at these the columns that waste lose most.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from planner.branching.tree import Tree
from planner.columns.enumeration import Near, likely
from planner.columns.pricing import holding
from planner.columns.restricted_master import scarce_prices
from planner.cuts.cut_loop import rounded
from planner.labels.frame_choices import many_choices
from planner.labels.sweep import Sweep
from planner.lp.dual_bound import proven_bound
from planner.model.patterns import TooMany
from planner.model.pool import Pool
from planner.model.rows import Aim, Held, Rows
from planner.model.subproblem import Chosen, Stage
from planner.search.gap_loop import LAST, MOST, WIDTHS, WORK, Swept, too_many
from planner.stop import Stop

__all__ = ["best_opened", "fewest_opened", "openable", "totals"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
POSSIBLE, LEAST = Aim("possible"), Aim("opened at least", opened=1)
# Above so many totals none are counted.
TOTALS = 10_000
# So many columns at most are branched on; columns gone through in all branches, and where those
# that could be used are too many to be listed.
NEAR, BRANCHING, LOOKING = 10_000, 400_000, 700_000
# Columns looked at beside those called for, where these do not do, and in how many ways.
LIKELY, WAYS = 2_000, 5


def totals(rows: Rows, low: int, high: int) -> list[int] | None:
    """All lengths from ``low`` to ``high`` (um) that sticks can open together; None: too many."""
    sums = np.zeros(1, np.int64)
    for kind in _sticks(rows):
        sums = _with_more(rows, kind, sums, high)
        if len(sums) > TOTALS:
            return None
    return [int(total) for total in sums if total >= low]


def openable(rows: Rows, low: int, high: int) -> dict[int, int]:
    """How many sticks of each kind are at most in a choice of ``low`` to ``high`` (um) together."""
    kinds = _sticks(rows)
    after = [np.zeros(1, np.int64)]
    for kind in reversed(kinds[1:]):
        after.append(_with_more(rows, kind, after[-1], high))
        if len(after[-1]) > TOTALS:
            return {kind: len(_lengths(rows, kind, high)) - 1 for kind in kinds}
    before, found = after[0], {}
    for kind in kinds:
        rest, lengths = after.pop(), _lengths(rows, kind, high)
        some = before[:, None] + lengths
        first = np.searchsorted(rest, low - some)
        met = (first < np.searchsorted(rest, high - some, side="right")).any(axis=0)
        found[kind] = int(np.flatnonzero(met).max(initial=0))
        before = _with_more(rows, kind, before, high)
    return found


def _sticks(rows: Rows) -> list[int]:
    """The kinds of sticks there are."""
    return [int(kind) for kind in np.flatnonzero((rows.opened > 0) & (rows.caps > 0))]


def _lengths(rows: Rows, kind: int, high: int) -> Ints:
    """What sticks of one kind can open, up to ``high``: none, one, and so on."""
    times = min(int(rows.caps[kind]), high // int(rows.opened[kind]))
    return np.asarray(np.arange(times + 1) * rows.opened[kind])


def _with_more(rows: Rows, kind: int, sums: Ints, high: int) -> Ints:
    """All sums up to ``high`` with sticks of one kind more."""
    found = np.unique(sums[:, None] + _lengths(rows, kind, high))
    return found[found <= high]


def best_opened(rows: Rows, best: int, reached: int) -> int:
    """The bound of the least length opened (both below 0), rounded to what sticks can open."""
    return -(totals(rows, -best, -reached) or [-best])[0]


def fewest_opened(stage: Stage, chosen: Chosen, best: int, stop: Stop) -> Swept:
    """The least length opened, sought from a known solution; ``best`` is a bound known before."""
    possible = totals(stage.rows, -best, -stage.value(chosen))
    if possible is None:
        return Swept(chosen, best, False, stage.pool)
    search = _Opening(stage, chosen, possible, stop)
    if not too_many(stage):
        search.run()
    return Swept(search.chosen, -search.left[0], len(search.left) == 1, search.stage.pool)


class _Opening:
    """``left`` are the totals that are not ruled out, the last one what ``chosen`` opens."""

    def __init__(self, stage: Stage, chosen: Chosen, left: list[int], stop: Stop) -> None:
        self.stage, self.chosen, self.left, self.stop, self.sums = stage, chosen, left, stop, 0
        lengths = stage.rows.opened[(stage.rows.opened > 0) & (stage.rows.caps > 0)]
        self.shortest = int(lengths.min(initial=left[-1]))

    def run(self) -> None:
        """Rule totals out until one is met; of what is left open find the least that is found."""
        self._rule_out()
        while len(self.left) > 1 and not self.stop.over():
            found = self._found_below(self.left[-2])
            if found is None:
                break
            self._meet(found)

    def _rule_out(self) -> None:
        """Rule totals out, more and more at once, until one is met or it is too much."""
        many = 1
        while len(self.left) > 1 and self.sums < WORK and not self.stop.over():
            many = min(many, len(self.left) - 1)
            found, whole = self._tried(self.left[0], self.left[many - 1])
            if found:
                self._meet(found)
            elif whole:
                self.left, many = self.left[many:], 4 * many
            elif many == 1:
                return
            else:
                many = 1

    def _meet(self, found: Chosen) -> None:
        self.chosen, rows = found, self.stage.rows
        self.stage = replace(self.stage, pool=holding(rows, self.stage.pool, found))
        opened = -self.stage.value(found)
        self.left = [total for total in self.left if total <= opened]

    def _scarce(self, high: int) -> tuple[Floats, Stage]:
        """Prices where sticks of up to ``high`` may be opened, and the columns they call for."""
        # So many sticks at least would hide how scarce the pieces are; totals say as much.
        held = [h for h in self.stage.held if isinstance(h.aim, Aim) and not h.aim.sticks]
        stage = replace(self.stage, aim=POSSIBLE, held=(*held, Held(self.stage.aim, -high)))
        return scarce_prices(stage, self.chosen, max(high, self.shortest // 2), self.stop)

    def _tried(self, low: int, high: int) -> tuple[Chosen | None, bool]:
        """A solution that opens between two totals, and whether all were gone through for it."""
        prices, stage = self._scarce(high)
        try:
            near = self._near(stage, prices)
        except TooMany:
            return None, False
        at_least = replace(stage, pool=near, held=(*stage.held, Held(LEAST, low)))
        few = () if many_choices(stage.rows) else WIDTHS[:1]
        found, whole = self._swept(at_least, prices, few)
        if not found and not whole and len(stage.rows.batches) > 1 and len(near) <= NEAR:
            losses = proven_bound(replace(stage, pool=near), prices).loss
            found, whole = self._branched(replace(self.stage, pool=near), low, high, losses)
        if not found and not whole and not self.stop.over():
            found, whole = self._swept(at_least, prices, WIDTHS[len(few) :])
        if found:
            # All columns of solutions that open no more: later aims need no others.
            self.stage = replace(self.stage, pool=near)
        return found, whole

    def _swept(
        self, stage: Stage, prices: Floats, widths: Sequence[int]
    ) -> tuple[Chosen | None, bool]:
        """A solution of a stage, and whether all were gone through for it."""
        found, whole = None, False
        for width in widths:
            limits = width, LAST - self.sums, self.stop
            sweep = Sweep(stage, np.append(prices, 0.0), 0, limits, False)
            found = sweep.best()
            self.sums, whole = self.sums + sweep.sums, sweep.whole
            if found or whole or sweep.hopeless or self.sums >= WORK:
                break
        return found, whole

    def _branched(
        self, stage: Stage, low: int, high: int, losses: Ints
    ) -> tuple[Chosen | None, bool]:
        """The same by branching with rows added, where choices of batches make the difference."""
        sharp = rounded(stage, self.chosen, -low, -high, self.stop, losses)
        if sharp.chosen is not self.chosen or sharp.bound < -high:
            return (None, True) if sharp.bound < -high else (sharp.chosen, False)
        tree = Tree(sharp.stage, self.chosen, -high - 1)
        tree.grow(BRANCHING // (50 + len(tree.stage.pool)), self.stop)
        found = None if tree.chosen is self.chosen else tree.chosen
        return found, tree.bound is not None and tree.bound < -high

    def _found_below(self, high: int) -> Chosen | None:
        """A solution that opens no more: of the columns that prices called for, then of more.

        One way into the depth may be long where another is short: each is left for the next.
        """
        prices, stage = self._scarce(high)
        found = None if stage.pool.complete else self._looked_for(stage.pool, high, 0)[0]
        if found is not None or self.stop.over():
            return found
        more = likely(stage, prices, LIKELY, self.stop)
        for way in range(WAYS):
            found, closed = self._looked_for(more, high, way)
            if found is not None or closed or self.stop.over():
                return found
        return None

    def _looked_for(self, pool: Pool, high: int, way: int) -> tuple[Chosen | None, bool]:
        """A solution of these columns that opens no more, and whether there is no other."""
        tree = Tree(replace(self.stage, pool=pool), self.chosen, -high - 1, way)
        tree.grow(LOOKING // (50 + len(pool)), self.stop)
        found = None if tree.chosen is self.chosen else tree.chosen
        return found, tree.bound is not None and tree.bound < -high

    def _near(self, stage: Stage, prices: Floats) -> Pool:
        if not stage.pool.complete:
            return Near(stage, prices, MOST).pool(0, self.stop)
        near = stage.pool.only(proven_bound(stage, prices).within(0))
        if len(near) > MOST:
            raise TooMany
        return near
