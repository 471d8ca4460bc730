"""The order at the saw that a plan leaves free: rails of one length after one another.

The same pieces, the same rails from each, the same leftovers. From a piece the longest rail comes
first, since a long one that slips still gives a short one; which piece of a place comes first is
free, and which of a job's frames, all alike, a rail is for.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import groupby, pairwise

from planner.values import Cut, Frame, Plan, Problem, RailCut, Reason
from stockroom.units.lengths import Micrometres
from stockroom.units.places import place_order

__all__ = ["in_turn", "walk_of"]


def walk_of(problem: Problem, plan: Plan, spots: Mapping[int, str]) -> list[int]:
    """The pieces that a plan cuts in the order of their places, those of one place and profile so
    that the stop is set as seldom as may be."""
    lengths: dict[int, list[int]] = {}
    for cut in sorted(plan.cuts, key=lambda cut: cut.stretch):
        if cut.rails:
            lengths.setdefault(int(cut.piece), []).extend(rail.length for rail in cut.rails)
    profile = {int(piece.id): piece.profile for piece in problem.pieces}

    def place(piece: int) -> tuple[object, str]:
        return (place_order(spots.get(piece, "")), profile[piece])

    walk: list[int] = []
    for _, group in groupby(sorted(lengths, key=lambda piece: (place(piece), piece)), place):
        by_number = list(group)
        stop = lengths[walk[-1]][-1] if walk else 0
        chain = chained(by_number, lengths, stop)
        fewer = stops_set(chain, lengths, stop) < stops_set(by_number, lengths, stop)
        walk += chain if fewer else by_number
    return walk


def chained(
    pieces: Sequence[int], lengths: Mapping[int, Sequence[Micrometres]], stop: int
) -> list[int]:
    """Pieces so that each begins where the stop stands, if one does; else with the longest."""
    left, chain = list(pieces), []
    while left:
        chain.append(min(left, key=lambda piece: (
            lengths[piece][0] != stop, -lengths[piece][0], lengths[piece][-1] != lengths[piece][0],
            piece)))  # fmt: skip
        stop = lengths[chain[-1]][-1]
        left.remove(chain[-1])
    return chain


def stops_set(
    pieces: Sequence[int], lengths: Mapping[int, Sequence[Micrometres]], stop: int
) -> int:
    """How often the stop is set anew."""
    row = [stop, *(length for piece in pieces for length in lengths[piece])]
    return sum(one != other for one, other in pairwise(row))


def in_turn(problem: Problem, plan: Plan, walk: Sequence[int]) -> Plan:
    """A plan whose frames that are alike get their rails one after the other along the walk."""
    place = {f"{piece}": at for at, piece in enumerate(walk)}
    order = sorted(plan.cuts, key=lambda cut: (place.get(cut.piece, len(place)), cut.stretch))
    dealt = {(cut.piece, cut.stretch): cut for cut in frames_in_turn(problem, order)}
    done = replace(plan, cuts=tuple(dealt[cut.piece, cut.stretch] for cut in plan.cuts))
    return replace(done, why_opened=dict(reasons(problem, done)))


def frames_in_turn(problem: Problem, cuts: Sequence[Cut]) -> list[Cut]:
    """Cuts whose rails go to frames that are alike in turn, so that the first is whole first."""
    wanted = {name: list(frame.rails) for name, frame in by_name(problem).items()}
    groups = {name: group for group in alike(problem, cuts).values() for name in group}
    taken: dict[str, set[int]] = {name: set() for name in wanted}

    def dealt(rail: RailCut) -> RailCut:
        for name in groups.get(rail.frame, ()):
            for number, length in enumerate(wanted[name]):
                if length == rail.length and number not in taken[name]:
                    taken[name].add(number)
                    return replace(rail, frame=name, rail=number)
        return rail

    return [replace(cut, rails=tuple(map(dealt, cut.rails))) for cut in cuts]


def by_name(problem: Problem) -> Mapping[str, Frame]:
    """The frames by their names."""
    return {frame.id: frame for frame in problem.frames}


def alike(problem: Problem, cuts: Sequence[Cut]) -> dict[object, list[str]]:
    """The frames of a job that may change their rails with one another: all that is asked of them
    is the same, and where a frame wants one batch it is one batch. In the problem's order."""
    batch = {piece.id: piece.batch for piece in problem.pieces}
    batches: dict[str, set[str]] = {}
    for cut in cuts:
        for rail in cut.rails:
            batches.setdefault(rail.frame, set()).add(batch[cut.piece])
    found: dict[object, list[str]] = {}
    for name, frame in by_name(problem).items():
        if name in batches and not frame.one_piece and frame.pin is None:
            asked = replace(frame, id=name.partition(".")[0])
            key = (asked, tuple(sorted(batches[name])) if frame.one_batch else ())
            found.setdefault(key, []).append(name)
    return found


def reasons(problem: Problem, plan: Plan) -> Iterator[tuple[str, Reason]]:
    """Why each stick is opened, for the frames that are cut from it now."""
    order = [frame.id for frame in problem.frames]
    on: dict[str, set[str]] = {}
    for cut in plan.cuts:
        on.setdefault(cut.piece, set()).update(rail.frame for rail in cut.rails)
    for piece, why in plan.why_opened.items():
        frames = tuple(name for name in order if name in on.get(piece, ()))
        yield piece, replace(why, about={**why.about, "frames": frames})
