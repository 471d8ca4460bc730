"""Frames of a job that today's rack cannot yield, told together: what sticks do for them all."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from planner.values import MOST_RAILS, Frame, Plan, Problem, Reason, Told
from stockroom.services.planning import left_for
from stockroom.units.lengths import Micrometres
from stockroom.views.collating import alike
from stockroom.views.sheet import Because, SheetFrame

__all__ = ["told_together"]


def told_together(
    problem: Problem,
    answer: Plan,
    asked: Mapping[str, SheetFrame],
    sticks: Mapping[str, Micrometres],
) -> tuple[Because, ...]:
    """Each frame that is short with why and what would cure it; those of a job that are told the
    same also with how many sticks, ``sticks`` long by profile (um), would do for all of them."""
    single = [(one.frame, (one.why,) if one.cure is None else (one.why, one.cure))
              for one in answer.short]  # fmt: skip
    planned = {frame.id: frame for frame in problem.frames}
    found: list[Because] = []
    for labels, why in alike(single):
        more: tuple[Reason, ...] = ()
        if len(labels) > 1 and why[-1].code.startswith("buy"):
            some = [planned.get(label) or whole(asked[label]) for label in labels]
            more = bought_for(problem, answer, some, why[-1], sticks[some[0].profile])
        found += [(label, (*why, *more)) for label in labels]
    return tuple(found)


def whole(frame: SheetFrame) -> Frame:
    """A frame that waits apart from what was planned, with all its rails."""
    rails = frame.rails or (frame.across, frame.upright) * 2
    return Frame(frame.label, frame.profile, rails, pairs=not frame.rails)


def bought_for(
    problem: Problem, answer: Plan, frames: Sequence[Frame], cure: Reason, stick: Micrometres
) -> tuple[Reason, ...]:
    """That so many sticks do for all these frames beside what the plan leaves; nothing where no
    stick of that length takes their longest rail."""
    rules, first = problem.rules_of(frames[0].profile), frames[0]
    rails = sum(len(frame.rails) for frame in frames)
    # What the plan leaves is longest first, and no more of it than there are rails.
    longest = replace(first, rails=first.rails[:1] * min(rails, MOST_RAILS))
    rooms = [] if cure.code == "buy_batch_or_apart" else left_for(problem, longest, answer.cuts)
    count = sticks_for(frames, rooms, stick - 2 * rules.end_trim, rules.cut_allowance)
    if count == 0:
        return ()
    about: dict[str, Told] = {"sticks": count, "stick_um": stick, "frames": len(frames)}
    return (Reason("buy_for_all", about),)


def sticks_for(
    frames: Sequence[Frame], rooms: Sequence[int], usable: Micrometres, allowance: Micrometres
) -> int:
    """How many new sticks of so much do for the frames beside what is left, the longest rail first
    into the first that has room; none where one has room for none of the longest."""
    wholes = [[sum(one.rails) + (len(one.rails) - 1) * allowance] if one.one_piece else one.rails
              for one in frames]  # fmt: skip
    wanted = sorted((length + allowance for rails in wholes for length in rails), reverse=True)
    if wanted[0] > usable + allowance:
        return 0
    left = [room + allowance for room in rooms]
    for length in wanted:
        at = next((at for at, room in enumerate(left) if room >= length), None)
        if at is None:
            at = len(left)
            left.append(usable + allowance)
        left[at] -= length
    return len(left) - len(rooms)
