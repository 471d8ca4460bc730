"""What ties the choice of columns together, as rows of numbers: rails asked, frames, batches.

Besides the pool's columns (how many pieces are cut so) there are *extras*: how many frames of a
group are cut, from which batch, and how many rails of a batch go to frames tied to nothing.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from planner.model.pool import Pool
from planner.model.profile_model import Model

__all__ = ["Aim", "Fetched", "Held", "Rows", "rows_of"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Rows:
    """Rows ``0 <= ... <= high`` over columns and extras; most rows are equalities with high 0.

    ``frames[g, batch]`` is the extra that counts frames of group g cut from a batch ("" for any),
    ``spares[i, b]`` the one that counts rails of length i of batch b that frames tied to nothing
    take. ``aged`` gives kinds of several pieces a row of their own, see ``with_ages``; ``fewer``
    says of some kinds how many at most a solution as good uses, ``spare`` how long (um) all that it
    leaves of pieces in use and offcuts not used is together.
    """

    model: Model
    batches: tuple[str, ...]
    extras: Ints
    most: Ints
    high: Ints
    frames: dict[tuple[int, str], int]
    spares: dict[tuple[int, int], int]
    aged: dict[int, int] = field(default_factory=dict)
    fewer: Mapping[int, int] = field(default_factory=dict)
    spare: int | None = None

    @cached_property
    def batch_of(self) -> Ints:
        """The number of each type's batch."""
        return np.array([self.batches.index(t.batch) for t in self.model.types], np.int64)

    @cached_property
    def caps(self) -> Ints:
        """How many pieces of each type may be used."""
        counts = [len(kind.pieces) for kind in self.model.types]
        return np.array([min(n, self.fewer.get(t, n)) for t, n in enumerate(counts)], np.int64)

    @cached_property
    def rooms(self) -> Ints:
        """What each type's stretches hold together, um."""
        allowance = self.model.allowance
        return np.array([sum(s + allowance for s in t.stretches) for t in self.model.types],
                        np.int64)  # fmt: skip

    @cached_property
    def least(self) -> Ints:
        """How many pieces of each type must be used: offcuts that are more than is spare, all."""
        if self.spare is None:
            return np.zeros_like(self.caps)
        return np.where((self.opened == 0) & (self.rooms > self.spare), self.caps, 0)

    @property
    def most_worth(self) -> int | None:
        """What is gained at most, where less is spare than is worth anything; else None."""
        margin = max((kind.margin for kind in self.model.types), default=0)
        if self.spare is None or self.spare + margin >= self.model.rules.keep:
            return None
        before = np.array([kind.before for kind in self.model.types], np.int64)
        return -int(self.least @ before)

    def sparing(self, pool: Pool) -> npt.NDArray[np.bool_]:
        """The columns that leave no more than is spare."""
        left = self.rooms[pool.kind] - (pool.table @ np.array(self.model.item_sizes))[pool.pattern]
        return np.asarray(left <= (2**62 if self.spare is None else self.spare))

    @cached_property
    def opened(self) -> Ints:
        """Stick length each type opens."""
        return np.array([t.opened for t in self.model.types], np.int64)

    @property
    def tied(self) -> bool:
        """Whether frames are tied to one of several batches."""
        return len(self.batches) > 1 and any(g.link == "batch" for g in self.model.groups)

    def item_rows(self, batch: int) -> Ints:
        """The row of each item when cut from this batch."""
        lengths, count = len(self.model.lengths), len(self.batches)
        bundles = len(self.model.bundles)
        return np.concatenate([
            np.arange(lengths) * count + batch, lengths * count + np.arange(bundles)
        ])  # fmt: skip

    def with_fewer(self, most: Mapping[int, int]) -> "Rows":
        """Rows of which so many pieces of some kinds at most are used."""
        fewer = {kind: min(n, self.fewer.get(kind, n)) for kind, n in most.items()}
        return replace(self, fewer={**self.fewer, **fewer})

    def block(self, pool: Pool) -> Ints:
        """The rows of a pool's columns, as a table."""
        table = np.zeros((len(self.high), len(pool)), np.int64)
        batch = self.batch_of[pool.kind]
        for number in range(len(self.batches)):
            mine = np.flatnonzero(batch == number)
            table[np.ix_(self.item_rows(number), mine)] = pool.table[pool.pattern[mine]].T
        for kind, row in self.aged.items():
            table[row, pool.kind == kind] = 1
        return table

    def priced(self, pool: Pool, prices: Floats) -> Floats:
        """What each column's rows cost at these prices."""
        of_batch = np.stack(
            [pool.floats @ prices[self.item_rows(b)] for b in range(len(self.batches))]
        )
        found = of_batch[self.batch_of[pool.kind], pool.pattern]
        if self.aged:
            own = np.zeros(len(self.caps))
            own[list(self.aged)] = prices[list(self.aged.values())]
            found = found + own[pool.kind]
        return np.asarray(found)

    def widest(self, pool: Pool) -> Ints:
        """An upper bound on the entries of each row in any column."""
        found = np.ones(len(self.high), np.int64)
        most = np.abs(pool.table).max(axis=0, initial=0)
        for number in range(len(self.batches)):
            found[self.item_rows(number)] = most
        return found

    def with_ages(self) -> "Rows":
        """Rows that also count, for kinds of several pieces, which of them are fetched."""
        aged = {t: len(self.high) + n for n, t in enumerate(np.flatnonzero(self.caps > 1).tolist())}
        count = int(self.caps[list(aged)].sum())
        extras = np.zeros((len(self.high) + len(aged), len(self.most) + count), np.int64)
        extras[: len(self.high), : len(self.most)] = self.extras
        at = len(self.most)
        for kind, row in aged.items():
            extras[row, at : at + self.caps[kind]] = -1
            at += int(self.caps[kind])
        return replace(
            self, extras=extras, aged=aged,
            most=np.concatenate([self.most, np.ones(count, np.int64)]),
            high=np.concatenate([self.high, np.zeros(len(aged), np.int64)]),
        )  # fmt: skip


