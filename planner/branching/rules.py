"""The ways to part a branch in two, so that every whole solution is in one of them.

Whether a piece yields a length parts its columns evenly, where one column is one of hundreds; found
as "branching on original variables" by Vanderbeck, "On Dantzig-Wolfe decomposition in integer
programming and ways to perform branching in a branch-and-price algorithm", Operations Research 48
(2000).
"""

from dataclasses import replace
from typing import Any

import numpy as np
import numpy.typing as npt

from planner.model.subproblem import Box, Stage

__all__ = ["by_extras", "by_lengths", "by_one_column", "by_pieces"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
SMALL = 1e-6


def by_extras(box: Box, extras: Floats) -> tuple[Box, Box] | None:
    """So many frames cut or fewer, or more: the number furthest from a whole one."""
    at = _fraction(extras)
    if at is None:
        return None
    high, low = _about(extras, at, box.extra_high, box.extra_low)
    return replace(box, extra_high=high), replace(box, extra_low=low)


def by_pieces(stage: Stage, box: Box, columns: Floats) -> tuple[Box, Box] | None:
    """So many pieces of a kind used or fewer, or more: of long pieces first."""
    pieces = np.bincount(stage.pool.kind, columns, minlength=len(stage.rows.caps))
    at = _fraction(pieces, _weights(stage))
    if at is None:
        return None
    high, low = _about(pieces, at, box.kind_high, box.kind_low)
    return replace(box, kind_high=high), replace(box, kind_low=low)


def by_lengths(stage: Stage, box: Box, columns: Floats) -> tuple[Box, Box] | None:
    """A length cut from a single piece or not: the longest piece of which neither is sure."""
    used = np.flatnonzero(columns > SMALL)
    kind, x = stage.pool.kind[used], columns[used]
    cut = stage.pool.table[stage.pool.pattern[used]] > 0
    shares = np.zeros((len(stage.rows.caps), cut.shape[1]))
    np.add.at(shares, kind, cut * x[:, None])
    shares[box.kind_high != 1] = 0
    promise = _off(shares) * _weights(stage)[:, None]
    at, item = np.unravel_index(int(np.argmax(promise)), promise.shape)
    if not promise[at, item]:
        return None
    return _of_one(stage, box, int(at), stage.pool.table[stage.pool.pattern, item] > 0)


def by_one_column(box: Box, columns: Floats) -> tuple[Box, Box] | None:
    """A way to cut used no more than is sure, or once more."""
    rest = columns.copy()
    rest[list(box.used)] -= list(box.used.values())
    # Of one that is used less than once more neither branch has the optimum.
    at = _fraction(rest, rest < 1)
    if at is None and (at := _fraction(rest)) is None:
        return None
    barred = box.barred.copy()
    barred[at] = True
    more = {**box.used, at: box.used.get(at, 0) + 1}
    return replace(box, barred=barred), replace(box, used=more)


def _of_one(stage: Stage, box: Box, kind: int, which: npt.NDArray[np.bool_]) -> tuple[Box, Box]:
    """A single piece cut in none of these ways, or in one of them."""
    mine = stage.pool.kind == kind
    return (
        replace(box, barred=box.barred | (mine & which)),
        replace(box, barred=box.barred | (mine & ~which), kind_low=_with(box.kind_low, kind, 1)),
    )


def _weights(stage: Stage) -> Floats:
    """What each kind of piece counts: long pieces have the most ways to be cut."""
    return np.array([sum(kind.stretches) for kind in stage.rows.model.types], np.float64) ** 2


def _off(values: Floats) -> Floats:
    """How far from whole numbers."""
    off = np.abs(values - np.rint(values))
    return np.where(off > SMALL, off, 0)


def _fraction(values: npt.NDArray[Any], weights: npt.NDArray[Any] | float = 1.0) -> int | None:
    """The value furthest from a whole number, times its weight, if any is."""
    off = _off(values) * weights
    at = int(np.argmax(off)) if len(off) else 0
    return at if len(off) and off[at] > 0 else None


def _about(values: npt.NDArray[Any], at: int, high: Ints, low: Ints) -> tuple[Ints, Ints]:
    """The most on one side of a number that is not whole, and the least on the other."""
    few = int(values[at])
    return _with(high, at, few), _with(low, at, few + 1)


def _with(values: Ints, at: int, value: int) -> Ints:
    changed = values.copy()
    changed[at] = value
    return changed
