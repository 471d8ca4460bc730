"""Why linked frames are short, and what it costs in stick that frames match."""

from collections import Counter
from collections.abc import Collection
from dataclasses import replace

from planner.by_profile import Crew, split
from planner.explain.reasons import why_short
from planner.linked import Linked, bundled
from planner.sorting import by_due
from planner.stop import Stop
from planner.values import Frame, Plan, Problem, Reason, Short, Told

__all__ = ["short_of_links", "why_matched"]

# Said of a frame that could be cut if it were alone.
BESIDE_OTHERS = ("cannot_be_laid_out", "was_not_laid_out")


def short_of_links(
    problem: Problem, linked: Linked, plan: Plan, at_fault: Collection[str]
) -> tuple[Short, ...]:
    """The frames left out, those that are linked with what keeps them all from being cut.

    ``at_fault`` are the units that could not be cut even while every link could be torn.
    """
    frames = {frame.id: frame for frame in problem.frames}
    cut = {rail.frame for one in plan.cuts for rail in one.rails}
    told = {s.frame: s for s in plan.short if s.frame in frames and frames[s.frame].link is None}
    for units in linked.units.values():
        names = [name for unit in units for name in linked.names(unit)]
        if names[0] in cut:
            continue
        own: list[Short] = []
        for unit in (unit for unit in units if unit in at_fault):
            own += _of_unit(problem, [frames[name] for name in linked.names(unit)], plan)
        told |= {short.frame: short for short in own}
        others = [short.frame for short in own] or names
        for name in names:
            rest = tuple(other for other in others if other != name)
            told.setdefault(name, Short(name, Reason("waits_for_linked", {"frames": rest})))
    return tuple(sorted(told.values(), key=lambda short: by_due(frames[short.frame])))


def _of_unit(problem: Problem, frames: list[Frame], plan: Plan) -> list[Short]:
    """Why a unit can't be cut: the frames of it that can't even alone, else that they don't match.

    Nothing of frames that could be cut one by one but not together.
    """
    first = frames[0]
    part = split(problem)[first.profile]
    mine = {piece.id for piece in part.pieces}
    cuts = tuple(cut for cut in plan.cuts if cut.piece in mine)
    alone = [*why_short(part, cuts, frames, plan.reached.frames_cut == plan.bounds.frames_cut)]
    if len(frames) == 1:
        return alone
    never = [short for short in alone if short.why.code not in BESIDE_OTHERS]
    if never or not first.one_batch:
        return never
    link: dict[str, Told] = {"link": first.link or ""}
    about: dict[str, Told] = {"frames": len(frames), **link}
    why, cure = Reason("no_batch_for_link", about), Reason("buy_batch_or_apart", link)
    if first.batch and {frame.batch for frame in frames} == {first.batch}:
        # They are begun, and stay in the batch that they are begun in.
        link["batch"] = first.batch
        why, cure = Reason("batch_lacks_for_link", link), Reason("buy_that_batch", link)
    return [Short(frame.id, why, cure) for frame in frames]


def why_matched(problem: Problem, plan: Plan, crew: Crew, stop: Stop) -> dict[str, Reason]:
    """For each link whose frames share a batch and are cut: what that costs in stick.

    The frames that are cut are planned again with those of the link apart, in the time left.
    """
    names = {rail.frame for one in plan.cuts for rail in one.rails}
    cut = [frame for frame in problem.frames if frame.id in names]
    said = {}
    for link in sorted({f.link for f in cut if f.link is not None}):
        bound = Counter(f.profile for f in cut if f.link == link and f.one_batch)
        mine = tuple(f for f in cut if bound[f.profile] > 1)
        if mine:
            said[link] = _cost(replace(problem, frames=mine), link, plan, crew, stop)
    return said


def _cost(problem: Problem, link: str, plan: Plan, crew: Crew, stop: Stop) -> Reason:
    """The stick that the same frames would need less if those of a link need not match."""
    used, profiles = {cut.piece for cut in plan.cuts}, {f.profile for f in problem.frames}
    opened = sum(piece.length for piece in problem.pieces if piece.kind == "stick"
                 and piece.id in used and piece.profile in profiles)  # fmt: skip
    if not opened:
        return Reason("matching_costs_nothing")
    free = bundled(problem, apart=link)
    if free.to_match or stop.over():
        return Reason("matching_not_worked_out")
    found = crew.silent().plans(split(free.problem), stop).values()
    least = sum(one.reached.stick_opened for one in found)
    if least > opened or any(one.short for one in found):
        return Reason("matching_not_worked_out")
    if least < opened:
        return Reason("matching_costs_stick", {"cost_um": opened - least})
    return Reason("matching_costs_nothing")
