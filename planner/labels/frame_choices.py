"""Which frames are cut, and from which batch: every choice that loses no more than a budget.

A choice says what each batch must yield. Sticks that a held aim counts are chosen here too, by
batch and length, so that what remains is each batch's own affair.
"""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from planner.labels.reduced_costs import Losses
from planner.model.rows import Rows
from planner.model.subproblem import Stage
from planner.stop import Stop

__all__ = ["Wanted", "many_choices", "wanted"]

Ints = npt.NDArray[np.int64]
NO_LIMIT = 2**60


# So many choices of batches for frames tied to one take long to be listed.
MANY = 20_000


def many_choices(rows: Rows) -> bool:
    """Whether frames can be cut from batches in so many ways that branching is quicker."""
    tied = (group for group in rows.model.groups if group.link == "batch")
    return sum(len(g.frames) * math.log(max(1, len(g.batches))) for g in tied) > math.log(MANY)


@dataclass(frozen=True, slots=True)
class Wanted:
    """Choices of extras, least spent first, with what each batch must yield for them.

    ``of_batch[b][n]`` counts items, then pieces of the classes that held aims count;
    ``counts[kind]`` is the class of a kind of piece, -1 for none. Not ``whole`` if choices were
    left out for being too many.
    """

    extras: Ints
    loss: Ints
    spent: Ints
    of_batch: list[Ints]
    counts: Ints
    whole: bool

    def only(self, which: npt.NDArray[np.generic]) -> "Wanted":
        """These choices alone."""
        of_batch = [part[which] for part in self.of_batch]
        return Wanted(
            self.extras[which], self.loss[which], self.spent[which], of_batch, self.counts,
            self.whole,
        )  # fmt: skip


def wanted(
    stage: Stage, prices: Ints, losses: Losses, sharp: Losses | None, limits: tuple[int, Stop]
) -> Wanted | None:
    """All choices within the budget; None where a held aim looks at how a piece is cut.

    What is spent is counted by the ``sharp`` losses if there are some, else it is the loss.
    """
    made = _Choices(stage, prices)
    if made.counts is None:
        return None
    values, loss, whole = made.listed(losses, *limits)
    spent = loss if sharp is None else sharp.of_extras(values[:, : len(stage.rows.most)])
    count = len(stage.rows.most)
    of_batch = [made.yielded(values, b) for b in range(len(stage.rows.batches))]
    good = np.flatnonzero(loss <= losses.budget)
    if sharp is not None:
        good = good[spent[good] <= sharp.budget]
    order = good[np.argsort(spent[good], kind="stable")]
    found = Wanted(values[:, :count], loss, spent, of_batch, made.counts, whole)
    return found.only(order)


