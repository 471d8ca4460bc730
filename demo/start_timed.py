"""What starting the command line takes, beside all that it may import, and beside another checkout.

``python -m demo.start_timed [FOLDER ...]`` prints what ``import stockroom.cli`` takes of the
processor and of memory at its peak, here and in the checkouts of these folders, each in processes
of its own one after another; then the ratio of it to importing every library and module that any
command uses, the bare start of Python taken off both.
"""

import os
import statistics
import subprocess
import sys
from pathlib import Path

__all__ = ["main"]

COMMANDS = "import stockroom.cli"
EVERYTHING = (
    "import stockroom.cli, stockroom.record.schema, stockroom.services.morning.day_plan, "
    "planner.search.profile, alembic, highspy, numpy, ortools.sat.python.cp_model_helper, "
    "rich.console, rich.table, sqlmodel"
)
RUNS = 9


def taken(code: str, folder: Path) -> tuple[float, float]:
    """A process that runs this code in a checkout: seconds of the processor, peak memory in MB."""
    process = subprocess.Popen([sys.executable, "-c", code], cwd=folder)
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise SystemExit(f"{folder}: {code} ended with {process.returncode}")
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def side_by_side(code: str, folders: list[Path]) -> list[tuple[float, float]]:
    """The medians of several runs in each checkout, in turns."""
    rounds = [[taken(code, folder) for folder in folders] for _ in range(RUNS)]
    return [
        (statistics.median(seconds for seconds, _ in runs), statistics.median(mb for _, mb in runs))
        for runs in zip(*rounds, strict=True)
    ]


def main(others: list[str]) -> None:
    """Prints what it takes in each checkout, and the ratio here."""
    here = Path(__file__).parents[1]
    folders = [here, *map(Path, others)]
    some = side_by_side(COMMANDS, folders)
    for folder, (seconds, mb) in zip(folders, some, strict=True):
        print(f"import stockroom.cli in {folder.name}: {seconds:.3f} s, at most {mb:.1f} MB")
    ((bare, _),), ((whole, _),) = side_by_side("pass", [here]), side_by_side(EVERYTHING, [here])
    print(f"bare Python {bare:.3f} s; everything {whole:.3f} s; "
          f"ratio, bare Python taken off: {(some[0][0] - bare) / (whole - bare):.3f}")  # fmt: skip


if __name__ == "__main__":
    main(sys.argv[1:])
