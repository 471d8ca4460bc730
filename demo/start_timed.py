"""How long the command line takes to start, beside all that it may come to import.

``python -m demo.start_timed`` prints the ratio of ``import stockroom.cli`` to importing every
library and module that any command uses, each in processes of their own, the bare start of
Python taken off both; the median of several runs.
"""

import statistics
import subprocess
import sys
import time

__all__ = ["main"]

COMMANDS = "import stockroom.cli"
EVERYTHING = (
    "import stockroom.cli, stockroom.record.schema, stockroom.services.morning.day_plan, "
    "planner.search.profile, alembic, highspy, numpy, ortools.sat.python.cp_model_helper, "
    "rich.console, rich.table, sqlmodel"
)
RUNS = 9


def seconds(code: str) -> float:
    """The median time of a process that runs this code."""
    times = []
    for _ in range(RUNS):
        started = time.perf_counter()
        subprocess.run([sys.executable, "-c", code], check=True)
        times.append(time.perf_counter() - started)
    return statistics.median(times)


def main() -> None:
    """Prints the two times and their ratio."""
    bare, some, whole = seconds("pass"), seconds(COMMANDS), seconds(EVERYTHING)
    print(f"bare Python {bare:.3f} s; import stockroom.cli {some:.3f} s; everything {whole:.3f} s")
    print(f"ratio, bare Python taken off: {(some - bare) / (whole - bare):.3f}")


if __name__ == "__main__":
    main()
