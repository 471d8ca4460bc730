"""The profiles of a problem planned each alone: in this process, in others, or on a cluster."""

import time
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping
from concurrent.futures import BrokenExecutor, CancelledError, Executor, Future
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, fields, replace
from functools import partial
from threading import Event

from planner.side_by_side import PAYS_AFTER, done_first, planned_there, processes
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
        return self._elsewhere(parts, {}, stop, nullcontext((self.executor, None)), None)

    def silent(self) -> "Crew":
        """The same for profiles that are planned once more in another way."""
        return replace(self, on_progress=None, on_gap=None)

    def _here(self, parts: Mapping[str, Problem], stop: Stop, workers: int) -> dict[str, Plan]:
        """Easy profiles first: what they don't use of their time goes to the harder ones.

        Where it takes long and there may be more workers, the rest is planned side by side.
        """
        plans: dict[str, Plan] = {}
        waiting, began = dict(parts), time.monotonic()
        with stop_on_interrupt(stop):
            while waiting:
                side_by_side = workers > 1 and time.monotonic() - began > PAYS_AFTER
                if side_by_side and len(waiting) > 1 and not stop.over():
                    there = processes(min(workers, len(waiting)))
                    return self._elsewhere(parts, plans, stop, there, workers)
                profile = next(iter(waiting))
                part = _given(waiting, profile, stop)
                del waiting[profile]
                plans[profile] = self._planned(profile, part, stop)
                self._tell(parts, plans, profile)
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
        workers: int | None,
    ) -> dict[str, Plan]:
        """The profiles not planned yet by an executor; what is lost with it by this process.

        Hardest profiles first, so that no worker is left with one at the end; each has as much more
        time as there are ``workers``, where that is known, and what is not used goes to the others.
        """
        found, running = dict(plans), dict[Future[Plan], str]()
        waiting = {p: part for p, part in reversed([*parts.items()]) if p not in plans}
        try:
            with there as (executor, flag):
                while waiting or running:
                    while waiting and len(running) < (workers or len(parts)):
                        profile = next(iter(waiting))
                        part = (
                            _given(waiting, profile, stop, workers) if workers else waiting[profile]
                        )
                        running[executor.submit(planned_there, part)] = profile
                        del waiting[profile]
                    for future in done_first(running, stop, flag):
                        profile = running.pop(future)
                        found[profile] = future.result()
                        self._tell(parts, found, profile)
        except (BrokenExecutor, CancelledError):
            lost = {profile: part for profile, part in parts.items() if profile not in found}
            found |= self._here(lost, stop, workers=1)
        return {profile: found[profile] for profile in parts}

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


def _given(waiting: Mapping[str, Problem], profile: str, stop: Stop, workers: int = 1) -> Problem:
    """A profile's problem with its share of the time left, all of it for each of the workers."""
    part, shares = waiting[profile], sum(part.limits.seconds for part in waiting.values())
    seconds = stop.left() * min(1.0, workers * part.limits.seconds / shares)
    return replace(part, limits=Limits(max(seconds, 0.001), part.limits.workers))


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
