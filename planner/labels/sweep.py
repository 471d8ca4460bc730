"""The best choice of columns by going through all that lose little enough at some prices.

At the prices of a fractional optimum every column has a loss; what a solution reaches is the bound
less all its losses. So a better solution loses in all no more than the gap, and those few sets of
columns are gone through piece by piece: what is found, and that there is nothing better, holds in
whole numbers whatever the prices.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planner.labels.frame_choices import Wanted, wanted
from planner.labels.meet_in_middle import Choice, Half, both_halves
from planner.labels.packed_counts import Packed, Packing
from planner.labels.reduced_costs import Losses
from planner.lp.dual_bound import exact_sum, in_whole_numbers, scale_of
from planner.model.rows import Fetched
from planner.model.subproblem import Chosen, Stage
from planner.stop import OutOfTime, Stop

__all__ = ["Sweep"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
# Above so many sums looked up for one batch, the likeliest are.
LOOKUPS = 20_000_000
# Choices of frames and batches at once.
WANTS = 100_000


@dataclass(frozen=True, slots=True)
class _Ends:
    """For each thing that is wanted of a batch, the states that yield it and what they lose."""

    halves: tuple[Half, Half]
    loss: Ints
    spent: Ints
    states: Ints

    @staticmethod
    def none(packing: Packing, count: int) -> "_Ends":
        """Nothing that is wanted can be yielded."""
        halves = Half(packing, 1), Half(packing, 1)
        none = np.zeros(count, np.int64)
        return _Ends(halves, none - 1, none, np.zeros((count, 2), np.int64))

    def of(self, which: npt.NDArray[np.generic]) -> "_Ends":
        """The ends of these."""
        return _Ends(self.halves, self.loss[which], self.spent[which], self.states[which])


class Sweep:
    """All choices of columns that reach at least ``least``, gone through once.

    ``limits``: states kept at once, sums looked at in all, and time. ``whole`` turns false if some
    were left out, for being too many or for want of time, and ``hopeless`` if more states or sums
    would not help. ``sums`` counts what was looked at. With ``fetched``, of equal choices the
    fewest and oldest pieces win.
    """

    def __init__(
        self,
        stage: Stage,
        prices: Floats,
        least: int,
        limits: tuple[int, int, Stop],
        fetched: bool,
        sharp: Losses | None = None,
    ) -> None:
        self.width, self.most, self.stop = limits
        self.stage, self.whole, self.hopeless, self.sums = stage, True, False, 0
        rows = stage.rows
        self.costs = _costs(stage) if fetched else [[0] * int(cap) for cap in rows.caps]
        # One unit of loss weighs more than all pieces fetched.
        self.weight = 1 + sum(map(sum, self.costs))
        scale = scale_of(stage, prices, self.weight)
        self.whole_prices, room = in_whole_numbers(stage, prices, scale)
        left = scale * stage.gains - stage.priced(self.whole_prices)
        extra = scale * stage.extra_gains - self.whole_prices @ stage.extra_block
        unused = np.zeros(len(rows.caps), np.int64)
        np.maximum.at(unused, stage.pool.kind, left)
        total = room + exact_sum(unused, rows.caps)
        total += exact_sum(np.maximum(0, extra), rows.most)
        loss = unused[stage.pool.kind] - left
        self.losses = Losses(loss, unused, extra, rows.most, total - scale * least)
        self.sharp = sharp
        self.spent = sharp or self.losses

    def best(self) -> Chosen | None:
        """The solution that loses least, if little enough; ``whole`` if none is better."""
        if self.losses.budget < 0 or self.spent.budget < 0:
            return None
        wants = None
        if self.losses.budget * self.weight < 2**61:
            limits = WANTS, self.stop
            wants = wanted(self.stage, self.whole_prices, self.losses, self.sharp, limits)
        if wants is None:
            self.whole, self.hopeless = False, True
            return None
        self.whole, self.hopeless = wants.whole, not wants.whole
        try:
            return self._found(wants)
        except OutOfTime:
            self.whole, self.sums = False, self.most
            return None

    def _found(self, wants: Wanted) -> Chosen | None:
        """Batch by batch what is wanted of it, those of the fewest ways first."""
        known, spent, ends = wants.loss * self.weight, wants.spent, dict[int, _Ends]()
        for batch in self._batches():
            if not len(known):
                return None
            self.stop.check()
            found, back = self._batch(wants, batch, known, spent)
            known, spent = known + found.loss[back], spent + found.spent[back]
            good = (found.loss[back] >= 0) & (known <= self._limit()) & (spent <= self.spent.budget)
            ends[batch] = found.of(back)
            ends = {b: of.of(good) for b, of in ends.items()}
            known, spent, wants = known[good], spent[good], wants.only(good)
        if not len(known):
            return None
        return self._chosen(wants, ends, int(np.argmin(known)))

    def _batches(self) -> list[int]:
        """The batches, those first whose pieces have the fewest ways to be cut."""
        rows, kinds = self.stage.rows, self.stage.pool.kind
        ways = np.bincount(kinds[self._near()], minlength=len(rows.caps))
        sizes = np.bincount(rows.batch_of, np.log(1.0 + ways) * rows.caps)
        return [int(b) for b in np.argsort(sizes, kind="stable")]

    def _near(self) -> Ints:
        """The columns that lose little enough."""
        near = self.losses.columns <= self.losses.budget
        return np.flatnonzero(near & (self.spent.columns <= self.spent.budget))

    def _limit(self) -> int:
        """The most that may be lost, pieces fetched counted in."""
        return self.losses.budget * self.weight + self.weight - 1

    def _batch(
        self, wants: Wanted, batch: int, known: Ints, spent: Ints
    ) -> tuple[_Ends, Ints]:  # fmt: skip
        """What a batch loses least to yield each of the things wanted; -1 where it cannot."""
        every = wants.of_batch[batch]
        packing = Packing(tuple(every.max(axis=0).tolist()))
        if not packing.fits_a_key:
            self.whole, self.hopeless = False, True
            return _Ends.none(packing, len(every)), np.arange(len(every))
        keys = packing.packed(every).key
        _, first, back = np.unique(keys, return_index=True, return_inverse=True)
        room = np.full((2, len(first)), -1)
        np.maximum.at(room[0], back, self._limit() - known)
        np.maximum.at(room[1], back, self.spent.budget - spent)
        choices = self._choices(batch, wants, packing)
        limits = self.width, self.most - self.sums, self.stop
        halves = both_halves(packing, choices, (int(room[0].max()), int(room[1].max())), limits)
        self.whole = self.whole and halves[0].whole and halves[1].whole
        self.sums += halves[0].sums + halves[1].sums
        return self._ends(halves, packing.packed(every[first]), room), back

    def _choices(self, batch: int, wants: Wanted, packing: Packing) -> list[Choice]:
        """The pieces of a batch, each with its ways to be cut or left."""
        rows, pool = self.stage.rows, self.stage.pool
        classes = len(packing.most) - len(rows.model.item_sizes)
        near = self._near()
        near = near[rows.batch_of[pool.kind[near]] == batch]
        table = np.zeros((len(near), len(packing.most)), np.int64)
        table[:, : len(rows.model.item_sizes)] = pool.table[pool.pattern[near]]
        own = wants.counts[pool.kind[near]]
        counted = np.flatnonzero(own >= 0)
        table[counted, len(packing.most) - classes + own[counted]] = 1
        good = (table <= np.array(packing.most)).all(axis=1)
        near, table = near[good], table[good]
        found = []
        for kind in np.flatnonzero((rows.batch_of == batch) & (rows.caps > 0)).tolist():
            mine = np.flatnonzero(pool.kind[near] == kind)
            if len(mine) or self.losses.unused[kind] or self.spent.unused[kind]:
                found += self._copies(kind, near[mine], packing.packed(table[mine]), packing)
        return found

    def _copies(
        self, kind: int, columns: Ints, yields: Packed, packing: Packing
    ) -> list[Choice]:  # fmt: skip
        """A choice for each piece of a kind, oldest first."""
        none = packing.packed(np.zeros((1, len(packing.most)), np.int64))
        key = np.concatenate([none.key, yields.key])
        words = np.hstack([none.words, yields.words])
        columns = np.concatenate([[-1], columns])
        lost, spent = (
            np.concatenate([of.unused[kind : kind + 1], of.columns[columns[1:]]])
            for of in (self.losses, self.spent)
        )
        near = np.flatnonzero((lost <= self.losses.budget) & (spent <= self.spent.budget))
        found = []
        for cost in self.costs[kind]:
            loss = self.weight * lost[near] + np.where(columns[near] < 0, 0, cost)
            order = np.lexsort((loss, spent[near]))
            at = near[order]
            found.append(Choice(Packed(key[at], words[:, at]), loss[order], spent[at], columns[at]))
        return found

    def _ends(self, halves: tuple[Half, Half], wanted: Packed, room: Ints) -> _Ends:
        """For each thing wanted the two states that yield it together and lose least.

        ``room``: what may be lost, and spent.
        """
        few, many = sorted(halves, key=len)
        order = np.argsort(many.yields.key)
        keys = many.yields.key[order]
        loss, spent = np.full(len(wanted), -1), np.zeros(len(wanted), np.int64)
        states = np.zeros((len(wanted), 2), np.int64)
        turns = np.argsort(-room[1], kind="stable")
        most = max(1, LOOKUPS // max(1, len(few)))
        if len(turns) > most:
            self.whole, self.hopeless = False, True
        for n in turns[:most].tolist() if len(keys) else ():
            self.stop.check()
            near = int(np.searchsorted(few.spent, room[1, n], side="right"))
            fits = halves[0].packing.within(few.yields.words[:, :near], wanted.words[:, n : n + 1])
            a = np.flatnonzero(fits)
            need = wanted.key[n] - few.yields.key[a]
            place = np.minimum(np.searchsorted(keys, need), len(keys) - 1)
            met = np.flatnonzero(keys[place] == need)
            a, b = a[met], order[place[met]]
            good = np.flatnonzero(few.spent[a] + many.spent[b] <= room[1, n])
            if len(good):
                a, b = a[good], b[good]
                both = few.loss[a] + many.loss[b]
                best = int(np.argmin(both))
                if both[best] <= room[0, n]:
                    loss[n], states[n] = both[best], (a[best], b[best])
                    spent[n] = few.spent[a[best]] + many.spent[b[best]]
        return _Ends((few, many), loss, spent, states)

    def _chosen(self, wants: Wanted, ends: dict[int, _Ends], at: int) -> Chosen | None:
        columns = [
            column
            for e in ends.values()
            for half, state in zip(e.halves, e.states[at].tolist(), strict=True)
            for column in half.columns(state)
        ]
        found, uses = np.unique(np.array(columns, np.int64), return_counts=True)
        if not self.stage.fits(found, uses, wants.extras[at]):
            return None
        return self.stage.chosen(found, uses, wants.extras[at])


def _costs(stage: Stage) -> list[list[int]]:
    """What fetching each piece of each kind costs: a piece more, and its place in age."""
    most = Fetched().most(stage.rows)
    kinds = zip(stage.rows.model.types, stage.rows.caps.tolist(), strict=True)
    return [[most + rank for rank in kind.ranks[:cap]] for kind, cap in kinds]
