"""The frames of a job come from one batch: a triptych hangs together.

The planner ties the rails of a frame. Where its plan cuts a job from two batches, or only part of
it, the job is tied to each batch in turn that could hold it, and what cuts the most is kept; where
no batch yields all its frames, they wait together.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from planner.values import Frame, Piece, Plan, Problem, Reason, Short

__all__ = ["jobs_to_match", "planned_by_job"]

Planner = Callable[[Problem], Plan]
LAST = date.max


def jobs_to_match(jobs: Mapping[str, int], apart: frozenset[int]) -> dict[int, tuple[str, ...]]:
    """The frames of each job that has several, by label; ``jobs`` has each bound frame's job."""
    frames: dict[int, tuple[str, ...]] = {}
    for label, job in jobs.items():
        if job not in apart:
            frames[job] = (*frames.get(job, ()), label)
    return {job: labels for job, labels in frames.items() if len(labels) > 1}


def planned_by_job(
    problem: Problem, jobs: Mapping[int, Sequence[str]], plan: Planner, first: Planner | None = None
) -> tuple[Problem, Plan]:
    """The problem with each job of several frames in one batch, and its plan.

    Jobs that one batch cannot yield whole are short together. ``first`` plans the whole, where
    that is watched.
    """
    answer = (first or plan)(problem)
    waits: dict[str, int] = {}
    settled: set[int] = set()
    while (job := first_torn(problem, answer, jobs, settled)) is not None:
        settled.add(job)
        every = with_linked(problem, jobs[job])
        problem, whole = tied(problem, jobs[job], plan)
        waits |= {} if whole else dict.fromkeys(every, job)
        answer = plan(problem)
    short = (job_short(label, job, len(jobs[job])) for label, job in waits.items())
    return problem, replace(answer, short=(*answer.short, *short))


def job_short(label: str, job: int, frames: int) -> Short:
    """A frame that waits with the others of its job, and why."""
    return Short(label, Reason("no_batch_for_link", {"frames": frames, "link": f"J{job}"}),
                 Reason("buy_batch_or_apart", {"link": f"J{job}"}))  # fmt: skip


def first_torn(
    problem: Problem, answer: Plan, jobs: Mapping[int, Sequence[str]], settled: set[int]
) -> int | None:
    """The first job due that the plan cuts from several batches, or only in part."""
    batch_of = {piece.id: piece.batch for piece in problem.pieces}
    batches: dict[str, str] = {rail.frame: batch_of[cut.piece]
                               for cut in answer.cuts for rail in cut.rails}  # fmt: skip
    due = {frame.id: frame.due or LAST for frame in problem.frames}
    torn = [
        job for job, labels in jobs.items()
        if job not in settled and any(label in batches for label in labels)
        and len({batches.get(label) for label in labels}) > 1
    ]  # fmt: skip
    return min(torn, key=lambda job: (due.get(jobs[job][0], LAST), job), default=None)


def tied(problem: Problem, labels: Sequence[str], plan: Planner) -> tuple[Problem, bool]:
    """The problem with these frames tied to the best batch that yields them all, if one does."""
    frames = [frame for frame in problem.frames if frame.id in labels]
    part = of_profile(problem, frames[0].profile)
    tried: list[tuple[tuple[object, ...], Problem, bool]] = []
    for batch in (None, *batches_that_hold(part.pieces, frames)):
        asked = with_batch(part, labels, batch)
        answer = plan(asked)
        cut = {rail.frame for one in answer.cuts for rail in one.rails}
        if batch is None or cut >= set(labels):
            merit = merit_of(part, answer, cut)
            tried.append((merit, with_batch(problem, labels, batch), batch is not None))
    _, best, whole = max(tried, key=lambda one: one[0])
    return best, whole


def with_linked(problem: Problem, labels: Sequence[str]) -> list[str]:
    """These frames, and those that are cut with them or not at all."""
    links = {frame.link for frame in problem.frames if frame.id in labels} - {None}
    return [f.id for f in problem.frames if f.id in labels or f.link in links]


def of_profile(problem: Problem, profile: str) -> Problem:
    """The part of a problem that is about one profile."""
    return replace(problem, pieces=tuple(p for p in problem.pieces if p.profile == profile),
                   frames=tuple(f for f in problem.frames if f.profile == profile))  # fmt: skip


def batches_that_hold(pieces: Sequence[Piece], frames: Sequence[Frame]) -> list[str]:
    """The batches with length enough for all rails of these frames, by name."""
    wanted = sum(sum(frame.rails) for frame in frames)
    held: dict[str, int] = {}
    for piece in pieces:
        held[piece.batch] = held.get(piece.batch, 0) + piece.length
    return sorted(batch for batch, length in held.items() if length >= wanted)


def with_batch(problem: Problem, labels: Sequence[str], batch: str | None) -> Problem:
    """The problem with these frames from this batch; without them where it is none."""
    if batch is None:
        every = with_linked(problem, labels)
        frames = tuple(frame for frame in problem.frames if frame.id not in every)
    else:
        frames = tuple(replace(frame, batch=batch) if frame.id in labels else frame
                       for frame in problem.frames)  # fmt: skip
    return replace(problem, frames=frames)


def merit_of(problem: Problem, answer: Plan, cut: set[str]) -> tuple[object, ...]:
    """How good a plan is: frames cut, the earliest due first, then sticks, then worth."""
    days = sorted({frame.due or LAST for frame in problem.frames})
    counts = tuple(sum(frame.id in cut for frame in problem.frames if (frame.due or LAST) == day)
                   for day in days)  # fmt: skip
    return counts, -answer.reached.stick_opened, answer.reached.worth
