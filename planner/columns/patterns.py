"""Every way to cut a piece into today's rails: the patterns the exact planner chooses among.

A pattern counts items: loose rails by length, then frames that come whole from one piece.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from planner.columns.knapsack import Items
from planner.model.profile_model import Model
from planner.stop import Stop

__all__ = ["Fillings", "TooMany", "fillings", "spread"]

Ints = npt.NDArray[np.int64]
Enough = Callable[[int, Ints, Ints, Ints], npt.NDArray[Any]]
# Above so many numbers the fillings of several stretches are not put together.
NUMBERS = 2**23


class TooMany(Exception):
    """There are more patterns than this way of planning takes."""


@dataclass(frozen=True, slots=True, eq=False)
class Fillings:
    """Ways to fill some rooms: which room, how many of each item, what is left, what they pay."""

    of: Ints
    counts: Ints
    left: Ints
    pays: Ints


def fillings(rooms: Ints, items: Items, most: int, enough: Enough | None = None) -> Fillings:
    """All ways to fill some rooms with items, nothing among them, item by item.

    A filling is let go as soon as it does not pay ``enough``: told how many items are done, of the
    fillings so far which room, what is left and what they pay.

    Raises:
        TooMany: there are more than ``most`` with so many items.
    """
    of, left, counts = np.arange(len(rooms)), rooms, list[Ints]()
    pays = np.zeros(len(rooms), np.int64)
    kinds = zip(items.sizes.tolist(), items.values.tolist(), items.copies.tolist(), strict=True)
    for done, (size, value, copies) in enumerate(kinds, 1):
        times = np.minimum(copies, left // size) + 1
        if times.sum() > 4 * most:
            raise TooMany
        parent = np.repeat(np.arange(len(left)), times)
        count = np.arange(len(parent)) - np.repeat(np.cumsum(times) - times, times)
        parts = of[parent], left[parent] - count * size, pays[parent] + count * value, parent, count
        good = slice(None) if enough is None else np.flatnonzero(enough(done, *parts[:3]))
        of, left, pays, parent, count = (part[good] for part in parts)
        counts = [*(c[parent] for c in counts), count]
        if len(of) > most:
            raise TooMany
    table = np.column_stack([np.zeros((len(of), 0), np.int64), *counts])
    return Fillings(of, table, left, pays)


def spread(model: Model, kind: int, most: int, stop: Stop) -> tuple[Ints, Ints]:
    """The patterns of a type of piece with several stretches: items, and what they gain (um).

    Each is split over the stretches as it is worth most, which the model is told.

    Raises:
        TooMany: there are more than ``most``, or too many for the time that is left.
    """
    lengths, piece = len(model.lengths), model.types[kind]
    asked = np.array([n if model.may(kind, i) else 0 for i, n in enumerate(model.asked)], np.int64)
    items = Items(
        np.array(model.item_sizes[:lengths], np.int64), np.zeros(lengths, np.int64), asked
    )
    rails, worth = np.zeros((1, lengths), np.int64), np.zeros(1, np.int64)
    splits = np.zeros((1, 0, lengths), np.int64)
    for stretch in piece.stretches:
        found = fillings(np.array([stretch + model.allowance]), items, most)
        table = found.counts
        if len(rails) * table.size > NUMBERS or stop.over():
            raise TooMany
        both = (rails[:, None] + table).reshape(-1, lengths)
        left = model.worth_left(kind).many(np.maximum(0, found.left - model.allowance))
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
    for own, split in zip(counts.tolist(), splits[of].tolist(), strict=True):
        model.splits[kind, tuple(own)] = tuple(map(tuple, split))
    return counts, worth[of] - piece.before


def _dealt(model: Model, kind: int, rails: Ints) -> tuple[Ints, Ints]:
    """The items that rails are, in every way to deal them out, and which of the rails those are."""
    of, whole = np.arange(len(rails)), np.zeros((len(rails), 0), np.int64)
    for item in range(len(model.lengths), len(model.item_sizes)):
        times = np.arange(1 + model.may(kind, item) * model.item_asked[item])
        rails = (rails[:, None] - times[:, None] * model.contents[item]).reshape(-1, rails.shape[1])
        whole = np.column_stack([np.repeat(whole, len(times), axis=0), np.tile(times, len(whole))])
        of, fits = np.repeat(of, len(times)), (rails >= 0).all(axis=1)
        rails, whole, of = rails[fits], whole[fits], of[fits]
    counts = np.column_stack([rails, whole])
    some = (rails <= model.loose).all(axis=1) & counts.any(axis=1)
    return counts[some], of[some]
