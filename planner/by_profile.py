"""The profiles of a problem planned each alone: in this process, in others, or on a cluster."""

import time
from collections import defaultdict
from collections.abc import Callable, Mapping
from concurrent.futures import BrokenExecutor, CancelledError, Executor
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, replace
from functools import partial
from operator import attrgetter
from threading import Event
from typing import TypeVar

from planner.side_by_side import PAYS_AFTER, planned_there, processes, result_of
from planner.sorting import by_due, fetch_order
from planner.stop import Stop, Tell, stop_on_interrupt
from planner.values import Limits, Plan, Problem, Reason, Score

__all__ = ["Crew", "Gap", "Progress", "split", "together"]

T = TypeVar("T")

# Told after each profile: its name, how many are done, of how many, and its plan.
Progress = Callable[[str, int, int, Plan], None]
# Told while a profile is planned in this process: its name, and how its gap closes.
Gap = Callable[[str, Reason], None]


@dataclass(frozen=True)
class Crew:
    """Where profiles are planned, and who hears how far that has come."""

    workers: int
    executor: Executor | None = None
    on_progress: Progress | None = None
    on_gap: Gap | None = None

    def plans(self, parts: dict[str, Problem], stop: Stop) -> dict[str, Plan]:
        """The plan of each profile, all by the time that this is to stop."""
        if self.executor is None:
            return _here(parts, stop, self.workers, self.on_progress, self.on_gap)
        there = nullcontext((self.executor, None))
        return _elsewhere(parts, {}, stop, self.on_progress, there)

    def silent(self) -> "Crew":
        """The same for profiles that are planned once more in another way."""
        return replace(self, on_progress=None, on_gap=None)


def split(problem: Problem) -> dict[str, Problem]:
    """The problem of each profile that has frames, each with its share of the time.

    Half of the time is shared alike, half by rails.
    """
    frames, pieces = defaultdict(list), defaultdict(list)
    for frame in problem.frames:
        frames[frame.profile].append(frame)
    for piece in problem.pieces:
        pieces[piece.profile].append(piece)
    rails = sum(len(f.rails) for f in problem.frames)
    parts = {}
    for profile in sorted(frames, key=lambda p: (sum(len(f.rails) for f in frames[p]), p)):
        share = (sum(len(f.rails) for f in frames[profile]) / rails + 1 / len(frames)) / 2
        parts[profile] = replace(
            problem,
            frames=tuple(sorted(frames[profile], key=by_due)),
            pieces=tuple(sorted(pieces[profile], key=fetch_order)),
            profile_rules=_only(problem.profile_rules, profile),
            worth=_only(problem.worth, profile),
            limits=Limits(problem.limits.seconds * share, problem.limits.workers),
        )
    return parts


def _only(values: Mapping[str, T], profile: str) -> dict[str, T]:
    return {profile: values[profile]} if profile in values else {}


def _here(
    parts: dict[str, Problem],
    stop: Stop,
    workers: int,
    on_progress: Progress | None,
    on_gap: Gap | None,
) -> dict[str, Plan]:
    """Easy profiles first: what they don't use of their time goes to the harder ones.

    Where it takes long and there may be more workers, the rest is planned side by side; else what
    time is left in the end goes to those that ran out of theirs.
    """
    plans: dict[str, Plan] = {}
    shares, began = sum(part.limits.seconds for part in parts.values()), time.monotonic()
    from planner.search.profile import plan_profile

    def tell(profile: str) -> Tell | None:
        return None if on_gap is None else partial(on_gap, profile)

    with stop_on_interrupt(stop):
        for done, (profile, part) in enumerate(parts.items(), 1):
            side_by_side = workers > 1 and time.monotonic() - began > PAYS_AFTER
            if side_by_side and done < len(parts) and not stop.over():
                given = {p: q.limits.seconds / shares for p, q in parts.items() if p not in plans}
                more = {p: _given(parts[p], stop.left() * share) for p, share in given.items()}
                there = processes(min(workers, len(more)))
                return _elsewhere({**parts, **more}, plans, stop, on_progress, there)
            share = part.limits.seconds / shares if shares else 1.0
            shares -= part.limits.seconds
            seconds = stop.left() * share
            plans[profile] = plan_profile(part, stop.within(seconds, tell(profile)))
            parts = {**parts, profile: _given(part, seconds)}
            if on_progress:
                on_progress(profile, done, len(parts), plans[profile])
        for profile, part in _further(parts, plans, stop.left()).items():
            # The same search goes further with more time, unless a framer ends it.
            further = plan_profile(part, stop.within(part.limits.seconds, tell(profile)))
            if not stop.told.is_set():
                plans[profile] = further
    return plans


