"""The knapsack by its table: item by item the most that every room can hold, and what holds it.

All in whole numbers, so that what it calls the most is the most. Of a whole table at once, in time
of the order of items times rooms.

Source: Gilmore and Gomory, A linear programming approach to the cutting stock problem, part II,
Operations Research 11 (1963).
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

__all__ = ["NEVER", "At", "Items", "Table", "read_back", "table_of", "with_copies"]

Ints = npt.NDArray[np.int64]
Table = npt.NDArray[Any]
# What a room pays that can't be met.
NEVER = -(2**61)


@dataclass(frozen=True, slots=True, eq=False)
class Items:
    """``sizes`` above 0, what a copy of each pays, and how many copies there are at most."""

    sizes: Ints
    values: Ints
    copies: Ints


@dataclass(frozen=True, slots=True, eq=False)
class At:
    """Where reading some fillings back stands: which they are, row, room, and what is yet to pay.

    A row is how many items the filling may still hold; all are arrays of one length.
    """

    fillings: Ints
    rows: Ints
    rooms: Ints
    goals: Ints

    def of(self, these: npt.NDArray[np.bool_]) -> "At":
        """Some of them alone."""
        return At(self.fillings[these], self.rows[these], self.rooms[these], self.goals[these])


def table_of(items: Items, start: Table) -> Table:
    """Row k, column w: the most that the first k items pay in a room of w, the rest by ``start``.

    Where that has NEVER but at 0, a room is filled to its end. The table has the type of ``start``.
    """
    table = np.empty((len(items.sizes) + 1, len(start)), start.dtype)
    table[0] = start
    kinds = zip(items.sizes.tolist(), items.values.tolist(), items.copies.tolist(), strict=True)
    for row, (size, value, copies) in enumerate(kinds):
        with_copies(table[row], size, value, copies, table[row + 1])
    return table


def with_copies(row: Table, size: int, value: int, copies: int, out: Table) -> None:
    """Into ``out`` the row when up to so many copies of one more item may be used."""
    out[:size] = row[:size]
    if copies and size < len(row):
        np.add(row[:-size], value, out=out[size:])
        np.maximum(out[size:], row[size:], out=out[size:])
    else:
        out[size:] = row[size:]
    copies, part = copies - 1, 2
    while copies > 0 and part * size < len(row):
        take = min(part, copies)
        shift = take * size
        if shift < len(row):
            np.maximum(out[shift:], out[:-shift] + take * value, out=out[shift:])
        copies, part = copies - take, part * 2


def read_back(items: Items, table: Table, at: At, must: bool = False) -> tuple[Ints, Ints]:
    """Copies of each item in each filling (numbered from 0), and the room where each began.

    With ``must`` a filling has the last item of its row at least once.

    Raises:
        RuntimeError: a goal is none that the table has.
    """
    count = len(at.fillings)
    found, rooms = np.zeros((count, len(items.sizes)), np.int64), np.zeros(count, np.int64)
    while len(at.fillings):
        if not must:
            at = _skipped(table, at)
            rooms[at.fillings] = at.rooms
            at = at.of(at.rows > 0)
        must = False
        at = _taken(items, table, at, found)
    return found, rooms


def _taken(items: Items, table: Table, at: At, found: Ints) -> At:
    """The fewest copies, one or more, of the last item of each row."""
    rows = at.rows - 1
    sizes, values = items.sizes[rows], items.values[rows]
    copies, open_ = np.zeros(len(rows), np.int64), np.ones(len(rows), np.bool_)
    while open_.any():
        copies[open_] += 1
        rooms, goals = at.rooms - copies * sizes, at.goals - copies * values
        if (rooms < 0).any():
            raise RuntimeError("a filling could not be read back from its table")
        open_ &= table[rows, rooms] != goals
    found[at.fillings, rows] += copies
    return At(at.fillings, rows, at.rooms - copies * sizes, at.goals - copies * values)


def _skipped(table: Table, at: At) -> At:
    """The first row, by bisection, that has all that is to pay: no item after it is used."""
    low, high = np.zeros_like(at.rows), at.rows
    while (low < high).any():
        middle = (low + high) // 2
        enough = table[middle, at.rooms] >= at.goals
        low, high = np.where(enough, low, middle + 1), np.where(enough, middle, high)
    return At(at.fillings, low, at.rooms, at.goals)
