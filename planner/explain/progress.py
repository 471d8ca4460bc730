"""How far the search for one aim has come."""

from typing import Any

from planner.model.rows import Aim
from planner.values import Reason

__all__ = ["gap"]

KINDS = {
    (False, False): ("frames_cut", "", 1),
    (True, False): ("sticks_opened", "_um", -1),
    (False, True): ("worth_gained", "_um", 1),
    (True, True): ("weighed", "_um", 1),
}
"""By whether an aim looks at sticks and at worth: its code, unit and sense."""


def gap(aim: Any, reached: int, bound: int | None) -> Reason | None:
    """What is reached and what is proven possible at best; None for what a framer does not ask."""
    if not isinstance(aim, Aim):
        return None
    code, unit, sign = KINDS[bool(aim.opened), bool(aim.gain)]
    about = {f"reached{unit}": sign * reached}
    if bound is None:
        return Reason(code, about)
    return Reason(f"{code}_of", {**about, f"bound{unit}": sign * bound})
