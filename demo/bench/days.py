"""Days of a shop: how long a plan takes, how many profiles are proven, and the textbook beside it.

The textbook model is asked the same profiles in the same run, on some of the days.
"""

import argparse
import statistics
from collections.abc import Iterator
from itertools import islice

import planner
from demo.bench import sizes
from demo.bench.runs import BenchRun, at_least, run_of, seconds, show_lines, table
from demo.bench.textbook import textbook
from planner.by_profile import split
from planner.values import Plan

__all__ = ["main"]


def main(arguments: list[str]) -> int:
    """Run the benchmark; 1 where the textbook model proves other values than the planner."""
    parser = argparse.ArgumentParser(prog="python -m demo.bench day", description=__doc__)
    parser.add_argument(
        "--days", type=at_least(1), default=100, help="how many, by their seeds from 0"
    )
    parser.add_argument("--profiles", type=at_least(1), help="so many of a day for the textbook")
    parser.add_argument("--seconds", type=seconds, default=10.0, help="limit for a day")
    parser.add_argument(
        "--textbook", type=at_least(0), default=3, help="days asked of the textbook too"
    )
    parser.add_argument(
        "--textbook-seconds", type=seconds, default=10.0, help="limit for a profile"
    )
    parser.add_argument("--json", action="store_true", help="a line of JSON for each run")
    options = parser.parse_args(arguments)
    runs = _runs(options)
    if options.json:
        known = list(_kept(runs))
    else:
        known = list(runs)
        _show(known)
    wrong = [own.name for own, other in _both(known) if own.value != other.value]
    for name in wrong:
        print(f"{name}: the textbook model proves other values")
    return 1 if wrong else 0


def _kept(runs: Iterator[BenchRun]) -> Iterator[BenchRun]:
    for run in runs:
        show_lines([run])
        yield run


def _runs(options: argparse.Namespace) -> Iterator[BenchRun]:
    """A run for each day, before it one for each profile; after it the textbook's."""
    for seed in range(options.days):
        problem = sizes.day(seed, options.seconds)
        profiles: list[BenchRun] = []

        def note(profile: str, done: int, of: int, plan: Plan, seed: int = seed) -> None:
            profiles.append(run_of(f"day {seed} {profile}", plan))  # noqa: B023

        whole = planner.plan(problem, on_progress=note)
        yield from profiles
        yield run_of(f"day {seed}", whole)
        if seed < options.textbook:
            for profile, part in islice(split(problem).items(), options.profiles):
                name = f"day {seed} {profile} textbook"
                yield textbook(name, part, options.textbook_seconds)


def _both(runs: list[BenchRun]) -> list[tuple[BenchRun, BenchRun]]:
    """Profiles that the planner and the textbook model both prove."""
    own = {run.name: run for run in runs if run.proof == "optimal"}
    others = [run for run in runs if run.name.endswith("textbook") and run.proof == "optimal"]
    pairs = [(own.get(run.name.removesuffix(" textbook")), run) for run in others]
    return [(mine, run) for mine, run in pairs if mine]


def _show(runs: list[BenchRun]) -> None:
    days = [run for run in runs if len(run.name.split()) == 2]
    profiles = [run for run in runs if len(run.name.split()) == 3]
    books = [run for run in runs if run.name.endswith("textbook")]
    print(table(
        ("solving", "runs", "proven", "median s", "worst s"),
        [_line("days", days), _line("profiles", profiles), _line("textbook profiles", books)],
    ))  # fmt: skip
    if both := _both(runs):
        own, other = (sum(pair[n].seconds for pair in both) for n in (0, 1))
        ratios = [b.seconds / a.seconds for a, b in both]
        print(
            f"of {len(both)} profiles proven by both: planner {own:.2f} s, textbook {other:.2f} s,"
            f" {other / own:.0f} times; median of ratios {statistics.median(ratios):.0f}"
        )


def _line(name: str, runs: list[BenchRun]) -> tuple[str, ...]:
    times = [run.seconds for run in runs] or [0.0]
    proven = sum(run.proof == "optimal" for run in runs)
    middle = statistics.median(times)
    return name, str(len(runs)), str(proven), f"{middle:.3f}", f"{max(times):.3f}"
