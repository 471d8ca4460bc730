"""A contract, a factory and a growing shop: what is proven, and in what time.

The factory is planned in this process, then through process pools and, where Dask is installed,
through the executor of a Dask cluster on this machine.
"""

import argparse
import importlib
import multiprocessing
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import AbstractContextManager, contextmanager, nullcontext
from typing import Any

import planner
from demo.bench import sizes
from demo.bench.runs import BenchRun, at_least, run_of, seconds, show_lines, table
from planner.values import Problem

__all__ = ["contract", "dask_cluster", "factory", "growth", "process_pool"]

Runs = Callable[[argparse.Namespace], Iterator[BenchRun]]


def contract(arguments: list[str]) -> int:
    """Contracts of 400 frames, by their seeds from 0."""
    return _main("contract", _contracts, arguments, limit=10.0, count=5)


def factory(arguments: list[str]) -> int:
    """A factory's week of 2,000 frames over 60 profiles, with one worker and with two."""
    return _main("factory", _factories, arguments, limit=60.0, count=1)


def growth(arguments: list[str]) -> int:
    """A day, and 2, 4 and 8 times the frames and pieces of the same mix."""
    return _main("growth", _grown, arguments, limit=60.0, count=3)


def _main(name: str, runs: Runs, arguments: list[str], limit: float, count: int) -> int:
    parser = argparse.ArgumentParser(prog=f"python -m demo.bench {name}", description=__doc__)
    parser.add_argument("--frames", type=at_least(1), default=400, help="frames of a contract")
    parser.add_argument(
        "--times", type=at_least(1), nargs="+", default=[1, 2, 4, 8], help="of a day"
    )
    parser.add_argument(
        "--count", type=at_least(1), default=count, help="how many, by seeds from 0"
    )
    parser.add_argument("--seconds", type=seconds, default=limit, help="limit for each")
    parser.add_argument("--json", action="store_true", help="a line of JSON for each run")
    options = parser.parse_args(arguments)
    if options.json:
        show_lines(runs(options))
        return 0
    head = ("run", "frames", "of", "sticks m", "at least", "worth m", "at most", "proof", "s")
    print(table(head, [_row(run) for run in runs(options)]))
    return 0


def _row(run: BenchRun) -> tuple[str, ...]:
    (frames, opened, worth), (most, least, best) = run.value, run.bound
    metres = (f"{x / 1e6:.3f}" for x in (opened, least, worth, best))
    return run.name, str(frames), str(most), *metres, run.proof, f"{run.seconds:.2f}"


def _contracts(options: argparse.Namespace) -> Iterator[BenchRun]:
    for seed in range(options.count):
        problem = sizes.contract(seed, options.frames, options.seconds)
        yield run_of(f"contract {seed}", planner.plan(problem))


def _grown(options: argparse.Namespace) -> Iterator[BenchRun]:
    for times in options.times:
        for seed in range(options.count):
            problem = sizes.grown(seed, times, options.seconds)
            yield run_of(f"{times} times, day {seed}", planner.plan(problem))


def _factories(options: argparse.Namespace) -> Iterator[BenchRun]:
    for seed in range(options.count):
        problem = sizes.factory(seed, options.seconds)
        yield _through(f"factory {seed}, this process", problem, nullcontext(None))
        for workers in (1, 2):
            yield _through(f"factory {seed}, pool of {workers}", problem, process_pool(workers))
        for workers in (1, 2):
            try:
                cluster = dask_cluster(workers)
                yield _through(f"factory {seed}, Dask of {workers}", problem, cluster)
            except ImportError:
                return


def _through(
    name: str, problem: Problem, workers: AbstractContextManager[Executor | None]
) -> BenchRun:  # fmt: skip
    """Plan through an executor that is ready before the watch starts."""
    with workers as executor:
        begun = time.monotonic()
        plan = planner.plan(problem, executor=executor)
        return run_of(name, plan, time.monotonic() - begun)


@contextmanager
def process_pool(workers: int) -> Iterator[Executor]:
    """Fresh processes, started and with the planner imported."""
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(workers, mp_context=context) as pool:
        for ready in [pool.submit(_import_engine) for _ in range(workers)]:
            ready.result()
        yield pool


@contextmanager
def dask_cluster(workers: int) -> Iterator[Executor]:
    """The executor of a Dask cluster on this machine, a process and a thread a worker.

    Raises:
        ImportError: the extra ``dask`` is not installed.
    """
    from distributed import Client, LocalCluster

    cluster_of: Any = LocalCluster
    client_of: Any = Client
    made = cluster_of(
        n_workers=workers, threads_per_worker=1, processes=True, dashboard_address=None
    )
    with made as cluster, client_of(cluster) as client:
        client.run(_import_engine)
        yield client.get_executor()


def _import_engine() -> None:
    """What a worker imports before the watch starts."""
    for name in ("planner.search.profile", "highspy", "numpy"):
        importlib.import_module(name)
