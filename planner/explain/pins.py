"""What each pin costs: the plan beside the best plan without that pin."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

from planner.score import cut_by_due
from planner.stop import Stop
from planner.values import Plan, Problem, Reason

__all__ = ["why_pinned"]

Planned = Callable[[Problem, Stop], Plan]


def why_pinned(problem: Problem, plan: Plan, planned: Planned, stop: Stop) -> dict[str, Reason]:
    """For each pinned frame, what its pin costs while the other pins stay.

    The problem is ``planned`` again without the pin, in the time that is left.
    """
    pinned = [frame for frame in problem.frames if frame.pin is not None]
    said = {}
    for waiting, frame in zip(range(len(pinned), 0, -1), pinned, strict=True):
        if stop.over():
            cost = Reason("pin_not_worked_out")
        else:
            others = (replace(f, pin=None) if f is frame else f for f in problem.frames)
            free = replace(problem, frames=tuple(others))
            cost = _cost(problem, plan, planned(free, stop.within(stop.left() / waiting)))
        said[frame.id] = Reason(cost.code, {"piece": frame.pin or "", **cost.about})
    return said


def _cost(problem: Problem, plan: Plan, free: Plan) -> Reason:
    """The first aim in which the plan without the pin is better, and by how much."""
    sure = plan.proof == free.proof == "optimal"
    certain, nothing = ("pin_costs", "pin_costs_nothing") if sure else (
        "pin_seems_to_cost", "pin_costs_nothing_found")  # fmt: skip
    with_pin, without = (
        cut_by_due(problem, {rail.frame for cut in one.cuts for rail in cut.rails})
        for one in (plan, free)
    )
    due = next((due for due, count in with_pin.items() if without[due] != count), None)
    if due is not None:
        more = without[due] - with_pin[due]
        if more < 0:
            return Reason(nothing)
        if due == date.max:
            return Reason(f"{certain}_frames", {"frames": more})
        return Reason(f"{certain}_frames_due", {"frames": more, "due": due.isoformat()})
    stick = plan.reached.stick_opened - free.reached.stick_opened
    worth = free.reached.worth - plan.reached.worth
    if problem.aims == "weighed":
        more = stick + worth
        return Reason(f"{certain}_in_all", {"cost_um": more}) if more > 0 else Reason(nothing)
    if stick > 0:
        return Reason(f"{certain}_stick", {"cost_um": stick})
    if stick == 0 and worth > 0:
        return Reason(f"{certain}_worth", {"cost_um": worth})
    return Reason(nothing)
