"""The plain cutting-stock problem on published instances: a line a class, how many and how fast.

Reads a folder of ``.jsonl`` files, one instance a line with ``name``, ``capacity``, ``items``
([length, copies] pairs) and, if known, the published ``lower`` and ``upper``.
"""

import argparse
import json
import statistics
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from demo.bench.runs import seconds
from planner.cuttingstock import CspLimits, CspResult, solve

__all__ = ["BadInstances", "Instance", "main", "read"]


class BadInstances(Exception):
    """The folder or a line of a file cannot be read as instances; the message says which."""


@dataclass(frozen=True, slots=True)
class Instance:
    """One published problem, with the bounds published for it (``None`` where there are none)."""

    name: str
    capacity: int
    items: tuple[tuple[int, int], ...]
    lower: int | None
    upper: int | None


def read(path: Path) -> list[Instance]:
    """The instances of one file.

    Raises:
        BadInstances: a line is not such an instance.
    """
    lines = path.read_text(encoding="utf-8").splitlines()
    return [_instance(path, n, line) for n, line in enumerate(lines, 1) if line.strip()]


def _instance(path: Path, number: int, line: str) -> Instance:
    try:
        row = json.loads(line)
        items = tuple((_whole(length), _whole(copies)) for length, copies in row["items"])
        bounds = (None if row.get(end) is None else _whole(row[end]) for end in ("lower", "upper"))
        return Instance(str(row["name"]), _whole(row["capacity"]), items, *bounds)
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise BadInstances(f"{path.name}, line {number} is no instance: {error!r}") from error


def _whole(value: Any) -> int:
    if type(value) is not int or value < 0:
        raise ValueError(f"{value!r} is no whole number from 0 up")
    return value


def main(arguments: list[str]) -> int:
    """Run the benchmark; 1 if an answer contradicts the published bounds, 2 if nothing is read."""
    parser = argparse.ArgumentParser(prog="python -m demo.bench csp", description=__doc__)
    parser.add_argument("folder", type=Path, help="folder of .jsonl files, a class each")
    parser.add_argument("--seconds", type=seconds, default=10.0, help="limit for each instance")
    parser.add_argument("--only", metavar="CLASS", help="one class: a file name without .jsonl")
    parser.add_argument("--json", action="store_true", help="a line of JSON for each instance")
    options = parser.parse_args(arguments)
    try:
        limits = CspLimits(options.seconds)
        wrong = sum(_class(path, limits, options.json) for path in _files(options))
    except (BadInstances, ValueError) as error:
        print(error, file=sys.stderr)
        return 2
    return 1 if wrong else 0


def _files(options: argparse.Namespace) -> Iterator[Path]:
    if not options.folder.is_dir():
        raise BadInstances(f"there is no folder {options.folder}")
    paths = sorted(options.folder.glob(f"{options.only or '*'}.jsonl"))
    if not paths:
        raise BadInstances(f"{options.folder} holds no {options.only or '*'}.jsonl")
    yield from paths


def _class(path: Path, limits: CspLimits, as_json: bool) -> int:
    """Solve a file and print its lines; how many answers contradict what is published."""
    runs = [_run(path, instance, limits) for instance in read(path)]
    wrong = [run.instance.name for run in runs if _contradicts(run.instance, run.answer)]
    if as_json:
        for run in runs:
            print(json.dumps(_line(path.stem, run)), flush=True)
    else:
        _summary(path.stem, runs)
    for name in wrong:
        print(f"{name}: the answer contradicts the published bounds", file=sys.stderr)
    return len(wrong)


@dataclass(frozen=True, slots=True)
class _Run:
    """An instance, its answer, and the seconds of the processor that it took."""

    instance: Instance
    answer: CspResult
    processor: float


def _run(path: Path, instance: Instance, limits: CspLimits) -> _Run:
    began = time.process_time()
    try:
        answer = solve(instance.capacity, instance.items, limits)
    except ValueError as error:
        raise BadInstances(f"{path.name}, {instance.name}: {error}") from error
    return _Run(instance, answer, time.process_time() - began)


def _contradicts(instance: Instance, answer: CspResult) -> bool:
    over = instance.upper is not None and answer.bound > instance.upper
    return over or (instance.lower is not None and answer.value < instance.lower)


def _line(name: str, run: _Run) -> dict[str, Any]:
    answer = run.answer
    return {
        "class": name,
        "name": run.instance.name,
        "value": answer.value,
        "bound": answer.bound,
        "proof": answer.proof,
        "seconds": round(answer.seconds, 4),
        "processor": round(run.processor, 4),
    }


def _summary(name: str, runs: list[_Run]) -> None:
    answers = [run.answer for run in runs]
    closed = [answer for answer in answers if answer.value == answer.bound]
    times = [answer.seconds for answer in answers] or [0.0]
    processor = [run.processor for run in runs] or [0.0]
    # Means and worsts: of seconds, then of the processor's.
    print(
        f"{name:12} {len(answers):4} asked {len(closed):4} closed"
        f" {statistics.fmean(times):6.3f} {max(times):6.3f} s"
        f"  cpu {statistics.fmean(processor):6.3f} {max(processor):6.3f}",
        flush=True,
    )
