"""What each pin costs: the plan beside the best plan without that pin."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

from planner.score import cut_by_due, reached_by
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
    days = [*cut_by_due(problem, ())]
    both = zip(reached_by(problem, [plan]), reached_by(problem, [free]), strict=True)
    at, more = next(((n, two - one) for n, (one, two) in enumerate(both) if one != two), (0, 0))
    if more <= 0:
        return Reason(nothing)
    if at >= len(days):
        if problem.aims == "weighed":
            return Reason(f"{certain}_in_all", {"cost_um": more})
        if at == len(days):
            return Reason(f"{certain}_stick", {"cost_um": more})
        return Reason(f"{certain}_worth", {"cost_um": more})
    if days[at] == date.max:
        return Reason(f"{certain}_frames", {"frames": more})
    return Reason(f"{certain}_frames_due", {"frames": more, "due": days[at].isoformat()})
