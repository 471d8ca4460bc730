"""The one door: a problem goes in, a judged plan comes out."""

import time
from concurrent.futures import Executor
from dataclasses import replace
from threading import Event

from planner.all_or_none import planned_linked
from planner.by_profile import Crew, Gap, Progress, split, together
from planner.errors import PlannerBug
from planner.judge import faults
from planner.stop import Stop
from planner.validate import refuse_faults
from planner.values import Plan, Problem

__all__ = ["Gap", "Progress", "plan"]

# So much of the time is for the search, the rest for what a step overruns and for the judge.
SEARCHED = 0.97


def plan(
    problem: Problem,
    executor: Executor | None = None,
    on_progress: Progress | None = None,
    on_gap: Gap | None = None,
    stop: Event | Stop | None = None,
) -> Plan:
    """Which pieces to cut for today's frames, with how sure that is and why.

    Profiles are planned each alone: in this process, where it takes long in as many processes as
    the limits allow, or through any ``executor`` that takes picklable work. Setting ``stop`` from
    any thread ends the search with the best so far, as a Ctrl-C in the main thread does; what an
    executor has begun it finishes. A ``Stop`` is a deadline too, that many plans may share.

    Raises:
        ProblemRefused: the problem is unfit, with every fault.
        PlannerBug: the judge found a fault in the answer.
    """
    refuse_faults(problem)
    started, seconds = time.monotonic(), SEARCHED * problem.limits.seconds
    until = stop.within(seconds) if isinstance(stop, Stop) else Stop(seconds, stop)
    crew = Crew(problem.limits.workers, executor, on_progress, on_gap)
    if any(frame.link is not None for frame in problem.frames):
        whole = planned_linked(problem, crew, until)
    else:
        whole = together(problem, crew.plans(split(problem), until))
    whole = replace(whole, seconds=time.monotonic() - started)
    if broken := faults(problem, whole):
        raise PlannerBug(broken)
    return whole