class _Choices:
    """The extras of a stage and, behind them, bundles by batch and counted sticks by class."""

    def __init__(self, stage: Stage, prices: Ints) -> None:
        self.stage, self.rows, self.prices = stage, stage.rows, prices
        self.model, self.batches = stage.rows.model, len(stage.rows.batches)
        self.loose = len(self.model.lengths) * self.batches
        self.items = self.loose + len(self.model.bundles)
        self.classes = self._classes()
        self.bundles = [
            (n, b) for n in range(len(self.model.bundles)) for b in range(self.batches)
            if self._may(n, b)
        ]  # fmt: skip

    def _may(self, bundle: int, batch: int) -> bool:
        types = self.model.groups[self.model.bundles[bundle]].types
        return any(self.rows.batch_of[t] == batch for t in types)

    def _classes(self) -> list[tuple[int, tuple[int, ...]]] | None:
        """(batch, what one piece adds to each held aim) of the pieces that held aims count."""
        if not any(s.any() for s in self.stage.sums):
            return []
        kinds = self.stage.pool.kind
        adds = np.zeros((len(self.rows.caps), len(self.stage.sums)), np.int64)
        for n, sums in enumerate(self.stage.sums):
            adds[kinds, n] = sums
            if (adds[kinds, n] != sums).any():
                return None
        self.adds = adds
        found = {(int(self.rows.batch_of[t]), tuple(adds[t].tolist()))
                 for t in range(len(adds)) if adds[t].any()}  # fmt: skip
        return sorted(found)

    @cached_property
    def counts(self) -> Ints | None:
        """The class of each kind within its batch."""
        if self.classes is None:
            return None
        counts = np.full(len(self.rows.caps), -1)
        for kind in range(len(counts)) if self.classes else ():
            batch = int(self.rows.batch_of[kind])
            mine = [adds for b, adds in self.classes if b == batch]
            own = tuple(self.adds[kind].tolist())
            counts[kind] = mine.index(own) if own in mine else -1
        return counts

    def _most(self) -> list[int]:
        asked = [self.model.item_asked[len(self.model.lengths) + n] for n, _ in self.bundles]
        pieces = [
            sum(int(self.rows.caps[t]) for t in range(len(self.rows.caps))
                if self.rows.batch_of[t] == b and tuple(self.adds[t].tolist()) == adds)
            for b, adds in self.classes or ()
        ]  # fmt: skip
        return [*self.rows.most.tolist(), *asked, *pieces]

    @cached_property
    def block(self) -> Ints:
        """All rows over all choices; columns are left out, but for what the last ones stand for."""
        bundles = np.zeros((len(self.stage.low), len(self.bundles)), np.int64)
        for at, (n, _) in enumerate(self.bundles):
            bundles[self.loose + n, at] = 1
        classes = np.zeros((len(self.stage.low), len(self.classes or ())), np.int64)
        for at, (_, adds) in enumerate(self.classes or ()):
            classes[len(self.rows.high) :, at] = adds
        return np.hstack([self.stage.extra_block, bundles, classes])

    def listed(self, losses: Losses, width: int, stop: Stop) -> tuple[Ints, Ints, bool]:
        """(values, losses, whether all are there) of the choices that keep all rows."""
        budget, none = (
            losses.budget,
            np.zeros(len(self.bundles) + len(self.classes or ()), np.int64),
        )
        gains = np.concatenate([losses.extra, none])
        checked = np.arange(self.loose, len(self.stage.low))
        block, most = self.block[checked], self._most()
        low = np.array([-NO_LIMIT if v is None else v for v in self.stage.low])[checked]
        high = np.array([NO_LIMIT if v is None else v for v in self.stage.high])[checked]
        tops = block * np.array(most, np.int64)
        up, down = np.maximum(tops, 0).sum(axis=1), np.minimum(tops, 0).sum(axis=1)
        start = int((up >= low).all() and (down <= high).all())
        sums, steps = np.zeros((start, len(checked)), np.int64), list[tuple[Ints, Ints]]()
        loss, whole = np.zeros(start, np.int64), True
        for at, top in enumerate(most):
            if stop.over():
                return np.zeros((0, len(most)), np.int64), np.zeros(0, np.int64), False
            # Only rows that this choice is in can come to be broken by it.
            mine = np.flatnonzero(block[:, at])
            adds = block[mine, at]
            up[mine] -= np.maximum(tops[mine, at], 0)
            down[mine] -= np.minimum(tops[mine, at], 0)
            times = np.arange(top + 1)
            gain = int(gains[at])
            more = loss[:, None] + abs(gain) * (top - times if gain > 0 else times)
            good = more <= budget
            for row, add in zip(mine.tolist(), adds.tolist(), strict=True):
                after = sums[:, row, None] + add * times
                good &= (after + up[row] >= low[row]) & (after + down[row] <= high[row])
            state, n = np.nonzero(good)
            if len(state) > width:
                kept = np.sort(np.argsort(more[state, n], kind="stable")[:width])
                state, n, whole = state[kept], n[kept], False
            steps.append((state, n))
            sums, loss = sums[state], more[state, n]
            sums[:, mine] += n[:, None] * adds
        return _traced(steps, len(loss)), loss + self._slack(sums, low, high), whole

    def _slack(self, sums: Ints, low: Ints, high: Ints) -> Ints:
        """What rows with a price lose by not being filled."""
        prices = self.prices[self.loose :]
        side = np.where(prices > 0, high, low)
        priced = np.flatnonzero(prices)
        return np.asarray((prices[priced] * (side[priced] - sums[:, priced])).sum(axis=1))

    def yielded(self, values: Ints, batch: int) -> Ints:
        """What a batch must yield: loose rails, frames of one piece, counted pieces."""
        lengths = len(self.model.lengths)
        extras = len(self.rows.most)
        rows = np.arange(lengths) * self.batches + batch
        loose = -(values[:, :extras] @ self.stage.extra_block[rows].T)
        bundles = np.zeros((len(values), len(self.model.bundles)), np.int64)
        for at, (n, b) in enumerate(self.bundles):
            if b == batch:
                bundles[:, n] = values[:, extras + at]
        first = extras + len(self.bundles)
        mine = [first + at for at, (b, _) in enumerate(self.classes or ()) if b == batch]
        return np.hstack([loose, bundles, values[:, mine]])


def _traced(steps: list[tuple[Ints, Ints]], count: int) -> Ints:
    """The values of the choices that are left, from how each was gone on with."""
    values, at = np.zeros((count, len(steps)), np.int64), np.arange(count)
    for n, (state, times) in reversed(list(enumerate(steps))):
        values[:, n], at = times[at], state[at]
    return values
