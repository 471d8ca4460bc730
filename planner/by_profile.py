"""The profiles of a problem planned each alone: in this process, in others, or on a cluster."""

import time
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping
from concurrent.futures import BrokenExecutor, CancelledError, Executor
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, fields, replace
from functools import partial
from operator import attrgetter
from threading import Event

from planner.side_by_side import PAYS_AFTER, planned_there, processes, result_of
from planner.sorting import by_due, fetch_order
from planner.stop import Stop, stop_on_interrupt
from planner.values import Limits, Plan, Problem, Reason, Score

__all__ = ["Crew", "Gap", "Progress", "split", "together"]

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

    def plans(self, parts: Mapping[str, Problem], stop: Stop) -> dict[str, Plan]:
        """The plan of each profile, all by the time that this is to stop."""
        if self.executor is None:
            return self._here(parts, stop, self.workers)
        return self._elsewhere(parts, {}, stop, nullcontext((self.executor, None)))

    def silent(self) -> "Crew":
        """The same for profiles that are planned once more in another way."""
        return replace(self, on_progress=None, on_gap=None)

    def _here(self, parts: Mapping[str, Problem], stop: Stop, workers: int) -> dict[str, Plan]:
        """Easy profiles first: what they don't use of their time goes to the harder ones.

        Where it takes long and there may be more workers, the rest is planned side by side; else
        what time is left in the end goes to those that ran out of theirs.
        """
        plans: dict[str, Plan] = {}
        given, waiting, began = dict(parts), dict(parts), time.monotonic()
        with stop_on_interrupt(stop):
            while waiting:
                waiting = _shared(waiting, stop.left())
                side_by_side = workers > 1 and time.monotonic() - began > PAYS_AFTER
                if side_by_side and len(waiting) > 1 and not stop.over():
                    there = processes(min(workers, len(waiting)))
                    return self._elsewhere({**given, **waiting}, plans, stop, there)
                profile = next(iter(waiting))
                given[profile] = waiting.pop(profile)
                plans[profile] = self._planned(profile, given[profile], stop)
                self._tell(parts, plans, profile)
            for profile, part in _further(given, plans, stop.left()).items():
                # The same search goes further with more time, unless a framer ends it.
                further = self._planned(profile, part, stop)
                if not stop.told.is_set():
                    plans[profile] = further
        return plans

    def _planned(self, profile: str, part: Problem, stop: Stop) -> Plan:
        """The plan of one profile, by this process."""
        from planner.search.profile import plan_profile

        tell = None if self.on_gap is None else partial(self.on_gap, profile)
        return plan_profile(part, stop.within(part.limits.seconds, tell))

    def _elsewhere(
        self,
        parts: Mapping[str, Problem],
        plans: Mapping[str, Plan],
        stop: Stop,
        there: AbstractContextManager[tuple[Executor, Event | None]],
    ) -> dict[str, Plan]:
        """The profiles not planned yet by an executor; what is lost with it by this process.

        Hardest profiles first, so that no worker is left with one at the end. With more workers the
        same work ends sooner: what time is left goes only to those that ran out of theirs before
        their frames and sticks were proven.
        """
        found = dict(plans)
        try:
            with there as (executor, flag):
                waiting = {p: executor.submit(planned_there, parts[p]) for p in reversed([*parts])
                           if p not in plans}  # fmt: skip
                for profile in (p for p in parts if p in waiting):
                    found[profile] = result_of(waiting[profile], stop, flag)
                    self._tell(parts, found, profile)
                unsure = {p: plan for p, plan in found.items() if not _sticks_proven(plan)}
                again = {p: executor.submit(planned_there, part)
                         for p, part in _further(parts, unsure, stop.left()).items()}  # fmt: skip
                more = {p: result_of(plan, stop, flag) for p, plan in again.items()}
                return found if stop.told.is_set() else {**found, **more}
        except (BrokenExecutor, CancelledError):
            lost = {profile: part for profile, part in parts.items() if profile not in found}
            return {**found, **self._here(lost, stop, workers=1)}

    def _tell(self, parts: Mapping[str, Problem], plans: Mapping[str, Plan], profile: str) -> None:
        if self.on_progress:
            self.on_progress(profile, len(plans), len(parts), plans[profile])


def split(problem: Problem) -> dict[str, Problem]:
    """The problem of each profile with frames, easy ones first, each with its share of the time.

    Half of the time is shared alike, half by rails.
    """
    frames, pieces, rails = defaultdict(list), defaultdict(list), Counter[str]()
    for frame in problem.frames:
        frames[frame.profile].append(frame)
        rails[frame.profile] += len(frame.rails)
    for piece in problem.pieces:
        pieces[piece.profile].append(piece)
    parts = {}
    for profile in sorted(frames, key=lambda p: (rails[p], p)):
        share = (rails[profile] / rails.total() + 1 / len(frames)) / 2
        parts[profile] = replace(
            problem,
            frames=tuple(sorted(frames[profile], key=by_due)),
            pieces=tuple(pieces[profile]),
            profile_rules={p: own for p, own in problem.profile_rules.items() if p == profile},
            worth={p: own for p, own in problem.worth.items() if p == profile},
            limits=Limits(problem.limits.seconds * share, problem.limits.workers),
        )
    return parts


def _given(part: Problem, seconds: float) -> Problem:
    """The same work with so much time."""
    return replace(part, limits=Limits(max(seconds, 0.001), part.limits.workers))


def _shared(parts: Mapping[str, Problem], left: float) -> dict[str, Problem]:
    """The same work with all the time that is left, by the shares of it."""
    shares = sum(part.limits.seconds for part in parts.values())
    return {p: _given(part, left * part.limits.seconds / shares) for p, part in parts.items()}


def _further(
    parts: Mapping[str, Problem], plans: Mapping[str, Plan], left: float
) -> dict[str, Problem]:
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
    return Score(*(sum(getattr(score, field.name) for score in scores) for field in fields(Score)))
