"""The plain cutting-stock problem: one stock length, the fewest stocks, and a proof."""

from planner.cuttingstock.solve import solve
from planner.cuttingstock.values import CspLimits, CspResult

__all__ = ["CspLimits", "CspResult", "solve"]
