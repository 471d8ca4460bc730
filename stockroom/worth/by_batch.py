"""What the pieces of one batch are worth together, where a frame must come from one batch."""

from collections.abc import Iterable, Sequence
from itertools import accumulate, combinations
from random import Random

from planner.values import Micrometres, Rules
from planner.worth import Worth
from stockroom.worth.by_fill import fill_worth
from stockroom.worth.fits import packs

__all__ = ["BatchWorth", "Lot"]

Rails = tuple[int, ...]
Lot = tuple[int, bool]
"""A stretch of a batch: its usable length, um, and whether it is of a stick not yet opened."""

STEP_UM = 1_000
AHEAD = 12
WINDOWS = 40
TOGETHER = 3
"""How many of the next frames a small batch may yield."""
TRIES = 40
SMALL_UM = 4_000_000
STRAIGHT_UM = 6_000_000
"""Past this a batch loses no more at its end, however long it is."""
RACKED_UM = 40_000
ENOUGH = 10
"""Frames at which history and default weigh the same in the blend."""


class BatchWorth:
    """The worth of all that lies of one batch, by a profile's own frames; call it with its lots.

    A small batch (at most 4 m) is worth 0.99 times the most length of whole frames, allowances
    included, that the next 12 frames would cut from it, less 40 mm for each offcut, which takes
    room: the mean over draws of 12 from the history. What makes no whole frame is worth nothing.
    A larger one is worth the same of its length, as if it were one piece, less what each offcut
    loses alone, since a rail can't run over two. Blended with the default, lot by lot: of n
    frames the history counts n / (n + 10).

    Raises:
        ValueError: ``longest``, the longest stick (um), is no longer than the keep length.
    """

    def __init__(
        self, frames: Sequence[Rails], rules: Rules, longest: Micrometres, racked: int = RACKED_UM
    ) -> None:
        if longest <= rules.keep:
            raise ValueError(f"no worth of batches of sticks of {longest} um")
        self.rules, self.racked, self.count = rules, racked, len(frames)
        self.default = Worth(rules.keep, None)
        self.draws = drawn(frames, rules)
        self.fills = whole_fills(frames, rules)
        self.alone = fill_worth(frames, rules, longest, whole=False, ahead=8)
        self._known: dict[tuple[Lot, ...], int] = {}

    def __call__(self, lots: Iterable[Lot]) -> int:
        """Worth together, um."""
        state = tuple(sorted(lots))
        if state not in self._known:
            default = sum(length if stick else self.default(length) for length, stick in state)
            own = self._own(state) if self.count else default
            self._known[state] = (self.count * own + ENOUGH * default) // (self.count + ENOUGH)
        return self._known[state]

    def piece(self, length: Micrometres) -> int:
        """What an offcut is worth beside plenty of its batch, um: the next rails may take it."""
        if length < self.rules.keep:
            return 0
        fill = self.alone[min(length // STEP_UM, len(self.alone) - 1)] if self.count else 0.0
        own = max(0, round(990 * fill) - self.racked)
        default = self.default(length)
        return (self.count * own + ENOUGH * default) // (self.count + ENOUGH)

    def is_small(self, lots: Iterable[Lot]) -> bool:
        """Whether so little lies of a batch that only whole frames count."""
        return sum(length for length, _ in lots) <= SMALL_UM

    def _own(self, state: tuple[Lot, ...]) -> int:
        total = sum(length for length, _ in state)
        offcuts = [length for length, stick in state if not stick]
        if total <= SMALL_UM:
            found = self._yielded([length for length, _ in state], total)
            return max(0, 99 * found // (100 * len(self.draws)) - self.racked * len(offcuts))
        at = min(total, STRAIGHT_UM) // STEP_UM
        whole = total - (at * STEP_UM - round(self.fills[at] * STEP_UM))
        return 99 * whole // 100 - sum(length - self.piece(length) for length in offcuts)

    def _yielded(self, lengths: Sequence[Micrometres], total: int) -> int:
        """The most that each draw of frames cuts from these lengths, all draws together."""
        allowance = self.rules.cut_allowance
        rooms = [length + allowance for length in lengths]
        room, longest = sum(rooms), max(rooms, default=0)
        fits: dict[Rails, bool] = {}
        found = 0
        for draw in self.draws:
            tries = 0
            for need, rails in draw:
                if need > room or rails[0] > longest:
                    continue
                if rails not in fits:
                    fits[rails] = packs(rails, rooms)
                tries += 1
                if fits[rails] or tries > TRIES:
                    found += min(need, total) if fits[rails] else 0
                    break
        return found


def drawn(frames: Sequence[Rails], rules: Rules) -> list[list[tuple[int, Rails]]]:
    """Draws of frames from the history: of each, what up to three of them need, most first.

    The rails are with their allowances, longest first. The same history gives the same draws.
    """
    luck = Random(len(frames))
    sizes = [tuple(rail + rules.cut_allowance for rail in rails) for rails in frames]
    most = SMALL_UM + len(sizes[0]) * rules.cut_allowance if sizes else 0
    found = []
    for _ in range(WINDOWS if sizes else 0):
        draw = [luck.choice(sizes) for _ in range(AHEAD)]
        sets = {
            tuple(sorted((size for frame in some for size in frame), reverse=True))
            for count in range(1, TOGETHER + 1)
            for some in combinations(draw, count)
            if sum(map(sum, some)) <= most
        }
        found.append(sorted(((sum(rails), rails) for rails in sets), reverse=True))
    return found


def whole_fills(frames: Sequence[Rails], rules: Rules) -> list[float]:
    """How much whole frames fill, mm, of one piece of each whole millimetre, never falling."""
    return list(accumulate(fill_worth(frames, rules, STRAIGHT_UM, whole=True, ahead=AHEAD), max))
