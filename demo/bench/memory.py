"""The most memory that planning each size takes: resident bytes of a process that does no more."""

import argparse
import multiprocessing
import resource
import sys
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import planner
from demo.bench import sizes
from demo.bench.runs import BenchRun, run_of, show_lines, table
from planner.values import Problem

__all__ = ["main"]

SIZES: dict[str, Callable[[int], Problem]] = {
    "day": sizes.day,
    "contract": sizes.contract,
    "factory": sizes.factory,
    "8 days in one": lambda seed: sizes.grown(seed, 8),
}


def main(arguments: list[str]) -> int:
    """Run the benchmark; with ``--json`` the value of a line is the peak in bytes."""
    parser = argparse.ArgumentParser(prog="python -m demo.bench memory", description=__doc__)
    parser.add_argument("--only", choices=SIZES, help="one size")
    parser.add_argument("--json", action="store_true", help="a line of JSON for each run")
    options = parser.parse_args(arguments)
    found = [_alone(name) for name in ("nothing", *([options.only] if options.only else SIZES))]
    if options.json:
        show_lines(found)
    else:
        rows = [
            (run.name, f"{run.value[0] / 2**20:.0f}", run.proof, f"{run.seconds:.2f}")
            for run in found
        ]
        print(table(("planned", "peak MiB", "proof", "s"), rows))
    return 0


def _alone(name: str) -> BenchRun:
    """Plan in a process of its own."""
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(1, mp_context=context) as pool:
        return pool.submit(_planned, name).result()


def _planned(name: str) -> BenchRun:
    begun, proof = time.monotonic(), "none"
    if name in SIZES:
        proof = run_of(name, planner.plan(SIZES[name](0))).proof
    return BenchRun(name, (peak(),), (), proof, time.monotonic() - begun)


def peak() -> int:
    """The most bytes that this process has had resident."""
    status = Path("/proc/self/status")
    if status.exists():
        line = next(x for x in status.read_text().splitlines() if x.startswith("VmHWM"))
        return int(line.split()[1]) * 1024
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most if sys.platform == "darwin" else most * 1024
