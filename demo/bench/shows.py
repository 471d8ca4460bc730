"""A show of paintings: frames of one moulding of nearly as many sizes, beside what a framer gets.

Beside the planner stand the hand rule and a filler with random restarts, which has as long as the
planner had. Limits and times are seconds of the processor, so that a busy machine tells the same.
"""

import argparse
import json
import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from unittest import mock

import planner
from demo.bench import sizes
from demo.bench.filler import best_filled
from demo.bench.runs import at_least, seconds, table
from planner.values import Plan, Problem, Score

__all__ = ["main"]

# Not a show: all frames tied, among a day's kind of offcuts.
RACK = "rack"
FRAMES = (8, 12, 16, 20, 30, 50, 100)


@dataclass(frozen=True, slots=True)
class _Shown:
    """One show: the plan, what hand and filler reach, and the seconds of the processor."""

    name: str
    plan: Plan
    hand: Score
    filled: Score | None
    processor: float

    def line(self) -> dict[str, Any]:
        """All of it as plain numbers, lengths in um."""
        return {
            "name": self.name,
            "opened": self.plan.reached.stick_opened,
            "at_least": self.plan.bounds.stick_opened,
            "worth": self.plan.reached.worth,
            "at_most": self.plan.bounds.worth,
            "by_hand": self.hand.stick_opened,
            "filled": None if self.filled is None else self.filled.stick_opened,
            "frames": self.plan.reached.frames_cut,
            "proof": self.plan.proof,
            "processor": round(self.processor, 3),
        }

    def row(self) -> tuple[str, ...]:
        """The same as cells: metres, and what the last aim lacks in percent of its bound."""
        reached, bounds = self.plan.reached, self.plan.bounds
        lengths = [self.hand.stick_opened, self.filled.stick_opened if self.filled else None]
        lengths += [reached.stick_opened, bounds.stick_opened]
        metres = ["-" if um is None else f"{um / 1e6:.3f}" for um in lengths]
        of = f"{reached.stick_opened / max(1, bounds.stick_opened):.3f}"
        lacks = f"{100 * (bounds.worth - reached.worth) / max(1, abs(bounds.worth)):.2f}"
        return self.name, *metres, of, lacks, self.plan.proof, f"{self.processor:.2f}"


def main(arguments: list[str]) -> int:
    """Run the benchmark; 1 where a plan opens more than the hand rule or the filler."""
    parser = argparse.ArgumentParser(prog="python -m demo.bench show", description=__doc__)
    parser.add_argument("--frames", type=at_least(1), nargs="+", default=list(FRAMES))
    parser.add_argument("--ties", choices=(*sizes.TIES, RACK), nargs="+", default=list(sizes.TIES))
    parser.add_argument("--seeds", type=at_least(0), nargs="+", default=[0, 1])
    parser.add_argument("--seconds", type=seconds, default=10.0, help="limit, of the processor")
    parser.add_argument("--json", action="store_true", help="a line of JSON for each run")
    options = parser.parse_args(arguments)
    known = []
    for shown in _runs(options):
        known.append(shown)
        if options.json:
            print(json.dumps(shown.line()), flush=True)
    if not options.json:
        head = ("show", "by hand m", "filled m", "sticks m", "at least m", "of it",
                "worth lacks %", "proof", "processor s")  # fmt: skip
        print(table(head, [shown.row() for shown in known]))
        print(_summary(known))
    return 1 if any(_worse(shown) for shown in known) else 0


def _summary(known: list[_Shown]) -> str:
    sticks = sum(s.plan.reached.stick_opened == s.plan.bounds.stick_opened for s in known)
    proven = sum(s.plan.proof == "optimal" for s in known)
    worse = sum(map(_worse, known))
    return f"{len(known)} shows: sticks of {sticks} proven, all of {proven}; {worse} worse than by hand or filled"  # noqa: E501


def _worse(shown: _Shown) -> bool:
    others = [shown.hand, *([shown.filled] if shown.filled else [])]
    frames = shown.plan.reached.frames_cut
    least = min(o.stick_opened for o in others if o.frames_cut >= frames)
    return shown.plan.reached.stick_opened > least


def _runs(options: argparse.Namespace) -> Iterator[_Shown]:
    for frames in options.frames:
        for ties in options.ties:
            for seed in options.seeds:
                problem = (
                    sizes.tied(seed, frames, options.seconds) if ties == RACK
                    else sizes.show(seed, frames, ties, options.seconds)
                )  # fmt: skip
                yield _shown(f"{frames} {ties} {seed}", problem)


def _shown(name: str, problem: Problem) -> _Shown:
    began = time.process_time()
    # The limit by the processor's clock, so that other work on the machine does not count.
    with mock.patch("time.monotonic", time.process_time):
        plan = planner.plan(problem)
    spent = time.process_time() - began
    filled, _ = best_filled(problem, min(spent, problem.limits.seconds))
    return _Shown(name, plan, planner.hand_plan(problem).reached, filled, spent)
