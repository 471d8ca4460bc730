"""Sums of rows to be rounded down, for what pieces and rails tell of each other.

Half of the rows of one or two lengths and of some pieces: where together they are odd, half a rail
is cut off. And where a frame is cut from one batch, a piece yields rails for it only if it is.

Source: Caprara and Fischetti, "{0, 1/2}-Chvatal-Gomory cuts", Mathematical Programming 74 (1996).
"""

import numpy as np
import numpy.typing as npt

from planner.cuts.table import Parts, Table
from planner.model.rows import Rows

__all__ = ["odd_sums", "tied_sums"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
# So many pairs of lengths are looked at, the longest first.
PAIRS = 2_000


def odd_sums(table: Table, rows: Rows, values: Floats) -> Parts:
    """Halves of the rows of one length or two of a batch, with the pieces that cut most off."""
    found = [_halves(table, rows, values, batch) for batch in range(len(rows.batches))]
    every = found[0]
    for more in found[1:]:
        every = every.with_more(more)
    return every


def _halves(table: Table, rows: Rows, values: Floats, batch: int) -> Parts:
    kinds = len(rows.caps)
    items = (kinds + rows.item_rows(batch)).tolist()
    own = np.array([r for r in items if table.high[r] < np.inf])
    used = np.flatnonzero(values)
    used = used[table.table[np.ix_(own, used)].any(axis=0)]
    one, two = (index[:PAIRS] for index in np.triu_indices(len(own)))
    seen, tops, alone = table.table[np.ix_(own, used)], _tops(table)[own], one == two
    together = seen[one] + np.where(alone[:, None], 0, seen[two])
    limit = tops[one] + np.where(alone, 0, tops[two])
    odd = (together % 2) * values[used]
    mass = odd @ (table.kind[used][:, None] == np.arange(kinds)).astype(float)
    taken = _taken(mass, rows.caps, limit)
    high = (limit + taken @ rows.caps) // 2
    over = (together // 2) @ values[used] + np.where(taken, mass, 0).sum(axis=1) - high
    good = np.flatnonzero(over > 1e-5)
    sums = np.zeros((len(good), len(table.table)), np.int64)
    sums[np.arange(len(good)), own[one[good]]] = 1
    sums[np.arange(len(good)), own[two[good]]] = 1
    sums[:, :kinds] = taken[good]
    return Parts(sums, np.full(len(good), 2), high[good])


def _taken(mass: Floats, caps: Ints, limit: Ints) -> npt.NDArray[np.bool_]:
    """For each set of lengths the kinds of pieces that cut most off, so that the limit is odd."""
    gain = mass - caps / 2
    taken = gain > 0
    even = np.flatnonzero((limit + taken @ caps) % 2 == 0)
    changes = np.where(caps % 2 == 1, np.abs(gain[even]), np.inf)
    least = changes.argmin(axis=1) if len(caps) else np.zeros(len(even), np.int64)
    taken[even, least] = ~taken[even, least]
    return taken


def tied_sums(table: Table, rows: Rows, values: Floats) -> Parts:
    """Pieces that yield rails for a frame tied to a batch, no more than it is cut from there."""
    used, kinds = np.flatnonzero(values), len(rows.caps)
    seen, x, kind = table.table[:, used], values[used], table.kind[used]
    single, lacks = rows.caps == 1, values[len(values) - len(rows.most) :]
    made, of = list[Ints](), list[int]()
    for (number, batch), extra in rows.frames.items():
        group = rows.model.groups[number]
        if group.link != "batch" or len(group.frames) > 1:
            continue
        at, lengths = kinds + rows.item_rows(rows.batches.index(batch)), np.flatnonzero(group.rails)
        for mine in (lengths, *lengths[:, None]) if len(lengths) > 1 else (lengths,):
            some, rails = at[mine], sum(group.rails[length] for length in mine.tolist())
            mass = np.bincount(kind, x * seen[some].any(axis=0), minlength=kinds + len(lacks))
            over = mass[: len(single)] > 1 - lacks[extra] + 1e-5
            for k in np.flatnonzero(single & over).tolist():
                parts = np.zeros(len(table.table), np.int64)
                parts[some], parts[k] = 1, rails - 1
                made.append(parts)
                of.append(rails)
    sums, each = np.array(made, np.int64).reshape(-1, len(table.table)), np.array(of, np.int64)
    return Parts(sums, each, sums @ _tops(table) // each)


def _tops(table: Table) -> Ints:
    """The most of each row, 0 where there is none."""
    return np.where(table.high < np.inf, table.high, 0).astype(np.int64)
