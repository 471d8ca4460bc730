"""What every benchmark says of one run, as a line of JSON or as part of a plain table."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass

from planner.values import Plan, Score

__all__ = ["Run", "run_of", "show_lines", "table", "three"]


@dataclass(frozen=True, slots=True)
class Run:
    """One run: values reached and their proven bounds, aim by aim, the proof, the seconds."""

    name: str
    value: tuple[int, ...]
    bound: tuple[int, ...]
    proof: str
    seconds: float

    def line(self) -> str:
        """The run as a line of JSON."""
        return json.dumps({**asdict(self), "seconds": round(self.seconds, 4)})


def run_of(name: str, plan: Plan, seconds: float | None = None) -> Run:
    """The run that made a plan; ``seconds`` where a watch outside the planner was read."""
    spent = plan.seconds if seconds is None else seconds
    return Run(name, three(plan.reached), three(plan.bounds), plan.proof, spent)


def three(score: Score) -> tuple[int, int, int]:
    """Frames cut, stick opened and worth gained (both um)."""
    return score.frames_cut, score.stick_opened, score.worth


def show_lines(runs: Iterable[Run]) -> None:
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
