"""A few frames laid on pieces together, where that costs least: exact for them, in milliseconds."""

import math
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

    ``cost`` is the worth of what is left of it, or the length of a stick not yet opened; ``worth``
    is that of what its rails leave of the room.
    """

    place: Place
    piece: Piece
    room: int
    cost: int
    worth: Worth


@dataclass(frozen=True, slots=True)
class _Kind:
    """The rails of one length of one frame, by number."""

    frame: Frame
    length: Micrometres
    numbers: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Moves:
    """All counts of rails laid, and all ways to go from one to another on one stretch.

    ``before`` and ``part`` are numbers of states, ordered by where they lead; those that lead to
    state s stand from ``starts[s]``.
    """

    states: "Ints"
    before: "Ints"
    part: "Ints"
    starts: "Ints"


def laid_jointly(
    frames: Sequence[Frame], prizes: Mapping[str, int], spots: Sequence[Spot], rules: Rules
) -> Laying:
    """Where these frames go: which of them are cut, and from what, at the least cost in all.

    The cost is that of what is taken, less the worth of what is left, less the prize (um) of each
    frame that is cut. Each frame is cut whole or not at all, and its batch, piece and pin are kept.
    Dynamic programming over the stretches, over how many rails of each length are laid.
    """
    kinds = _kinds(frames)
    moves = _moves(tuple(len(kind.numbers) for kind in kinds))
    order = sorted(spots, key=lambda spot: (spot.piece.batch, spot.place))
    costs = [_costs(spot, kinds, moves, rules) for spot in order]
    reached = _reached(order, costs, kinds, moves)
    end = _cheapest(prizes, kinds, moves, reached[-1])
    waiting = [list(kind.numbers) for kind in kinds]
    found: Laying = {}
    for spot, counts in _way_to(end, order, costs, moves, reached):
        for kind, rails, count in zip(kinds, waiting, counts, strict=True):
            for _ in range(count):
                found.setdefault(kind.frame.id, []).append((spot.place, rails.pop(0)))
    return found


def states_of(frame: Frame) -> int:
    """By how much a frame multiplies the states that must be looked at."""
    return math.prod(len(kind.numbers) + 1 for kind in _kinds([frame]))


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
    to, part = np.zeros(1, np.int64), np.zeros(1, np.int64)
    for count in counts:
        end, taken = np.tril_indices(count + 1)
        to = (to[:, None] * (count + 1) + end).ravel()
        part = (part[:, None] * (count + 1) + taken).ravel()
    order = np.lexsort((part, to))
    to, part = to[order], part[order]
    return _Moves(states, to - part, part, np.searchsorted(to, np.arange(len(states))))


def _costs(spot: Spot, kinds: Sequence[_Kind], moves: _Moves, rules: Rules) -> "Ints":
    """What it costs to lay each count of rails on this stretch; nothing where none is laid."""
    import numpy as np

    left = spot.room - moves.states @ np.array([rules.taken(k.length) for k in kinds], np.int64)
    barred = [not (spot.piece.serves(k.frame) and spot.piece.gives(k.length)) for k in kinds]
    fits = (left >= -rules.cut_allowance) & ~moves.states[:, barred].any(axis=1)
    costs = np.full(len(left), NEVER, np.int64)
    costs[fits] = spot.cost - spot.worth.many(np.maximum(left[fits], 0))
    costs[0] = 0
    return costs


def _reached(
    order: Sequence[Spot], costs: Sequence["Ints"], kinds: Sequence[_Kind], moves: _Moves
) -> list["Ints"]:
    """The least cost of every count of rails, before the first stretch and after each."""
    import numpy as np

    found = [np.where(moves.states.any(axis=1), NEVER, 0)]
    of_batch = _begun([kind for kind in kinds if kind.frame.one_batch], kinds, moves)
    of_piece = _begun([kind for kind in kinds if kind.frame.one_piece], kinds, moves)
    for spot, cost, after in zip(order, costs, (*order[1:], None), strict=False):
        now = np.minimum.reduceat(found[-1][moves.before] + cost[moves.part], moves.starts)
        now = np.minimum(now, NEVER)
        if after is None or after.piece.batch != spot.piece.batch:
            now[of_batch] = NEVER
        if after is None or after.piece is not spot.piece:
            now[of_piece] = NEVER
        found.append(now)
    return found


def _begun(some: Sequence[_Kind], kinds: Sequence[_Kind], moves: _Moves) -> "Flags":
    """The states in which the frame of some of the kinds is neither whole nor untouched."""
    import numpy as np

    found = np.zeros(len(moves.states), bool)
    for frame in {id(kind.frame): kind.frame for kind in some}.values():
        laid = moves.states[:, [kind.frame is frame for kind in kinds]].sum(axis=1)
        found |= (laid > 0) & (laid < len(frame.rails))
    return found


def _cheapest(
    prizes: Mapping[str, int], kinds: Sequence[_Kind], moves: _Moves, costs: "Ints"
) -> int:
    """The state of whole frames that costs the least, the prizes of those frames taken off."""
    import numpy as np

    # The first rail of a frame has its prize.
    first = [at == 0 or kinds[at - 1].frame is not kind.frame for at, kind in enumerate(kinds)]
    won = [prizes[kind.frame.id] * own for kind, own in zip(kinds, first, strict=True)]
    less = (moves.states > 0) @ np.array(won, np.int64)
    return int(np.where(_begun(kinds, kinds, moves), NEVER, costs - less).argmin())


def _way_to(
    end: int,
    order: Sequence[Spot],
    costs: Sequence["Ints"],
    moves: _Moves,
    reached: Sequence["Ints"],
) -> list[tuple[Spot, list[int]]]:
    """The counts laid on each stretch on the cheapest way to a state."""
    found, ends = [], [*moves.starts[1:], len(moves.part)]
    for at in range(len(order) - 1, -1, -1):
        ways = slice(moves.starts[end], ends[end])
        before, part = moves.before[ways], moves.part[ways]
        best = int((reached[at][before] + costs[at][part]).argmin())
        found.append((order[at], moves.states[part[best]].tolist()))
        end = int(before[best])
    return found[::-1]
