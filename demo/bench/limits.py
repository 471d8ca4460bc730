"""Are limits of 1, 5 and 20 seconds kept? On instances hard enough to reach them.

Reads the hardest classes of a folder of published instances; without one it says so and takes
instances of its own making.
"""

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path

from demo.bench.built import triplets
from demo.bench.csp import BadInstances, Instance, read
from demo.bench.runs import BenchRun, at_least, seconds, show_lines, table
from planner.cuttingstock import CspLimits, solve

__all__ = ["main"]

HARDEST = ("ani", "ai", "hard28", "scholl-3", "falkenauer-t")
SECONDS = [1.0, 5.0, 20.0]


def main(arguments: list[str]) -> int:
    """Run the benchmark; 1 if a limit is overrun by more than a tenth, 2 if nothing is read."""
    parser = argparse.ArgumentParser(prog="python -m demo.bench limits", description=__doc__)
    parser.add_argument("folder", type=Path, nargs="?", help="folder of .jsonl files")
    parser.add_argument("--each", type=at_least(1), default=20, help="instances of a class")
    parser.add_argument("--at", type=seconds, nargs="+", default=SECONDS, help="the limits")
    parser.add_argument("--json", action="store_true", help="a line of JSON for each run")
    options = parser.parse_args(arguments)
    try:
        instances = list(_hardest(options.folder, options.each))
    except BadInstances as error:
        print(error, file=sys.stderr)
        return 2
    worst = [_line(limit, instances, options.json) for limit in options.at]
    if not options.json:
        head = "limit s", "runs", "closed", "reached it", "longest s", "overrun %"
        print(table(head, [row for row, _ in worst]))
    return 1 if any(over > 10 for _, over in worst) else 0


def _hardest(folder: Path | None, each: int) -> Iterator[Instance]:
    if folder is None:
        print("no folder of published instances: built ones instead", file=sys.stderr)
        for seed in range(each):
            capacity, items = triplets(seed, 200)
            yield Instance(f"triplets {seed}", capacity, items, 200, 200)
        return
    found = [path for name in HARDEST for path in folder.glob(f"{name}.jsonl")]
    if not found:
        raise BadInstances(f"{folder} holds none of {', '.join(HARDEST)}")
    for path in found:
        yield from read(path)[:each]


def _line(limit: float, instances: list[Instance], as_json: bool) -> tuple[tuple[str, ...], float]:
    """All instances at one limit: a row of the table, and the worst overrun in percent."""
    runs = [_run(limit, instance) for instance in instances]
    if as_json:
        show_lines(runs)
    longest = max(run.seconds for run in runs)
    over = max(0.0, 100 * (longest / limit - 1))
    closed = sum(run.value == run.bound for run in runs)
    reached = sum(run.seconds >= 0.9 * limit for run in runs)
    counts = f"{limit:g}", str(len(runs)), str(closed), str(reached)
    return (*counts, f"{longest:.2f}", f"{over:.1f}"), over


def _run(limit: float, instance: Instance) -> BenchRun:
    found = solve(instance.capacity, instance.items, CspLimits(limit))
    name = f"{instance.name} at {limit:g} s"
    return BenchRun(name, (found.value,), (found.bound,), found.proof, found.seconds)
