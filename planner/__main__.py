"""``python -m planner < problem.json > plan.json``: the planner as a program, no database.

Ends with 0 when planned, 10 when the problem is refused (every fault on standard error), 11 when
the judge found a fault in the answer. Ctrl-C gives the best plan so far.
"""

import sys

from planner import PlannerBug, ProblemRefused, plan
from planner.jsonio import plan_to_json, problem_from_json

__all__ = ["main"]

REFUSED, BUG = 10, 11


def main() -> int:
    """Read a problem, write its plan; the exit code."""
    try:
        answer = plan(problem_from_json(_text(sys.stdin.buffer.read())))
    except ProblemRefused as refused:
        return _say("refused", refused.faults, REFUSED)
    except PlannerBug as bug:
        return _say("internal fault, cut nothing by this", bug.faults, BUG)
    sys.stdout.buffer.write(plan_to_json(answer).encode() + b"\n")
    return 0


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
