"""Linked frames, put together where one frame of all their rails says the same, and parted again.

Frames of one link and one profile that share a batch, or are tied to nothing, are cut all or none
as a frame of all their rails is. What can't be put together so (frames of other profiles, of one
piece, pinned) stays apart as the link's several *units*, which ``all_or_none`` keeps together.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from planner.sorting import by_due
from planner.values import Cut, Frame, Plan, Problem, RailCut, Reason

__all__ = ["Linked", "bundled"]


@dataclass(frozen=True)
class Linked:
    """A problem of units without links, and what they stand for.

    ``frames`` are those of each unit that was put together, in the order of its rails; ``units``
    those of each link. Units of a group in ``to_match`` are to share a batch that is still to be
    chosen. The frames of links in ``never`` ask for batches that differ.
    """

    problem: Problem
    frames: Mapping[str, tuple[Frame, ...]]
    units: Mapping[str, tuple[str, ...]]
    to_match: Mapping[str, tuple[tuple[str, ...], ...]]
    never: frozenset[str]

    def cuts(self, cuts: Iterable[Cut]) -> tuple[Cut, ...]:
        """Cuts of a plan, each rail that of its own frame."""
        owners = {
            name: [(frame.id, rail) for frame in frames for rail in range(len(frame.rails))]
            for name, frames in self.frames.items()
        }
        return tuple(
            replace(cut, rails=tuple(
                RailCut(*owners[r.frame][r.rail], r.length) if r.frame in owners else r
                for r in cut.rails
            )) for cut in cuts
        )  # fmt: skip

    def batches(self, cuts: Iterable[Cut]) -> dict[str, frozenset[str]]:
        """The batches that each unit cut comes from."""
        batch_of = {piece.id: piece.batch for piece in self.problem.pieces}
        found: dict[str, frozenset[str]] = {}
        for cut in cuts:
            for rail in cut.rails:
                found[rail.frame] = found.get(rail.frame, frozenset()) | {batch_of[cut.piece]}
        return found

    def torn(self, link: str, batches: Mapping[str, frozenset[str]]) -> bool:
        """A link is cut in part, or from batches that are to be one."""
        cut = [unit in batches for unit in self.units[link]]
        return any(cut) and (not all(cut) or bool(self.unmatched(link, batches)))

    def unmatched(self, link: str, batches: Mapping[str, frozenset[str]]) -> tuple[str, ...]:
        """The first group of a link's units that is to share a batch and does not."""
        for group in self.to_match.get(link, ()):
            if len(frozenset().union(*(batches[unit] for unit in group))) > 1:
                return group
        return ()

    def without(self, links: Collection[str]) -> Problem:
        """The problem without the units of these links."""
        out = {unit for link in links for unit in self.units[link]}
        kept = tuple(unit for unit in self.problem.frames if unit.id not in out)
        return replace(self.problem, frames=kept)

    def names(self, unit: str) -> tuple[str, ...]:
        """The frames that a unit stands for, by name."""
        return tuple(frame.id for frame in self.frames.get(unit, ())) or (unit,)

    def opened(self, plan: Plan) -> dict[str, Reason]:
        """Why each stick was opened, told of frames."""
        return {piece: self._told(why) for piece, why in plan.why_opened.items()}

    def _told(self, why: Reason) -> Reason:
        served = why.about.get("frames")
        if not isinstance(served, tuple):
            return why
        frames = tuple(name for unit in served for name in self.names(unit))
        return replace(why, about={**why.about, "frames": frames})


def bundled(problem: Problem, apart: str | None = None) -> Linked:
    """The problem with its linked frames put together; those of a link ``apart`` are left alone."""
    links: dict[str, list[Frame]] = defaultdict(list)
    units: list[Frame] = []
    of_link: dict[str, tuple[str, ...]] = {}
    for frame in sorted(problem.frames, key=by_due):
        if frame.link is None or frame.link == apart:
            units.append(replace(frame, link=None))
        else:
            links[frame.link].append(frame)
    frames: dict[str, tuple[Frame, ...]] = {}
    to_match: dict[str, tuple[tuple[str, ...], ...]] = {}
    never = set()
    for link, mine in links.items():
        batches = _batches(problem, mine)
        found = [_one(group) for group in _groups(mine, batches)]
        due = mine[0].due  # the earliest: they are sorted
        for unit, group in found:
            units.append(replace(unit, due=due, link=None))
            if len(group) > 1:
                frames[unit.id] = tuple(group)
        if any(len(asked) > 1 for asked in batches.values()):
            never.add(link)
        of_link[link] = tuple(unit.id for unit, _ in found)
        if choices := tuple(_to_match([unit for unit, _ in found], batches)):
            to_match[link] = choices
    whole = replace(problem, frames=tuple(units))
    return Linked(whole, frames, of_link, to_match, frozenset(never))


def _batches(problem: Problem, frames: Sequence[Frame]) -> dict[str, set[str]]:
    """The batches that frames to match are bound to already, by profile: told, or a pin's."""
    batch_of = {piece.id: piece.batch for piece in problem.pieces}
    found: dict[str, set[str]] = {frame.profile: set() for frame in frames if frame.one_batch}
    for frame in frames:
        if frame.one_batch:
            told = (frame.batch, None if frame.pin is None else batch_of[frame.pin])
            found[frame.profile] |= {batch for batch in told if batch is not None}
    return found


def _groups(frames: Sequence[Frame], batches: Mapping[str, set[str]]) -> Iterator[list[Frame]]:
    """The frames that one of all their rails stands for; those of one piece each alone."""
    alike: dict[tuple[object, ...], list[Frame]] = defaultdict(list)
    for frame in frames:
        known = batches.get(frame.profile, set()) if frame.one_batch else set()
        bound = replace(frame, batch=min(known)) if known else frame
        alone = frame.id if frame.pin is not None or frame.one_piece else ""
        alike[frame.profile, frame.one_batch, bound.batch, alone, frame.takes].append(bound)
    yield from alike.values()


def _one(group: list[Frame]) -> tuple[Frame, list[Frame]]:
    """One frame for a group of them, named as its first, and the group."""
    if len(group) == 1:
        return group[0], group
    rails = tuple(rail for frame in group for rail in frame.rails)
    return replace(group[0], rails=rails, stands_for=len(group)), group


def _to_match(units: Sequence[Frame], batches: Mapping[str, set[str]]) -> Iterator[tuple[str, ...]]:
    """Units of one profile that are to share a batch which nothing tells yet."""
    for profile, known in batches.items():
        bound = tuple(unit.id for unit in units if unit.one_batch and unit.profile == profile)
        if len(bound) > 1 and not known:
            yield bound
