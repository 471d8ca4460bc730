"""How far the search for one aim has come."""

from typing import Any

from planner.model.rows import Aim
from planner.values import Reason

__all__ = ["gap"]


def gap(aim: Any, reached: int, bound: int | None) -> Reason | None:
    """What is reached and what is proven possible at best; None for what a framer does not ask."""
    if not isinstance(aim, Aim):
        return None
    if aim.gain and aim.opened:
        return _between("weighed", "_um", reached, bound)
    if aim.opened:
        return _between("sticks_opened", "_um", -reached, None if bound is None else -bound)
    if aim.gain:
        return _between("worth_gained", "_um", reached, bound)
    return _between("frames_cut", "", reached, bound)


def _between(code: str, unit: str, reached: int, bound: int | None) -> Reason:
    """So far, and what is proven possible at best where that is known."""
    about = {f"reached{unit}": reached}
    if bound is None:
        return Reason(code, about)
    return Reason(f"{code}_of", {**about, f"bound{unit}": bound})
