"""Linked frames, put together where one frame of all their rails says the same, and parted again.

Frames of one link and one profile that share a batch, or are tied to nothing, are cut all or none
as a frame of all their rails is. What can't be put together so (frames of other profiles, of one
piece, pinned) stays apart as the link's several *units*, which ``all_or_none`` keeps together.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from planner.sorting import by_due
from planner.values import Cut, Frame, Plan, Problem, RailCut, Reason

__all__ = ["Linked", "bundled"]


@dataclass(frozen=True)
class Linked:
    """A problem of units without links, and what they stand for.

    ``frames`` are those of each unit, as its rails follow; ``units`` those of each link. Units of a
    group in ``to_match`` are to share a batch that is still to be chosen. The frames of links
    in ``never`` ask for batches that differ.
    """

    problem: Problem
    frames: Mapping[str, Sequence[Frame]]
    units: Mapping[str, Sequence[str]]
    to_match: Mapping[str, Sequence[Sequence[str]]]
    never: Collection[str]

    def cuts(self, cuts: Iterable[Cut]) -> tuple[Cut, ...]:
        """Cuts of a plan, each rail that of its own frame."""
        owners = {
            name: [(frame.id, rail) for frame in frames for rail in range(len(frame.rails))]
            for name, frames in self.frames.items()
        }
        return tuple(
            replace(cut, rails=tuple(RailCut(*owners[r.frame][r.rail], r.length)
                                     for r in cut.rails))
            for cut in cuts
        )  # fmt: skip

    def batches(self, cuts: Iterable[Cut]) -> dict[str, set[str]]:
        """The batches that each unit cut comes from."""
        batch_of = {piece.id: piece.batch for piece in self.problem.pieces}
        found: dict[str, set[str]] = {}
        for cut in cuts:
            for rail in cut.rails:
                found.setdefault(rail.frame, set()).add(batch_of[cut.piece])
        return found

    def torn(self, link: str, batches: Mapping[str, Collection[str]]) -> bool:
        """A link is cut in part, or from batches that are to be one."""
        cut = [unit in batches for unit in self.units[link]]
        return any(cut) and (not all(cut) or bool(self.unmatched(link, batches)))

    def unmatched(self, link: str, batches: Mapping[str, Collection[str]]) -> Sequence[str]:
        """The first group of a link's units that is to share a batch and does not."""
        for group in self.to_match.get(link, ()):
            if len({batch for unit in group for batch in batches[unit]}) > 1:
                return group
        return ()

    def without(self, links: Collection[str]) -> Problem:
        """The problem without the units of these links."""
        out = {unit for link in links for unit in self.units[link]}
        kept = tuple(unit for unit in self.problem.frames if unit.id not in out)
        return replace(self.problem, frames=kept)

    def names(self, unit: str) -> tuple[str, ...]:
        """The frames that a unit stands for, by name."""
        return tuple(frame.id for frame in self.frames[unit])

    def opened(self, plan: Plan) -> dict[str, Reason]:
        """Why each stick was opened, told of frames."""
        found = {}
        for piece, why in plan.why_opened.items():
            served = why.about["frames"]
            units = served if isinstance(served, tuple) else ()
            frames = tuple(name for unit in units for name in self.names(unit))
            found[piece] = replace(why, about={**why.about, "frames": frames})
        return found


def bundled(problem: Problem, apart: str | None = None) -> Linked:
    """The problem with its linked frames put together; those of a link ``apart`` are left alone."""
    batch_of = {piece.id: piece.batch for piece in problem.pieces}
    links: dict[str | None, list[Frame]] = defaultdict(list)
    for frame in sorted(problem.frames, key=by_due):
        links[None if frame.link == apart else frame.link].append(frame)
    found = {frame.id: (replace(frame, link=None), [frame]) for frame in links.pop(None, ())}
    of_link: dict[str, list[str]] = {}
    to_match: dict[str, list[list[str]]] = {}
    never = set()
    for link, mine in links.items():
        asked = _batches(mine, batch_of)
        units = {group[0].id: (_one(group, mine[0]), group) for group in _groups(mine, asked)}
        found |= units
        of_link[str(link)] = list(units)
        # Units of one profile share a batch, which perhaps nothing tells yet.
        bound = ([name for name, (unit, _) in units.items()
                  if unit.one_batch and unit.profile == profile]
                 for profile, known in asked.items() if not known)  # fmt: skip
        if choices := [group for group in bound if len(group) > 1]:
            to_match[str(link)] = choices
        if any(len(known) > 1 for known in asked.values()):
            never.add(str(link))
    whole = replace(problem, frames=tuple(unit for unit, _ in found.values()))
    return Linked(whole, {name: group for name, (_, group) in found.items()}, of_link,
                  to_match, never)  # fmt: skip


def _batches(frames: Sequence[Frame], batch_of: Mapping[str, str]) -> dict[str, set[str]]:
    """The batches that frames to match are bound to already, by profile: told, or a pin's."""
    found: dict[str, set[str]] = {frame.profile: set() for frame in frames if frame.one_batch}
    for frame in frames:
        if frame.one_batch:
            told = (frame.batch, None if frame.pin is None else batch_of[frame.pin])
            found[frame.profile] |= {batch for batch in told if batch is not None}
    return found


def _groups(frames: Sequence[Frame], batches: Mapping[str, set[str]]) -> Iterable[list[Frame]]:
    """The frames that one of all their rails stands for; those of one piece each alone."""
    alike: dict[tuple[object, ...], list[Frame]] = defaultdict(list)
    for frame in frames:
        known = batches[frame.profile] if frame.one_batch else set()
        bound = replace(frame, batch=min(known)) if known else frame
        alone = frame.id if frame.pin is not None or frame.one_piece else ""
        alike[frame.profile, frame.one_batch, bound.batch, alone, frame.takes].append(bound)
    return alike.values()


def _one(group: Sequence[Frame], first: Frame) -> Frame:
    """One frame for a group of them, due with the first of its link."""
    rails = tuple(rail for frame in group for rail in frame.rails)
    return replace(group[0], rails=rails, stands_for=len(group), due=first.due, link=None)
