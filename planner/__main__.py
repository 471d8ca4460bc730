"""``python -m planner < problem.json > plan.json``: the planner as a program, no database.

Ends with 0 when planned, 10 when the problem is refused (every fault on standard error), 11 when
the judge found a fault in the answer. Ctrl-C gives the best plan so far; before there is one it
ends with 130. What takes over a second is told on standard error, on a terminal only.
"""

import gc
import os
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from planner import PlannerBug, ProblemRefused, plan
from planner.solve import Gap
from planner.stop import Stop
from planner.values import Problem, Reason

__all__ = ["main"]

REFUSED, BUG, INTERRUPTED, BROKEN = 10, 11, 130, 141
# So long a problem is refused: a hundred thousand pieces take a tenth of it.
MOST_BYTES = 2**28


def main() -> int:
    """Read a problem, write its plan; the exit code."""
    try:
        text = _text(_read())
        # The limit covers what this program did so far, not the wait for its problem.
        began = time.monotonic() - time.process_time()
        # The schema takes longer to load than a small problem to plan.
        from planner.io.schema import plan_to_json, problem_from_json

        problem = _kept(problem_from_json, text)
        stop = Stop(problem.limits.seconds - (time.monotonic() - began))
        with _telling() as tell:
            answer = plan(problem, on_gap=tell, stop=stop)
    except ProblemRefused as refused:
        return _say("refused", refused.faults, REFUSED)
    except PlannerBug as bug:
        return _say("internal fault, cut nothing by this", bug.faults, BUG)
    except KeyboardInterrupt:
        return _say("interrupted", ("there is no plan yet",), INTERRUPTED)
    return _written(plan_to_json(answer).encode() + b"\n")


def _kept(read: Callable[[str], Problem], text: str) -> Problem:
    """A problem that is kept to the end: no garbage is looked for in it, then or later."""
    gc.disable()
    problem = read(text)
    gc.freeze()
    gc.enable()
    return problem


def _written(text: bytes) -> int:
    """Write the plan; the exit code, 141 (as of a pipe's signal) where nobody reads it."""
    try:
        sys.stdout.buffer.write(text)
        sys.stdout.buffer.flush()
    except BrokenPipeError:
        # What is still held back must not be written when Python ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return BROKEN
    return 0


def _read() -> bytes:
    data = sys.stdin.buffer.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise ProblemRefused((f"problem: over {MOST_BYTES} bytes were read; plan it in parts",))
    return data


@contextmanager
def _telling() -> Iterator[Gap | None]:
    """One line on a terminal that says how far the plan has come, and goes when it is there."""
    if not sys.stderr.isatty():
        yield None
        return
    columns, began = os.get_terminal_size(sys.stderr.fileno()).columns or 80, time.monotonic()

    from planner.io.schema import told_plainly

    def tell(profile: str, how_far: Reason) -> None:
        if time.monotonic() - began >= 1:
            text = f"planning {profile}: {told_plainly(how_far)}"
            line = "".join(c if c.isprintable() else "?" for c in text)
            print(f"\r\x1b[K{line[: columns - 1]}", end="", file=sys.stderr, flush=True)

    try:
        yield tell
    finally:
        print("\r\x1b[K", end="", file=sys.stderr, flush=True)


def _text(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ProblemRefused(
            (f"problem: byte {error.start} is not UTF-8; write the problem as UTF-8",)
        ) from None


def _say(what: str, faults: tuple[str, ...], code: int) -> int:
    for fault in faults:
        line = " ".join(f"{what}: {fault}".split())
        sys.stderr.buffer.write(line.encode("utf-8", "backslashreplace") + b"\n")
    return code


if __name__ == "__main__":
    sys.exit(main())
