"""A few frames laid on pieces together, where that costs least: exact for them, in milliseconds."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from typing import TYPE_CHECKING

from planner.values import Frame, Micrometres, Piece, Rules
from planner.worth import Worth

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Ints = npt.NDArray[np.int64]
    Flags = npt.NDArray[np.bool_]

__all__ = ["MOST_STATES", "Laying", "Place", "Spot", "laid_jointly", "states_of"]

Place = tuple[str, int]
Laying = dict[str, list[tuple[Place, int]]]
NEVER = 1 << 60
MOST_STATES = 729
"""Three frames of two pairs each: twice that takes as many milliseconds as it has more moves."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A stretch that rails may be laid on: what it has left (um) and what its use costs.

    ``cost`` is the worth of what is left of it, or the length of a stick not yet opened; within
    ``margin`` what its rails leave is longer than the room left.
    """

    place: Place
    piece: Piece
    room: int
    cost: int
    margin: Micrometres = 0

    @property
    def batch(self) -> str:
        """The batch that its rails are of."""
        return self.piece.batch


@dataclass(frozen=True, slots=True)
class _Kind:
    """The rails of one length of one frame, and where that frame may lie."""

    frame: Frame
    length: Micrometres
    rails: tuple[Micrometres, ...]


@dataclass(frozen=True, slots=True)
class _Moves:
    """All counts of rails laid, and all ways to go from one to another on one stretch.

    ``before`` and ``part`` are numbers of states, ordered by where they lead; those that lead to
    state s stand from ``starts[s]``.
    """

    states: "Ints"
    weights: "Ints"
    before: "Ints"
    part: "Ints"
    starts: "Ints"


def laid_jointly(
    frames: Sequence[Frame],
    prizes: Mapping[str, int],
    spots: Sequence[Spot],
    worth: Worth,
    rules: Rules,
) -> Laying:
    """Where these frames go: which of them are cut, and from what, at the least cost in all.

    The cost is that of what is taken, less the worth of what is left, less the prize (um) of each
    frame that is cut. Each frame is cut whole or not at all, and its batch, piece and pin are kept.
    Dynamic programming over the stretches, over how many rails of each length are laid.
    """
    kinds = _kinds(frames)
    moves = _moves(tuple(len(kind.rails) for kind in kinds))
    order = sorted(spots, key=lambda spot: (spot.batch, spot.place))
    costs = [_costs(spot, kinds, moves, worth, rules) for spot in order]
    reached = _reached(order, costs, frames, kinds, moves)
    end = _cheapest(frames, prizes, kinds, moves, reached[-1])
    waiting = {(kind.frame.id, kind.length): list(kind.rails) for kind in kinds}
    found: Laying = {}
    for spot, counts in _way_to(end, order, costs, moves, reached):
        for kind, count in zip(kinds, counts, strict=True):
            for _ in range(count):
                rail = waiting[kind.frame.id, kind.length].pop(0)
                found.setdefault(kind.frame.id, []).append((spot.place, rail))
    return found


def states_of(frame: Frame) -> int:
    """By how much a frame multiplies the states that must be looked at."""
    total = 1
    for kind in _kinds([frame]):
        total *= len(kind.rails) + 1
    return total


def _kinds(frames: Sequence[Frame]) -> list[_Kind]:
    return [
        _Kind(frame, length, tuple(i for i, rail in enumerate(frame.rails) if rail == length))
        for frame in frames
        for length in sorted(set(frame.rails), reverse=True)
    ]


@lru_cache(256)
def _moves(counts: tuple[int, ...]) -> _Moves:
    import numpy as np

    states = np.array(list(product(*(range(count + 1) for count in counts))), np.int64)
    weights = np.ones(len(counts), np.int64)
    for at in range(len(counts) - 2, -1, -1):
        weights[at] = weights[at + 1] * (counts[at + 1] + 1)
    to, part = np.zeros(1, np.int64), np.zeros(1, np.int64)
    for count, weight in zip(counts, weights, strict=True):
        ends = np.array([end for end in range(count + 1) for _ in range(end + 1)], np.int64)
        takes = np.array([take for end in range(count + 1) for take in range(end + 1)], np.int64)
        to = (to[:, None] + ends * weight).ravel()
        part = (part[:, None] + takes * weight).ravel()
    order = np.lexsort((part, to))
    to, part = to[order], part[order]
    return _Moves(states, weights, to - part, part, np.searchsorted(to, np.arange(len(states))))


def _costs(spot: Spot, kinds: Sequence[_Kind], moves: _Moves, worth: Worth, rules: Rules) -> "Ints":
    """What it costs to lay each count of rails on this stretch; nothing where none is laid."""
    import numpy as np

    lengths = np.array([rules.taken(kind.length) for kind in kinds], np.int64)
    left = spot.room - moves.states @ lengths
    costs = np.full(len(left), NEVER, np.int64)
    fits = left >= -rules.cut_allowance
    costs[fits] = spot.cost - worth.over(spot.margin).many(np.maximum(left[fits], 0))
    barred = [
        at for at, kind in enumerate(kinds)
        if not (spot.piece.serves(kind.frame) and spot.piece.gives(kind.length))
    ]  # fmt: skip
    if barred:
        costs[moves.states[:, barred].any(axis=1)] = NEVER
    costs[0] = 0
    return costs


def _reached(
    order: Sequence[Spot],
    costs: Sequence["Ints"],
    frames: Sequence[Frame],
    kinds: Sequence[_Kind],
    moves: _Moves,
) -> list["Ints"]:
    """The least cost of every count of rails, before the first stretch and after each."""
    import numpy as np

    first = np.full(len(moves.states), NEVER, np.int64)
    first[0] = 0
    found = [first]
    of_batch = _begun([frame for frame in frames if frame.one_batch], kinds, moves)
    of_piece = _begun([frame for frame in frames if frame.one_piece], kinds, moves)
    for spot, cost, after in zip(order, costs, (*order[1:], None), strict=False):
        now = np.minimum.reduceat(found[-1][moves.before] + cost[moves.part], moves.starts)
        now = np.minimum(now, NEVER)
        if after is None or after.batch != spot.batch:
            now[of_batch] = NEVER
        if after is None or after.place[0] != spot.place[0]:
            now[of_piece] = NEVER
        found.append(now)
    return found


def _begun(frames: Sequence[Frame], kinds: Sequence[_Kind], moves: _Moves) -> "Flags":
    """The states in which one of these frames is neither whole nor untouched."""
    import numpy as np

    found = np.zeros(len(moves.states), bool)
    for frame in frames:
        own = [at for at, kind in enumerate(kinds) if kind.frame is frame]
        laid = moves.states[:, own].sum(axis=1)
        found |= (laid > 0) & (laid < len(frame.rails))
    return found


def _cheapest(
    frames: Sequence[Frame], prizes: Mapping[str, int], kinds: Sequence[_Kind], moves: _Moves,
    costs: "Ints",
) -> int:  # fmt: skip
    """The state of whole frames that costs the least, the prizes of those frames taken off."""
    whole = {
        id(frame): sum(int(weight) * len(kind.rails) for kind, weight in own)
        for frame, own in (
            (frame, [(k, w) for k, w in zip(kinds, moves.weights, strict=True) if k.frame is frame])
            for frame in frames
        )
    }
    best, end = 0, 0
    for taken in product((False, True), repeat=len(frames)):
        cut = [frame for frame, take in zip(frames, taken, strict=True) if take]
        state = sum(whole[id(frame)] for frame in cut)
        cost = int(costs[state])
        if cost < NEVER and cost - sum(prizes[frame.id] for frame in cut) < best:
            best, end = cost - sum(prizes[frame.id] for frame in cut), state
    return end


def _way_to(
    end: int,
    order: Sequence[Spot],
    costs: Sequence["Ints"],
    moves: _Moves,
    reached: Sequence["Ints"],
) -> list[tuple[Spot, tuple[int, ...]]]:
    """The counts laid on each stretch on the cheapest way to a state."""
    found = []
    for at in range(len(order) - 1, -1, -1):
        low = int(moves.starts[end])
        high = int(moves.starts[end + 1]) if end + 1 < len(moves.starts) else len(moves.part)
        ways = reached[at][moves.before[low:high]] + costs[at][moves.part[low:high]]
        best = low + int(ways.argmin())
        if part := int(moves.part[best]):
            found.append((order[at], tuple(int(count) for count in moves.states[part])))
        end = int(moves.before[best])
    return found[::-1]
