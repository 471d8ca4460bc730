"""What the planner refuses and what it owns up to.

    PlannerError
    ├── ProblemRefused   the problem cannot be planned as given; every fault is listed
    └── PlannerBug       the judge found a fault in the planner's own answer

Both carry ``faults``, one plain sentence each.
"""

__all__ = ["PlannerBug", "PlannerError", "ProblemRefused"]


class PlannerError(Exception):
    """Something stands between this problem and a plan; ``faults`` says what, one line each."""

    def __init__(self, faults: tuple[str, ...]) -> None:
        super().__init__("; ".join(faults))
        self.faults = faults

    def __reduce__(self) -> tuple[type["PlannerError"], tuple[tuple[str, ...]]]:
        """Travel whole between processes."""
        return type(self), (self.faults,)


class ProblemRefused(PlannerError):
    """The problem as given cannot be planned: put right every fault listed, then plan again."""


class PlannerBug(PlannerError):
    """The planner's own answer is wrong: cut nothing by it, and report the problem with it."""
