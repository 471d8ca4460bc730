"""Every way to cut a piece into today's rails: the patterns the exact planner chooses among.

A pattern counts items: loose rails by length, then frames that come whole from one piece.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planner.model.profile_model import Model
from planner.stop import Stop

__all__ = ["Counts", "Spread", "TooMany", "fillings", "one_more", "spread"]

Ints = npt.NDArray[np.int64]
Counts = tuple[int, ...]
# Above so many numbers the fillings of several stretches are not put together.
NUMBERS = 2**23


class TooMany(Exception):
    """There are more patterns than this way of planning takes."""


def one_more(rooms: Ints, size: int, asked: int, most: int) -> tuple[Ints, Ints]:
    """Each room with every number of one more item: which room that is of, and the numbers.

    Raises:
        TooMany: there are more than ``most``.
    """
    times = np.minimum(asked, rooms // size) + 1
    if times.sum() > most:
        raise TooMany
    parent = np.repeat(np.arange(len(rooms)), times)
    return parent, np.arange(len(parent)) - np.repeat(np.cumsum(times) - times, times)


def fillings(room: int, sizes: Sequence[int], asked: Sequence[int], most: int) -> tuple[Ints, Ints]:
    """Counts of items that fit a room, with what they take of it, the least first: nothing.

    Raises:
        TooMany: there are more than ``most``.
    """
    levels: list[tuple[Ints, Ints]] = []
    rooms = np.array([room], np.int64)
    for size, times in zip(sizes, asked, strict=True):
        parent, count = one_more(rooms, size, times, most)
        levels.append((parent, count))
        rooms = rooms[parent] - count * size
    order = np.argsort(room - rooms, kind="stable")
    table, at = np.zeros((len(order), len(levels)), np.int64), order
    for item, (parent, count) in reversed(list(enumerate(levels))):
        table[:, item], at = count[at], parent[at]
    return table, room - rooms[order]


@dataclass(frozen=True, slots=True)
class Spread:
    """Patterns of a type of piece that has several stretches: items, and what they gain (um).

    ``splits`` count the rails by length on each stretch, in the type's order.
    """

    counts: Ints
    gain: Ints
    splits: Ints

    def only(self, which: npt.NDArray[np.generic]) -> "Spread":
        """Some of the patterns."""
        return Spread(self.counts[which], self.gain[which], self.splits[which])

    def split_of(self, kind: int) -> dict[tuple[int, Counts], tuple[Counts, ...]]:
        """What each stretch yields, by the type of piece and the items."""
        return {
            (kind, tuple(counts)): tuple(map(tuple, split))
            for counts, split in zip(self.counts.tolist(), self.splits.tolist(), strict=True)
        }


def spread(model: Model, kind: int, most: int, stop: Stop) -> Spread:
    """The patterns of a type of piece with several stretches, each the split of most worth.

    Raises:
        TooMany: there are more than ``most``, or too many for the time that is left.
    """
    lengths, piece = len(model.lengths), model.types[kind]
    asked = [n if model.may(kind, i) else 0 for i, n in enumerate(model.asked)]
    rails, worth = np.zeros((1, lengths), np.int64), np.zeros(1, np.int64)
    splits = np.zeros((1, 0, lengths), np.int64)
    for stretch in piece.stretches:
        table, taken = fillings(stretch + model.allowance, model.item_sizes[:lengths], asked, most)
        if len(rails) * table.size > NUMBERS or stop.over():
            raise TooMany
        both = (rails[:, None] + table).reshape(-1, lengths)
        left = model.worth_left(kind).many(np.maximum(0, stretch - taken))
        worths = (worth[:, None] + left).ravel()
        some = np.flatnonzero((both <= asked).all(axis=1))
        some = some[np.argsort(-worths[some], kind="stable")]
        best = some[np.unique(both[some], axis=0, return_index=True)[1]]
        if len(best) > most:
            raise TooMany
        rails, worth = both[best], worths[best]
        of, on = np.divmod(best, len(table))
        splits = np.concatenate([splits[of], table[on][:, None]], axis=1)
    counts, of = _dealt(model, kind, rails)
    return Spread(counts, worth[of] - piece.before, splits[of])


def _dealt(model: Model, kind: int, rails: Ints) -> tuple[Ints, Ints]:
    """The items that rails are, in every way to deal them out, and which of the rails those are."""
    of, whole = np.arange(len(rails)), np.zeros((len(rails), 0), np.int64)
    for g in model.bundles:
        group = model.groups[g]
        times = np.arange(1 + (len(group.frames) if kind in group.types else 0))
        rails = (rails[:, None] - times[:, None] * np.array(group.rails)).reshape(
            -1, rails.shape[1]
        )
        whole = np.column_stack([np.repeat(whole, len(times), axis=0), np.tile(times, len(whole))])
        of, fits = np.repeat(of, len(times)), (rails >= 0).all(axis=1)
        rails, whole, of = rails[fits], whole[fits], of[fits]
    counts = np.column_stack([rails, whole])
    some = (rails <= model.loose).all(axis=1) & counts.any(axis=1)
    return counts[some], of[some]
