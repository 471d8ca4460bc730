"""The least to buy that would let a short frame be cut, beside the frames cut as planned."""

from collections.abc import Iterator, Sequence

from planner.explain.serving import LeftRack
from planner.values import Cut, Frame, Micrometres, Problem, Rules

__all__ = ["Least", "least_sticks", "left_for"]

# Least usable lengths of new sticks, by how many are bought: none where the rack alone does.
Least = dict[int, int]

# A frame of more rails than this is laid on one new stick: its ways are too many to be tried.
MOST_RAILS = 6


def left_for(problem: Problem, frame: Frame, cuts: Sequence[Cut]) -> list[int]:
    """What a plan leaves that this frame may use beside new sticks, longest first."""
    return LeftRack(problem, frame.profile, cuts).served(frame).left(frame)


def least_sticks(frame: Frame, left: Sequence[int], rules: Rules) -> Least:
    """For 0, 1, 2, ... new sticks, the least usable length that lets the frame be cut, exactly.

    All ways to lay its rails on what is left and on so many sticks are tried. A number that does
    with no shorter sticks than a smaller one is left out.
    """
    rails, allowance = sorted(map(rules.taken, frame.rails), reverse=True), rules.cut_allowance
    if len(frame.rails) > MOST_RAILS:
        return {1: sum(rails) - allowance}
    rooms = [length + allowance for length in left]
    found: Least = {}
    for lengths in _laid(rails, rooms, (), 1 if frame.one_piece else len(rails)):
        longest = max(lengths, default=allowance) - allowance
        found[len(lengths)] = min(longest, found.get(len(lengths), longest))
    best: Least = {}
    for count in sorted(found):
        if not best or found[count] < min(best.values()):
            best[count] = found[count]
    return best


def _laid(
    rails: Sequence[Micrometres], rooms: Sequence[int], new: tuple[int, ...], most: int
) -> Iterator[tuple[int, ...]]:
    """The lengths taken of new sticks, for every way to lay the rails, longest first."""
    if not rails:
        yield new
        return
    for at, room in enumerate(rooms):
        if rails[0] <= room and room not in rooms[:at]:
            rest = [*rooms[:at], room - rails[0], *rooms[at + 1 :]]
            yield from _laid(rails[1:], rest, new, most)
    for at, length in enumerate(new):
        if length not in new[:at]:
            grown = (*new[:at], length + rails[0], *new[at + 1 :])
            yield from _laid(rails[1:], rooms, grown, most)
    if len(new) < most:
        yield from _laid(rails[1:], rooms, (*new, rails[0]), most)
