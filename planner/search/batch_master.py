"""Which frames each batch cuts, and what sticks it opens: the master program of Benders' scheme.

It knows of a batch what prices prove, that rails of a size and more find room, and what it was told
of a batch's own problem; so the least that it opens is a bound.
"""

from collections import Counter
from collections.abc import Sequence

import numpy as np

from planner.columns.pricing import Priced
from planner.lp.cp_sat import NO_LIMIT, Answer, WholeProgram
from planner.lp.dual_bound import exact_sum
from planner.model.rows import Rows
from planner.stop import Stop
from planner.values import Micrometres

__all__ = ["NEVER", "BatchMaster", "Items"]

# Of each item so many.
Items = Counter[int]
# What can't be cut opens more than any batch has.
NEVER = 2**50
# CP-SAT's work each time.
WORK = 4.0
# Prices are kept in so many parts of a um.
FINE = 2**10


class BatchMaster:
    """Which frames, and rails of frames tied to nothing, each batch cuts, and what it opens."""

    def __init__(self, rows: Rows) -> None:
        self.rows, self.model, self._program = rows, rows.model, WholeProgram()
        self._lengths = len(self.model.lengths)
        # Of each group and batch the frames, of each length and batch the rails, sticks by kind.
        self.frames: dict[tuple[int, int], int] = {}
        self.rails: dict[tuple[int, int], int] = {}
        self._sticks = {t: self._program.variable(int(rows.caps[t]))
                        for t in np.flatnonzero(rows.opened).tolist()}  # fmt: skip
        self._rooms = [[stretch + self.model.allowance for stretch in kind.stretches]
                       for kind in self.model.types]  # fmt: skip
        self._all_cut()
        self._totals, self._below = self._cumulative(), dict[tuple[int, int], int]()
        for batch in range(len(rows.batches)):
            self._room(batch)
        self._opened = {self._sticks[t]: int(rows.opened[t]) for t in self._sticks}
        self._program.least(self._opened)

    def _all_cut(self) -> None:
        free = Counter[int]()
        for g, group in enumerate(self.model.groups):
            count = len(group.frames)
            if group.link == "free":
                free.update({i: n * count for i, n in enumerate(group.rails) if n})
                continue
            batches = {self.rows.batches.index(name) for name in group.batches}
            batches |= {int(self.rows.batch_of[t]) for t in group.types}
            for batch in sorted(batches):
                self.frames[g, batch] = self._program.variable(count)
            own = {self.frames[g, batch]: 1 for batch in batches}
            self._program.row(own, count, count)
        for i, count in free.items():
            for batch in range(len(self.rows.batches)):
                self.rails[i, batch] = self._program.variable(count)
            own = {self.rails[i, batch]: 1 for batch in range(len(self.rows.batches))}
            self._program.row(own, count, count)

    def _made(self, batch: int, item: int) -> dict[int, int]:
        """How often an item is cut from a batch: by the variables."""
        if item >= self._lengths:
            g = self.model.bundles[item - self._lengths]
            return {self.frames[g, batch]: 1} if (g, batch) in self.frames else {}
        own = {self.rails[item, batch]: 1} if (item, batch) in self.rails else {}
        for (g, place), variable in self.frames.items():
            group = self.model.groups[g]
            if place == batch and group.link == "batch" and group.rails[item]:
                own[variable] = group.rails[item]
        return own

    def _cumulative(self) -> dict[tuple[int, int], int]:
        """For each item and batch how many are cut that are as long and may come of no more."""
        found: dict[tuple[int, int], int] = {}
        before = {
            (b, takes): -1 for b in range(len(self.rows.batches)) for takes in self.model.takes
        }
        for item, asked in enumerate(self.model.item_asked):
            for batch in range(len(self.rows.batches)):
                made, most = self._made(batch, item), asked
                if item < self._lengths:
                    last = before.get((batch, self.model.takes[item]), -1)
                    if last >= 0:
                        made[found[last, batch]] = 1
                        most = sum(n for i, n in enumerate(self.model.loose[: item + 1])
                                   if self.model.takes[i] == self.model.takes[item])  # fmt: skip
                    before[batch, self.model.takes[item]] = item
                found[item, batch] = total = self._program.variable(most)
                self._program.row(made | {total: -1}, 0, 0)
        return found

    def _room(self, batch: int) -> None:
        """Rails of a size and more are no longer, and no more, than pieces hold."""
        sizes = self.model.item_sizes[: self._lengths]
        for size in sorted(set(sizes)):
            lengths = [n if n >= size else 0 for n in sizes]
            self._held(
                batch,
                lengths,
                [sum(room for room in rooms if room >= size) for rooms in self._rooms],
            )
            self._held(
                batch,
                [int(n >= size) for n in sizes],
                [sum(room // size for room in rooms) for rooms in self._rooms],
            )

    def _held(self, batch: int, takes: list[int], holds: list[int]) -> None:
        """What rails take of a batch, by length, is no more than its pieces hold, by kind."""
        row, most = Counter[int](), 0
        for item in range(len(self.model.item_sizes)):
            rails = self._contents(item)
            times = sum(n * takes[i] for i, n in enumerate(rails))
            row.update({v: n * times for v, n in self._made(batch, item).items() if times})
        for t in np.flatnonzero(self.rows.batch_of == batch).tolist():
            if t in self._sticks:
                row[self._sticks[t]] -= holds[t]
            else:
                most += int(self.rows.caps[t]) * holds[t]
        self._program.row(row, -NO_LIMIT, most)

    def _contents(self, item: int) -> Sequence[int]:
        """The rails of an item, by length."""
        if item < self._lengths:
            return [int(i == item) for i in range(self._lengths)]
        return self.model.groups[self.model.bundles[item - self._lengths]].rails

    def priced(self, priced: Priced) -> None:
        """A batch opens what its items are worth at some prices, less what its pieces win."""
        wins = np.maximum(0, priced.best) * self.rows.caps
        unit = max(1, priced.scale // FINE)
        for batch in range(len(self.rows.batches)):
            row = Counter({v: -(-n * priced.scale // unit) for v, n in self._of(batch).items()})
            for item, worth in enumerate(priced.paid.items[batch].tolist()):
                row.subtract({v: n * (worth // unit) for v, n in self._made(batch, item).items()})
            won = exact_sum(wins, (self.rows.batch_of == batch).astype(np.int64))
            self._program.row(row, won // -unit, NO_LIMIT)

    def solved(self, least: Micrometres, stop: Stop) -> Answer | None:
        """Batches that open little as far as is known, no less than ``least``."""
        self._program.row(self._opened, least, NO_LIMIT)
        return self._program.solved(stop, WORK)

    def opened(self, found: Answer, batch: int) -> Micrometres:
        """What the program believes a batch to open."""
        return sum(found.values[v] * n for v, n in self._of(batch).items())

    def _of(self, batch: int) -> dict[int, int]:
        of = self.rows.batch_of
        return {v: int(self.rows.opened[t]) for t, v in self._sticks.items() if of[t] == batch}

    def chunks(self, found: Answer, batch: int) -> list[Items]:
        """What a batch cuts: the items of each frame, and each rail of frames tied to nothing."""
        chunks = []
        for (g, place), variable in self.frames.items():
            group = self.model.groups[g]
            items = {i: n for i, n in enumerate(group.rails) if n}
            if group.link == "piece":
                items = {self._lengths + self.model.bundles.index(g): 1}
            chunks += [Items(items)] * (found.values[variable] if place == batch else 0)
        for (item, place), variable in self.rails.items():
            chunks += [Items({item: 1})] * (found.values[variable] if place == batch else 0)
        return chunks

    def learn(self, batch: int, items: Items, least: Micrometres) -> None:
        """So many items, or longer ones, open so much of a batch at least."""
        one_of, totals = [], Counter[object]()
        for item, times in sorted(items.items()):
            like: object = self.model.takes[item] if item < self._lengths else item
            totals[like] += times
            one_of.append(self._fewer(self._totals[item, batch], totals[like]))
        if least < NEVER:
            enough = self._program.variable(1)
            self._program.row(self._of(batch), least, NO_LIMIT, where=enough)
            one_of.append(enough)
        self._program.one_of(one_of)

    def _fewer(self, total: int, times: int) -> int:
        """Whether fewer than so many are cut."""
        if (total, times) not in self._below:
            below = self._below[total, times] = self._program.variable(1)
            self._program.row({total: 1}, 0, times - 1, where=below)
        return self._below[total, times]
