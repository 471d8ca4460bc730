"""What each pin costs: the plan beside the best plan without that pin."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

from planner.sorting import by_due
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
    certain = "pin_costs" if sure else "pin_seems_to_cost"
    with_pin, without = _by_due(problem, plan), _by_due(problem, free)
    for due in sorted(with_pin):
        if without[due] != with_pin[due]:
            more = without[due] - with_pin[due]
            if more < 0:
                break
            if due == date.max:
                return Reason(f"{certain}_frames", {"frames": more})
            return Reason(f"{certain}_frames_due", {"frames": more, "due": due.isoformat()})
    else:
        stick = plan.reached.stick_opened - free.reached.stick_opened
        worth = free.reached.worth - plan.reached.worth
        if problem.aims == "weighed" and stick + worth > 0:
            return Reason(f"{certain}_in_all", {"cost_um": stick + worth})
        if problem.aims == "ordered" and stick > 0:
            return Reason(f"{certain}_stick", {"cost_um": stick})
        if problem.aims == "ordered" and stick == 0 and worth > 0:
            return Reason(f"{certain}_worth", {"cost_um": worth})
    return Reason("pin_costs_nothing" if sure else "pin_costs_nothing_found")


def _by_due(problem: Problem, plan: Plan) -> dict[date, int]:
    """Frames cut of each due date."""
    short = {entry.frame for entry in plan.short}
    counts = dict.fromkeys((by_due(frame)[0] for frame in problem.frames), 0)
    for frame in problem.frames:
        counts[by_due(frame)[0]] += frame.stands_for if frame.id not in short else 0
    return counts
