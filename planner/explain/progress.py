"""How far the search for one aim has come, in the words of a framer; lengths in mm."""

from typing import Any

from planner.explain.reasons import mm
from planner.model.rows import Aim

__all__ = ["gap"]


def gap(aim: Any, reached: int, bound: int | None) -> str:
    """What is reached and what is proven possible at best; "" for what a framer does not ask."""
    if not isinstance(aim, Aim) or aim.sticks:
        return ""
    if aim.gain and aim.opened:
        return _between("weighed", mm(reached), bound, "at most")
    if aim.opened:
        return _between(
            "sticks opened", mm(-reached), None if bound is None else -bound, "at least"
        )
    if aim.gain:
        return _between("worth gained", mm(reached), bound, "at most")
    most = "" if bound is None else f", at most {bound}"
    return f"frames cut {reached}{most}"


def _between(what: str, reached: str, bound: int | None, side: str) -> str:
    return f"{what} {reached}" + ("" if bound is None else f", {side} {mm(bound)}")
