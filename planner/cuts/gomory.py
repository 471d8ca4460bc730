"""Sums of rows to be rounded down, read off a fractional optimum.

Source: Gomory, "Outline of an algorithm for integer solutions to linear programs", Bulletin of the
American Mathematical Society 64 (1958).
"""

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from planner.columns.restricted_master import RestrictedMaster
from planner.cuts.table import Parts, Table
from planner.model.subproblem import EXACT

__all__ = ["tableau_sums"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
# Fractions are read to parts of so many; together they come to parts of no more than this.
PARTS, FINEST, COARSE = 3_000, 1_000_000, 60
# Multiples of a row of the optimum that are rounded.
TIMES = (1, 2, 3, 5, 7, -1, -2)


def tableau_sums(table: Table, master: RestrictedMaster, values: Floats) -> Parts:
    """Sums by the weights that rows have in values that are not whole, after a solve."""
    used = np.flatnonzero(values)
    sums = table.table[:, used] @ values[used]
    weights = np.array([*_weights(table, master, sums)]).reshape(-1, len(table.table))
    parts, of = _in_parts(weights)
    # No sum of parts of rows is more than floats can hold.
    finest = min(FINEST, EXACT // (len(table.table) * int(np.abs(table.table).max(initial=1))))
    good = np.flatnonzero((of > 1) & (of <= finest))
    parts, of = parts[good], of[good]
    parts = np.concatenate([parts * times % of[:, None] for times in TIMES])
    return _leant(table, parts, np.tile(of, len(TIMES)), sums)


def _weights(table: Table, master: RestrictedMaster, sums: Floats) -> Iterator[Floats]:
    """Those of a table's rows, whose steps are those of the program's and whose extras lack."""
    for basic, weights in master.program.fractional_rows(master.found.values, sums):
        unit = -1.0 if 0 <= basic < master.extras else 1.0
        yield weights * table.steps * (unit if basic >= 0 else 1 / table.steps[-basic - 1])


def _leant(table: Table, parts: Ints, of: Ints, sums: Floats) -> Parts:
    """So many parts of each row, those leant on from below negative, and their limits."""
    from_below = (table.low > -np.inf) & (table.low < table.high) & (sums < table.high - 1e-6)
    side = np.where(from_below, table.low, table.high)
    # A row's least is the most of its negative.
    parts -= np.where((parts > 0) & from_below, of[:, None], 0)
    parts[:, np.isinf(side)] = 0
    return Parts(parts, of, (parts @ np.where(np.isinf(side), 0, side).astype(np.int64)) // of)


def _in_parts(weights: Floats) -> tuple[Ints, Ints]:
    """Weights in parts of a whole number, whole multiples of it taken off; and that number."""
    weights = np.where(np.abs(weights) > 1e-9, weights, 0.0)
    count, parts = _fractions(weights)
    of = np.ones(len(weights), np.int64)
    for column in parts.T:
        # Once it is too fine it stays so: no product leaves 62 bits.
        of = np.where(of > FINEST, of, np.lcm(of, column))
    fine = (count * (of[:, None] // parts)) % of[:, None]
    # Any parts give rows that hold: where the weights have none in common, near ones may cut too.
    coarse = np.rint(weights * COARSE).astype(np.int64) % COARSE
    far = of > FINEST
    return np.where(far[:, None], coarse, fine), np.where(far, COARSE, of)


def _fractions(values: Floats) -> tuple[Ints, Ints]:
    """The nearest fractions by continued fractions of up to so many parts."""
    rest, whole = values.copy(), np.floor(values)
    before, above = np.ones_like(values), whole.copy()
    under, below = np.zeros_like(values), np.ones_like(values)
    for _ in range(20):
        rest = rest - whole
        going = rest > 1e-7
        if not going.any():
            break
        rest = np.where(going, 1 / np.where(going, rest, 1), 0)
        whole = np.floor(rest + 1e-9)
        more, parts = whole * above + before, whole * below + under
        good = going & (parts <= PARTS)
        before, above = np.where(good, above, before), np.where(good, more, above)
        under, below = np.where(good, below, under), np.where(good, parts, below)
        rest, whole = np.where(good, rest, 0), np.where(good, whole, 0)
    return above.astype(np.int64), below.astype(np.int64)