def _elsewhere(
    parts: dict[str, Problem],
    plans: dict[str, Plan],
    stop: Stop,
    on_progress: Progress | None,
    there: AbstractContextManager[tuple[Executor, Event | None]],
) -> dict[str, Plan]:
    """The profiles not planned yet by an executor; by this process what that one is lost with."""
    plans = dict(plans)
    try:
        with there as (executor, flag):
            return _spread(parts, plans, stop, on_progress, executor, flag)
    except (BrokenExecutor, CancelledError):
        lost = {profile: part for profile, part in parts.items() if profile not in plans}
        return {**plans, **_here(lost, stop, 1, on_progress, None)}


def _spread(
    parts: dict[str, Problem],
    plans: dict[str, Plan],
    stop: Stop,
    on_progress: Progress | None,
    executor: Executor,
    flag: Event | None,
) -> dict[str, Plan]:
    """Hardest profiles first, so that no worker is left with one at the end.

    With more workers the same work ends sooner: what time is left goes only to those that ran out
    of theirs before their frames and sticks were proven.
    """
    waiting = {p: executor.submit(planned_there, parts[p]) for p in reversed(parts)
               if p not in plans}  # fmt: skip
    for profile in (p for p in parts if p in waiting):
        plans[profile] = result_of(waiting[profile], stop, flag)
        if on_progress:
            on_progress(profile, len(plans), len(parts), plans[profile])
    open_ = {profile: plan for profile, plan in plans.items() if not _sticks_proven(plan)}
    further = _further(parts, open_, stop.left())
    again = {profile: executor.submit(planned_there, part) for profile, part in further.items()}
    more = {profile: result_of(plan, stop, flag) for profile, plan in again.items()}
    return plans if stop.told.is_set() else {**plans, **more}


def _given(part: Problem, seconds: float) -> Problem:
    """The same work with so much time."""
    return replace(part, limits=Limits(max(seconds, 0.001), part.limits.workers))


def _further(parts: dict[str, Problem], plans: dict[str, Plan], left: float) -> dict[str, Problem]:
    """The profiles not proven for want of time, with what is left if they had less before."""
    short = [
        profile
        for profile, plan in plans.items()
        if plan.proof != "optimal" and plan.seconds >= 0.9 * parts[profile].limits.seconds
    ]
    given = left / max(1, len(short))
    return {p: _given(parts[p], given) for p in short if parts[p].limits.seconds < given}


def _sticks_proven(plan: Plan) -> bool:
    """As many frames as can be are cut, with as little stick opened as can be."""
    of = attrgetter("frames_cut", "stick_opened")
    return bool(of(plan.reached) == of(plan.bounds))


def together(problem: Problem, plans: Mapping[str, Plan]) -> Plan:
    """The plans of all profiles as one, in the order a framer fetches and reads."""
    found = list(plans.values())
    cut = {c.piece for p in found for c in p.cuts}
    pieces = {p.id: fetch_order(p) for p in problem.pieces if p.id in cut}
    frames = {f.id: by_due(f) for f in problem.frames}
    return Plan(
        cuts=tuple(sorted((c for p in found for c in p.cuts),
                          key=lambda c: (pieces[c.piece], c.stretch))),
        short=tuple(sorted((s for p in found for s in p.short), key=lambda s: frames[s.frame])),
        reached=_sum([p.reached for p in found]),
        bounds=_sum([p.bounds for p in found]),
        proof="optimal" if all(p.proof == "optimal" for p in found) else "feasible",
        seconds=0.0,
        why_opened={name: why for p in found for name, why in p.why_opened.items()},
        why_pinned={name: why for p in found for name, why in p.why_pinned.items()},
    )  # fmt: skip


def _sum(scores: list[Score]) -> Score:
    return Score(
        sum(s.frames_cut for s in scores),
        sum(s.stick_opened for s in scores),
        sum(s.worth for s in scores),
    )
