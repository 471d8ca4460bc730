"""The planner: which pieces to cut for today's frames, proven best. Values in, values out."""

from planner.errors import PlannerBug, PlannerError, ProblemRefused
from planner.heuristics.best_fit import hand_plan
from planner.judge import faults
from planner.solve import plan

__all__ = ["PlannerBug", "PlannerError", "ProblemRefused", "faults", "hand_plan", "plan"]
