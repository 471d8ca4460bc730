"""Columns made as prices call for them, where all the ways to cut are too many to list."""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planner.columns.pricing_problem import Filling, Prices
from planner.lp.dual_bound import exact_sum, fitting, in_whole_numbers
from planner.model.pool import Pool
from planner.model.profile_model import Counts, Model, Way
from planner.model.rows import Rows
from planner.model.subproblem import Chosen, Stage

__all__ = ["Priced", "called_for", "holding", "price_bound", "priced_bound", "seeded"]

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
# Lengths are counted so fine (um) for new columns, and for what is proven.
ROUGH, FINE = 250, 50


def seeded(rows: Rows, chosen: Chosen) -> Pool:
    """The columns of a known plan alone."""
    none = np.zeros(0, np.int64)
    empty = Pool(none.reshape(0, len(rows.model.item_sizes)), none, none, none, complete=False)
    return holding(rows, empty, chosen)


def holding(rows: Rows, pool: Pool, chosen: Chosen) -> Pool:
    """The pool with the columns of a solution."""
    keys = [key for key in sorted(chosen.uses) if pool.number(key) is None]
    return _more(rows.model, pool, keys) if keys else pool


def called_for(stage: Stage, prices: Floats, kinds: Floats) -> Stage:
    """The stage with the best new column of each kind at these prices, if any pays."""
    model, scale = stage.rows.model, _scale(stage, prices)
    whole = np.rint(prices * scale).astype(np.int64)
    paid = Prices.of(stage, whole, scale)
    own = np.rint(kinds * scale).astype(np.int64)
    paid = replace(paid, base=paid.base - own)
    keys = []
    known = {stage.pool.key(column) for column in range(len(stage.pool))}
    small = int(scale * max(1e-6, 1e-9 * float(np.abs(stage.gains).max(initial=0)))) + 1
    for t, parts in Filling(stage.rows, ROUGH, up=True).columns(paid, small):
        key = t, tuple(np.sum(parts, axis=0).tolist())
        if key not in known and _asked(model, key[1]):
            keys.append(key)
            if len(parts) > 1:
                model.told(key, [counts[: len(model.lengths)] for counts in parts])
    return replace(stage, pool=_more(model, stage.pool, keys)) if keys else stage


def _asked(model: Model, counts: Counts) -> bool:
    """No more of any item than is asked, and at least one."""
    return any(counts) and all(a <= b for a, b in zip(counts, model.item_asked, strict=True))


def _more(model: Model, pool: Pool, keys: list[Way]) -> Pool:
    """The pool with these columns behind its own."""
    gains = [model.gain(key) for key in keys]
    table = np.array([counts for _, counts in keys], np.int64)
    return Pool(
        np.vstack([pool.table, table.reshape(len(keys), len(model.item_sizes))]),
        np.concatenate([pool.kind, np.array([t for t, _ in keys], np.int64)]),
        np.concatenate([pool.pattern, len(pool.table) + np.arange(len(keys))]),
        np.concatenate([pool.gain, np.array(gains, np.int64)]),
        complete=False,
    )


@dataclass(frozen=True, slots=True)
class Priced:
    """What prices prove of all ways to cut: ``total / scale``, no kind of piece above ``best``.

    ``paid`` are the prices seen from the pieces, in parts of ``scale``.
    """

    paid: Prices
    best: Ints
    total: int
    scale: int


def priced_bound(stage: Stage, prices: Floats) -> Priced | None:
    """What these prices prove of every way to cut, listed or not; None where they prove nothing."""
    scale = _scale(stage, prices)
    whole, room = in_whole_numbers(stage, prices, scale)
    paid = Prices.of(stage, whole, scale)
    if paid.gain < 0:
        return None
    grid = max(1, min(FINE, *stage.rows.model.item_sizes))
    best = Filling(stage.rows, grid, up=False).best(paid)
    extra = scale * stage.extra_gains - whole @ stage.extra_block
    must = stage.rows.least > 0
    total = room + exact_sum(np.where(must, best, np.maximum(0, best)), stage.rows.caps)
    total += exact_sum(np.maximum(0, extra), stage.rows.most)
    return Priced(paid, best, total, scale)


def price_bound(stage: Stage, prices: Floats) -> int | None:
    """The bound of every way to cut, rounded down to a value that the aim can have."""
    priced = priced_bound(stage, prices)
    if priced is None:
        return None
    # An aim that does not look at what is left has only so many values.
    opened = stage.aim.opened * stage.rows.opened
    step = 1 if stage.aim.gain else int(np.gcd.reduce([*opened, *stage.extra_gains])) or 1
    return int(priced.total // (priced.scale * step) * step)


def _scale(stage: Stage, prices: Floats) -> int:
    """The largest power of two up to 2**30 for which every filling's sum fits 60 bits."""
    model = stage.rows.model
    longest = max((s for kind in model.types for s in kind.stretches), default=0)
    pieces = (longest + model.allowance) // max(1, min(model.item_sizes)) + 2
    gains = float(np.abs(stage.gains).max(initial=0)) + 2.0 * longest + 1.0
    held = float(np.abs(prices[len(stage.rows.high) :]).sum())
    most = (float(np.abs(prices).max(initial=0)) * pieces + gains * (1 + held)) * 4 + 1.0
    return fitting(most, 2.0**61)
