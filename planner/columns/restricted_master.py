"""The prices of the rows at a fractional optimum, columns made as prices call for them."""

import numpy as np
import numpy.typing as npt

from planner.columns.pricing import called_for
from planner.lp.highs import LinearProgram
from planner.lp.sparse import sparse
from planner.model.subproblem import Chosen, Stage
from planner.stop import Stop

__all__ = ["add_columns", "prices_of", "program_of", "scarce_prices"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
# Columns added for each round of prices.
ROUND = 60
# What all pieces together are worth where only their scarcity gives prices: as much as in um.
ALL = 1e6


def program_of(stage: Stage) -> LinearProgram:
    """The rows of a stage, then one for each kind's pieces; the extras are its first columns."""
    caps = stage.rows.caps
    low = [-np.inf if v is None else v for v in stage.low] + [0] * len(caps)
    high = [np.inf if v is None else v for v in stage.high] + caps.tolist()
    program = LinearProgram(low, high)
    _add_extras(program, stage)
    return program


def _add_extras(program: LinearProgram, stage: Stage) -> None:
    kinds = np.zeros((len(stage.rows.caps), len(stage.rows.most)), np.int64)
    extras = np.vstack([stage.extra_block, kinds])
    program.add(stage.extra_gains, stage.rows.most, sparse(extras))


def add_columns(program: LinearProgram, stage: Stage, columns: Ints) -> None:
    """Add some columns of a stage to its program."""
    part = stage.only(columns)
    kinds = np.zeros((len(stage.rows.caps), len(columns)), np.int64)
    kinds[part.pool.kind, np.arange(len(columns))] = 1
    high = np.full(len(columns), np.inf)
    program.add(part.gains, high, sparse(np.vstack([part.block(), kinds])))


def prices_of(stage: Stage, chosen: Chosen, stop: Stop) -> tuple[Floats, Stage]:
    """The prices of the rows at the fractional optimum, and the stage with the columns made."""
    return _priced(program_of(stage), stage, chosen, stop)


def scarce_prices(
    stage: Stage, chosen: Chosen, room: int, stop: Stop
) -> tuple[Floats, Stage]:  # fmt: skip
    """Prices by what share of the pieces, and of a ``room`` in the last held row, would do.

    For a stage without gains, whose last held row has a least below 0. Columns that waste what is
    scarce lose most at these prices. The solution need not keep the last row.
    """
    caps, last = stage.rows.caps, len(stage.low) - 1
    low = [-np.inf if v is None else v for v in stage.low] + [-np.inf] * len(caps)
    high = [np.inf if v is None else v for v in stage.high] + [0] * len(caps)
    share = np.concatenate([np.zeros(last), [room], -caps])
    low[last] = 0
    program = LinearProgram(low, high)
    _add_extras(program, stage)
    program.add([-ALL], [np.inf], sparse(share[:, None]))
    return _priced(program, stage, chosen, stop)


def _priced(
    program: LinearProgram, stage: Stage, chosen: Chosen, stop: Stop
) -> tuple[Floats, Stage]:
    count, inside = len(stage.low), np.zeros(len(stage.pool), bool)
    new = np.array(sorted(stage.pool.numbers(chosen.uses)), np.int64)
    small = 1e-6 * max(1.0, float(np.abs(stage.gains).max(initial=0)) * 1e-3)
    prices = np.zeros(count)
    while True:
        inside[new] = True
        add_columns(program, stage, new)
        found = program.solve(stop)
        if found.status == "failed":
            found = program.solve(stop, afresh=True)
        if found.status != "optimal":
            return prices, stage
        prices, kinds = found.duals[:count], found.duals[count:]
        surplus = stage.gains - stage.priced(prices) - kinds[stage.pool.kind]
        new = _best(stage.pool.kind, surplus, np.flatnonzero((surplus > small) & ~inside))
        if not len(new) and not stage.pool.complete:
            before, stage = len(stage.pool), called_for(stage, prices, kinds)
            new = np.arange(before, len(stage.pool))
            inside = np.concatenate([inside, np.zeros(len(new), bool)])
        if not len(new):
            return prices, stage


def _best(kinds: Ints, surplus: Floats, found: Ints) -> Ints:
    """Of the columns found, the best of each kind and the best of all."""
    order = found[np.argsort(-surplus[found], kind="stable")]
    _, first = np.unique(kinds[order], return_index=True)
    return np.union1d(order[first], order[:ROUND])
