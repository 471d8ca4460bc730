"""A table by its entries costs what the whole table does, in whole numbers to the last unit."""

import numpy as np
import pytest

from planner.lp.sparse import sparse


@pytest.mark.parametrize("seed", range(30))
def test_columns_cost_what_the_whole_table_says(seed: int) -> None:
    rng = np.random.default_rng(seed)
    table = rng.integers(-9, 10, (rng.integers(1, 8), rng.integers(0, 30)))
    table[rng.uniform(size=table.shape) < rng.choice([0.2, 0.8, 1.0])] = 0
    prices = rng.integers(-(2**55), 2**55, len(table))
    entries = sparse(table)
    assert entries.priced(prices).tolist() == (prices @ table).tolist()
    assert entries.priced(prices / 2**55) == pytest.approx((prices / 2**55) @ table)
    some = rng.permutation(table.shape[1])[: table.shape[1] // 2]
    assert entries.only(some).priced(prices).tolist() == (prices @ table[:, some]).tolist()


def test_a_table_without_entries_costs_nothing() -> None:
    assert sparse(np.zeros((3, 2), np.int64)).priced(np.ones(3)).tolist() == [0, 0]
    assert sparse(np.zeros((0, 2), np.int64)).priced(np.ones(0)).tolist() == [0, 0]
