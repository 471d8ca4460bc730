"""The planner: which pieces to cut for today's frames, proven best. Values in, values out."""

from planner.door import plan
from planner.errors import PlannerBug, PlannerError, ProblemRefused
from planner.hand import hand_plan
from planner.judge import faults

__all__ = ["PlannerBug", "PlannerError", "ProblemRefused", "faults", "hand_plan", "plan"]