def rows_of(model: Model) -> Rows:
    """The rows of a profile's problem: what pieces yield, then what ties the extras."""
    batches = tuple(sorted({kind.batch for kind in model.types}))
    lengths, several = len(model.lengths), len(batches)
    high, most = [0] * (lengths * several + len(model.bundles)), list[int]()
    entries, frames = list[tuple[int, int, int]](), dict[tuple[int, str], int]()
    for number, group in enumerate(model.groups):
        names = group.batches if group.link == "batch" else ("",)
        for batch in names:
            frames[number, batch] = len(most)
            takes = _takes(model, batches, number, batch)
            entries += [(row, len(most), -times) for row, times in takes.items()]
            most.append(len(group.frames))
        if len(names) != 1:
            # No frame is cut twice, whatever the batch.
            entries += [(len(high), frames[number, batch], 1) for batch in names]
            high.append(len(group.frames))
    spares = dict[tuple[int, int], int]()
    free = [(g, group) for g, group in enumerate(model.groups) if group.link == "free"]
    for length in range(lengths if several > 1 else 0):
        asked = sum(group.rails[length] * len(group.frames) for _, group in free)
        if not asked:
            continue
        # Rails of a length from any batch are as many as the frames tied to nothing take.
        entries += [(len(high), frames[g, ""], -group.rails[length]) for g, group in free]
        for place in range(several):
            spares[length, place] = len(most)
            entries += [(length * several + place, len(most), -1), (len(high), len(most), 1)]
            most.append(asked)
        high.append(0)
    extras = np.zeros((len(high), len(most)), np.int64)
    for row, extra, times in entries:
        extras[row, extra] = times
    return Rows(model, batches, extras, np.array(most, np.int64), np.array(high, np.int64),
                frames, spares)  # fmt: skip


def _takes(model: Model, batches: tuple[str, ...], number: int, batch: str) -> dict[int, int]:
    """What a frame of a group takes, by rows: of one piece, of a batch, or of all of them alike."""
    group, several = model.groups[number], len(batches)
    if group.link == "piece":
        return {len(model.lengths) * several + model.bundles.index(number): 1}
    if group.link == "free" and several > 1:
        return {}  # what batches spare
    place = batches.index(batch) if several > 1 else 0
    return {length * several + place: times for length, times in enumerate(group.rails)}


@dataclass(frozen=True)
class Aim:
    """The most of a sum over columns and frames of one ``tier``.

    A column adds the length it ``opened`` and its ``gain``, each times its factor; ``known`` is a
    bound proven elsewhere.
    """

    name: str
    opened: int = 0
    gain: int = 0
    tier: int | None = None
    known: int | None = None

    def of_columns(self, rows: Rows, pool: Pool) -> Ints:
        """What each column adds."""
        return self.opened * rows.opened[pool.kind] + self.gain * pool.gain

    def of_extras(self, rows: Rows) -> Ints:
        """What each extra adds."""
        adds = np.zeros(len(rows.most), np.int64)
        for (number, _), extra in rows.frames.items():
            group = rows.model.groups[number]
            adds[extra] = group.stands_for if group.tier == self.tier else 0
        return adds


@dataclass(frozen=True)
class Fetched:
    """The fewest pieces, and of as few the oldest: the least sum of their places in age.

    Needs rows ``with_ages``: there a kind of several pieces has an extra for each, oldest first.
    """

    name: str = "fetched"
    known: int | None = None

    def of_columns(self, rows: Rows, pool: Pool) -> Ints:
        """A piece more, and its place in age if it is the only one of its kind."""
        types = rows.model.types
        alone = [0 if t in rows.aged else kind.ranks[0] for t, kind in enumerate(types)]
        return -(self.most(rows) + np.array(alone, np.int64)[pool.kind])

    def of_extras(self, rows: Rows) -> Ints:
        """The place in age of each piece of the kinds of several."""
        ranks = [rank for t in rows.aged for rank in rows.model.types[t].ranks[: rows.caps[t]]]
        adds = np.zeros(len(rows.most), np.int64)
        adds[len(adds) - len(ranks) :] = [-rank for rank in ranks]
        return adds

    def most(self, rows: Rows) -> int:
        """More than any sum of places in age."""
        count = int(rows.caps.sum())
        return count * (count + 1) // 2 + 1


@dataclass(frozen=True)
class Held:
    """An aim that stays at least at what it reached while the next is sought."""

    aim: Aim
    reached: int
