"""What every benchmark says of one run, as a line of JSON or as part of a plain table."""

import argparse
import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict, dataclass

from planner.values import Plan, Score

__all__ = ["BenchRun", "at_least", "run_of", "seconds", "show_lines", "table", "three"]


@dataclass(frozen=True, slots=True)
class BenchRun:
    """One run: values reached and their proven bounds, aim by aim, the proof, the seconds."""

    name: str
    value: tuple[int, ...]
    bound: tuple[int, ...]
    proof: str
    seconds: float

    def line(self) -> str:
        """The run as a line of JSON."""
        return json.dumps({**asdict(self), "seconds": round(self.seconds, 4)})


def at_least(least: int) -> Callable[[str], int]:
    """What reads a whole number of an option, refused below this.

    Raises:
        argparse.ArgumentTypeError: what it reads is none, or is below this.
    """

    def whole(text: str) -> int:
        if not text.isascii() or not text.isdigit() or int(text) < least:
            raise argparse.ArgumentTypeError(f"{text!r} is no whole number from {least} up")
        return int(text)

    return whole


def seconds(text: str) -> float:
    """A limit of time, refused where it is none.

    Raises:
        argparse.ArgumentTypeError: it is no number of seconds.
    """
    try:
        limit = float(text)
    except ValueError:
        limit = 0.0
    if not 0 < limit < float("inf"):
        raise argparse.ArgumentTypeError(f"{text!r} is no number of seconds above 0")
    return limit


def run_of(name: str, plan: Plan, watched: float | None = None) -> BenchRun:
    """The run that made a plan; seconds ``watched`` where a watch outside the planner was read."""
    spent = plan.seconds if watched is None else watched
    return BenchRun(name, three(plan.reached), three(plan.bounds), plan.proof, spent)


def three(score: Score) -> tuple[int, int, int]:
    """Frames cut, stick opened and worth gained (both um)."""
    return score.frames_cut, score.stick_opened, score.worth


def show_lines(runs: Iterable[BenchRun]) -> None:
    """Print each run as soon as it is done."""
    for run in runs:
        print(run.line(), flush=True)


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Columns as wide as need be; the first to the left, numbers to the right."""
    lines = [list(head), *map(list, rows)]
    widths = [max(len(line[n]) for line in lines) for n in range(len(head))]
    return "\n".join(
        "  ".join(
            cell.rjust(width) if n else cell.ljust(width)
            for n, (cell, width) in enumerate(zip(line, widths, strict=True))
        ).rstrip()
        for line in lines
    )
