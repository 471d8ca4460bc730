"""What each part of the planner's search is worth: hard profiles planned without it.

The profiles are among the hardest of the hundred days, beside contracts; or published instances of
the plain problem are solved without parts of its search. Times and the limit are
seconds of the processor, so that a busy machine tells the same.
"""

import argparse
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import Any
from unittest import mock

from demo.bench import sizes
from demo.bench.csp import Instance, read
from demo.bench.runs import at_least, seconds, table
from planner.by_profile import split
from planner.cuttingstock import CspLimits, solve
from planner.lp.highs import LinearProgram
from planner.search.profile import plan_profile
from planner.stop import Stop
from planner.values import Problem

__all__ = ["PARTS", "main"]

DAYS = [
    (13, "A01"), (55, "A00"), (94, "A10"), (40, "A01"), (90, "A00"), (65, "A01"), (50, "A00"),
    (12, "A05"), (90, "A07"), (37, "A00"), (15, "A05"), (96, "A01"), (77, "A00"), (1, "A09"),
    (44, "A23"), (64, "A10"), (85, "A02"), (18, "A00"), (80, "A03"), (24, "A02"),
]  # fmt: skip
"""The day's seed and the profile: every third of the sixty that take longest."""

Made = Callable[..., Any]


def _no_sums(table: Any, *_: Any) -> Any:
    import numpy as np

    from planner.cuts.table import Parts

    return Parts(np.zeros((0, len(table.table)), np.int64), *[np.zeros(0, np.int64)] * 2)


def _nothing(*_: Any) -> None:
    return None


def _not_narrowed(stage: Any, prices: Any, chosen: Any, best: int, stop: Any) -> Any:
    from planner.search.narrowing import Narrowed

    return Narrowed(chosen, best, stage.pool)


PARTS: dict[str, dict[str, Any]] = {
    "": {},
    "zero-half rows": {"cuts.cut_loop.odd_sums": _no_sums},
    "tied rows": {"cuts.cut_loop.tied_sums": _no_sums},
    "rows of the basis": {"cuts.cut_loop.tableau_sums": _no_sums},
    "rows": {"cuts.cut_loop.ROUNDS": 0},
    "branching on frames": {"branching.tree.by_extras": _nothing},
    "branching on lengths": {"branching.tree.by_lengths": _nothing},
    "branching on pieces": {"branching.tree.by_pieces": _nothing},
    "branching within the gap": {"search.narrowing.BRANCHES": 0},
    "narrowing": {"search.aims.narrowed": _not_narrowed},
    "CP-SAT at last": {"search.aims.FEW": 0},
    "few columns at a node": {"columns.restricted_master.FIRST": 10**9},
    "few columns in rows' program": {"cuts.cut_loop.FIRST": 10**9},
    "sticks openable": {"search.aims.openable": lambda *_: {}},
    "totals of sticks": {"search.aims.best_opened": lambda stage, best, reached: best},
    "columns opening no more": {"search.aims.opening_no_more": _nothing},
    "dive over the nearest columns": {"search.dive.BRANCHES": 0},
    "CP-SAT": {"search.aims.fewest_opened": lambda stage, chosen, opened, *_: (chosen, -opened[0])},
    "worth by CP-SAT": {"search.aims.KEPT": 0},
    "batches one by one": {"search.aims._all_cut": lambda stage: False},
    "columns listed": {"search.aims.MOST_COLUMNS": 0},
    "columns called for": {"search.aims.MOST_COLUMNS": 2_000_000},
    "filling before": {"search.profile.SOME": 2**999},
    "filling after": {"search.profile.THOROUGH": 0},
}
"""Each part by name, and what stands in its place."""

PLAIN: dict[str, dict[str, Any]] = {
    "": {},
    "smoothing": {"cuttingstock.column_generation.SMOOTH": 0.0},
    "dives": {"cuttingstock.solve.dive": _nothing},
    "parts of patterns": {"cuttingstock.branch_pairs.MOST": 0},
    "joining": {"cuttingstock.solve.LITTLE": -1.0},
    "liking": {"cuttingstock.branch_pairs.LIKED": 0.0},
    "stocks filled full": {"cuttingstock.solve.fullest": lambda _: ()},
    "patterns let go": {"cuttingstock.master.MOST": 10**9},
}
"""The same of the plain problem's search."""

# Planned or solved within seconds: whether sticks are proven, and whether all is.
Run = Callable[[float], tuple[bool, bool]]


def main(arguments: list[str]) -> int:
    """Run the benchmark."""
    parser = argparse.ArgumentParser(prog="python -m demo.bench without", description=__doc__)
    parser.add_argument("--parts", nargs="+", choices=[*PARTS, *PLAIN], help="each, if not told")
    parser.add_argument("--days", type=at_least(0), default=len(DAYS), help="profiles of days")
    parser.add_argument("--contracts", type=at_least(0), default=0, help="by their seeds from 0")
    parser.add_argument("--plain", type=Path, nargs="+", help="instances' files, instead of these")
    parser.add_argument("--seeds", type=at_least(0), nargs="+", default=[0], help="of the solver")
    parser.add_argument("--seconds", type=seconds, default=6.0, help="limit for each")
    options = parser.parse_args(arguments)
    parts = PLAIN if options.plain else PARTS
    runs = list(_instances(options) if options.plain else _problems(options))
    print(f"{len(runs)} problems: sticks proven, all proven, seconds, worst", flush=True)
    for name in options.parts or parts:
        for seed in options.seeds:
            row = _row(runs, parts[name], seed, options.seconds)
            print(table((f"without {name}" if name else "with all", *row), []), flush=True)
    return 0


def _problems(options: argparse.Namespace) -> Iterator[Run]:
    for seed, profile in DAYS[: options.days]:
        yield partial(_planned, split(sizes.day(seed))[profile])
    for seed in range(options.contracts):
        yield partial(_planned, sizes.contract(seed))


def _instances(options: argparse.Namespace) -> Iterator[Run]:
    for path in options.plain:
        for instance in read(path):
            yield partial(_solved, instance)


def _planned(problem: Problem, limit: float) -> tuple[bool, bool]:
    plan = plan_profile(problem, Stop(limit))
    return plan.reached.stick_opened == plan.bounds.stick_opened, plan.proof == "optimal"


def _solved(instance: Instance, limit: float) -> tuple[bool, bool]:
    proven = solve(instance.capacity, instance.items, CspLimits(limit)).proof == "proven"
    return proven, proven


def _row(runs: list[Run], part: dict[str, Any], seed: int, limit: float) -> tuple[str, ...]:
    """All runs without a part, by a solver of this seed."""
    begin = LinearProgram.__init__

    def seeded(self: LinearProgram, *told: Any, **named: Any) -> None:
        begin(self, *told, **{**named, "seed": seed})

    ends, times = [], []
    with ExitStack() as all_:
        for place, other in part.items():
            module, attribute = f"planner.{place}".rsplit(".", 1)
            all_.enter_context(mock.patch.object(import_module(module), attribute, other))
        all_.enter_context(mock.patch.object(LinearProgram, "__init__", seeded))
        all_.enter_context(mock.patch("time.monotonic", time.process_time))
        for run in runs:
            began = time.process_time()
            ends.append(run(limit))
            times.append(time.process_time() - began)
    sticks, every = (str(sum(proven)) for proven in zip(*ends, strict=True))
    return sticks, every, f"{sum(times):.1f}", f"{max(times):.1f}"
