"""A table by its entries is the whole table, column by column."""

import numpy as np
import pytest

from planner.lp.sparse import sparse


@pytest.mark.parametrize("seed", range(8))
def test_entries_are_those_of_the_whole_table(seed: int) -> None:
    rng = np.random.default_rng(seed)
    table = rng.integers(-9, 10, (rng.integers(0, 8), rng.integers(0, 30)))
    table[rng.uniform(size=table.shape) < rng.choice([0.2, 0.8, 1.0])] = 0
    entries, back = sparse(table), np.zeros_like(table)
    columns = np.repeat(np.arange(table.shape[1]), np.diff(entries.starts))
    back[entries.rows, columns] = entries.values
    assert back.tolist() == table.tolist()
    assert np.count_nonzero(entries.values) == len(entries.values)
