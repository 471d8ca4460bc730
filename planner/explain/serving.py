"""The pieces that frames may come from, what those give and what a plan leaves of them.

Each is looked through once for all frames that are tied alike: an old rack has a hundred thousand.
"""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from functools import cached_property
from itertools import islice

from planner.stretches import Stretch, stretches
from planner.values import Cut, Frame, Micrometres, Piece, Problem

__all__ = ["LeftRack", "Serving"]

Runs = Mapping[str, tuple[Stretch, ...]]
Gone = Mapping[tuple[str, int], Sequence[Micrometres]]


class Serving:
    """The pieces that one frame may come from, and all others that are tied as it is."""

    def __init__(self, frame: Frame, pieces: list[Piece], runs: Runs, gone: Gone) -> None:
        self.frame, self.pieces, self._runs, self._gone = frame, pieces, runs, gone

    @cached_property
    def longest(self) -> int:
        """The longest rail that one of them gives."""
        rooms = ((piece, run.length) for piece in self.pieces for run in self._runs[piece.id])
        return max((min(piece.longest or room, room) for piece, room in rooms), default=0)

    @cached_property
    def most(self) -> int:
        """What the best of them that a frame may come from together give in all."""
        alone = self.frame.one_piece or self.frame.pin is not None
        room: Counter[str] = Counter()
        for piece in self.pieces:
            together = piece.id if alone else piece.batch if self.frame.one_batch else ""
            room[together] += sum(run.length for run in self._runs[piece.id])
        return max(room.values(), default=0)

    def left(self, frame: Frame) -> list[int]:
        """What the plan leaves that a frame may use beside new sticks, longest first.

        Nothing for a frame of one piece or one batch: new sticks are neither of the rack's. Pieces
        too bowed for all of its rails are left out.
        """
        if frame.one_piece or frame.pin is not None or (frame.one_batch and frame.batch is None):
            return []
        longest = max(frame.rails)
        rooms = (room for room, piece in self._left if piece.gives(longest))
        # So many rails need no more stretches than that, and the longest serve as well as any.
        return [*islice(rooms, len(frame.rails))]

    @cached_property
    def _left(self) -> list[tuple[int, Piece]]:
        rooms = [(run.usable_left(self._gone.get((piece.id, number), ())), piece)
                 for piece in self.pieces
                 for number, run in enumerate(self._runs[piece.id])]  # fmt: skip
        return sorted(rooms, key=lambda one: one[0], reverse=True)


class LeftRack:
    """The pieces of a profile as a plan leaves them."""

    def __init__(self, problem: Problem, profile: str, cuts: Sequence[Cut]) -> None:
        rules = problem.rules_of(profile)
        self.pieces = [piece for piece in problem.pieces if piece.profile == profile]
        self.kept_for = {piece.kept_for for piece in self.pieces}
        self._runs = {piece.id: stretches(piece, rules) for piece in self.pieces}
        self._gone = {(one.piece, one.stretch): [rail.length for rail in one.rails] for one in cuts}
        self._served = dict[tuple[object, ...], Serving]()
        self._of_batch = defaultdict[str, list[Piece]](list)
        self._named = dict[str, list[Piece]]()
        for piece in self.pieces:
            self._of_batch[piece.batch].append(piece)
            self._named[piece.id] = [piece]

    def served(self, frame: Frame) -> Serving:
        """What there is for this frame."""
        tie = frame.pin, frame.batch, frame.takes, frame.one_batch, frame.one_piece
        if tie not in self._served:
            near = self.pieces
            if frame.pin is not None:
                near = self._named.get(frame.pin, [])
            elif frame.batch is not None:
                near = self._of_batch.get(frame.batch, [])
            serving = [piece for piece in near if piece.serves(frame)]
            self._served[tie] = Serving(frame, serving, self._runs, self._gone)
        return self._served[tie]
