"""The plain cutting-stock problem: one stock length, the fewest stocks, and a proof."""

from planner.csp.engine import solve
from planner.csp.values import CspLimits, CspResult

__all__ = ["CspLimits", "CspResult", "solve"]
