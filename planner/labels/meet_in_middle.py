"""What some pieces can yield together: for each set of rails the least that is lost by it.

Pieces are taken one after another; sets of rails that come out alike are one, with the least
loss. Losses are whole numbers, so what is ruled out for losing too much is ruled out for certain.
What is spent of a budget may be counted otherwise than the loss, by sharper prices: of equal sets
the one of the least loss is kept, and let go once either is too much.

Source: dynamic programming over states with bounds, Morin and Marsten, "Branch-and-bound
strategies for dynamic programming", Operations Research 24 (1976); taking the pieces from both
ends is Horowitz and Sahni's meeting in the middle, Journal of the ACM 21 (1974).
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planner.labels.packed_counts import Packed, Packing
from planner.stop import OutOfTime, Stop

__all__ = ["Choice", "Half", "both_halves"]

Ints = npt.NDArray[np.int64]
# So many sums are looked at for one piece: for each state that may be kept, in all, and at once.
EACH, SUMS, CHUNK = 40, 12_000_000, 1_000_000


@dataclass(frozen=True, slots=True)
class Choice:
    """The ways to cut one piece, least spent first: rails, loss, and the column (-1: not cut)."""

    yields: Packed
    loss: Ints
    spent: Ints
    columns: Ints

    @property
    def least(self) -> tuple[int, int]:
        """The least that is lost, and that is spent."""
        return (int(self.loss.min()), int(self.spent[0])) if len(self.loss) else (0, 0)


@dataclass(frozen=True, slots=True)
class _Step:
    """Where each state came from: its state before, and the column it added."""

    before: Ints
    column: Ints


@dataclass(frozen=True, slots=True)
class _Sums:
    """States with one more piece: what they yield and lose, and what they were made of."""

    key: Ints
    loss: Ints
    spent: Ints
    words: Ints
    state: Ints
    way: Ints

    def of(self, which: Ints) -> "_Sums":
        """These sums alone."""
        return _Sums(
            self.key[which], self.loss[which], self.spent[which], self.words[:, which],
            self.state[which], self.way[which],
        )  # fmt: skip

    def with_more(self, others: "list[_Sums]") -> "_Sums":
        """These sums, then the others."""
        if not others:
            return self
        every = (self, *others)
        parts = [(p.key, p.loss, p.spent, p.words, p.state, p.way) for p in every]
        return _Sums(*(np.concatenate(part, axis=-1) for part in zip(*parts, strict=True)))


class Half:
    """The states that the pieces taken so far reach, least spent first.

    ``whole`` turns false once states were left out for being too many.
    """

    def __init__(self, packing: Packing, width: int) -> None:
        self.packing, self.width, self.whole, self.sums = packing, width, True, 0
        self.yields = packing.packed(np.zeros((1, len(packing.most)), np.int64))
        self.loss, self.spent = np.zeros(1, np.int64), np.zeros(1, np.int64)
        self._steps: list[_Step] = []

    def __len__(self) -> int:
        return len(self.loss)

    def take(self, choice: Choice, most: tuple[int, int], stop: Stop) -> None:
        """Take one more piece; states of more loss than ``most``, or more spent, are no more.

        Raises:
            OutOfTime: time was over before the piece was taken.
        """
        counts = self._counts(choice, most[1])
        self.sums += int(counts.sum())
        turns = np.cumsum(counts) // CHUNK
        ways, waiting = np.arange(len(counts)), list[_Sums]()
        for some in np.split(ways, np.flatnonzero(np.diff(turns)) + 1):
            stop.check()
            waiting.append(self._sums(choice, some, counts[some], most[0]))
            if sum(len(part.loss) for part in waiting) > self.width + CHUNK:
                waiting = [self._least(waiting)]
        found = self._least(waiting)
        self.yields = Packed(found.key, found.words)
        self.loss, self.spent = found.loss, found.spent
        self._steps.append(_Step(found.state, choice.columns[found.way]))

    def _least(self, parts: "list[_Sums]") -> "_Sums":
        """Of equal sums the one of the least loss; the likeliest if they are too many."""
        found = parts[0].with_more(parts[1:])
        kept = _least_of_each(found.key, found.loss, found.spent)
        if len(kept) > self.width:
            kept, self.whole = kept[: self.width], False
        return found.of(kept)

    def _sums(self, choice: Choice, ways: Ints, counts: Ints, most: int) -> "_Sums":
        """The sums of the states that go on with these ways and are not too much."""
        way = np.repeat(ways, counts)
        state = np.arange(len(way)) - np.repeat(np.cumsum(counts) - counts, counts)
        loss = self.loss[state] + choice.loss[way]
        good = np.flatnonzero(loss <= most)
        state, way, loss = state[good], way[good], loss[good]
        words = self.yields.words[:, state] + choice.yields.words[:, way]
        good = np.flatnonzero(self.packing.within(words, self.packing.full))
        state, way = state[good], way[good]
        key = self.yields.key[state] + choice.yields.key[way]
        spent = self.spent[state] + choice.spent[way]
        return _Sums(key, loss[good], spent, words[:, good], state, way)

    def _counts(self, choice: Choice, budget: int) -> Ints:
        """For each way, how many states may go on with it."""
        counts = np.searchsorted(self.spent, budget - choice.spent, side="right")
        most = min(EACH * self.width, SUMS)
        if counts.sum() <= most:
            return counts
        self.whole = False
        low, high = -1, budget
        while high - low > 1:
            middle = (low + high) // 2
            counts = np.searchsorted(self.spent, middle - choice.spent, side="right")
            low, high = (middle, high) if counts.sum() <= most else (low, middle)
        return np.searchsorted(self.spent, low - choice.spent, side="right")

    def columns(self, state: int) -> Iterator[int]:
        """The columns by which a state was reached."""
        for step in reversed(self._steps):
            if step.column[state] >= 0:
                yield int(step.column[state])
            state = int(step.before[state])


def _least_of_each(key: Ints, loss: Ints, spent: Ints) -> Ints:
    """Of equal keys the one of the least loss, of those the first; in order of what is spent."""
    if not len(key):
        return np.zeros(0, np.int64)
    order = np.argsort(key)
    alike = key[order]
    starts = np.concatenate([[0], np.flatnonzero(alike[1:] != alike[:-1]) + 1])
    losses = loss[order]
    least = np.minimum.reduceat(losses, starts)
    counts = np.diff(np.append(starts, len(order)))
    # The sort need not be stable: of equal losses the lowest place is taken by name.
    places = np.where(losses == np.repeat(least, counts), order, len(order))
    first = np.minimum.reduceat(places, starts)
    return np.asarray(first[np.lexsort((first, least, spent[first]))])


def both_halves(
    packing: Packing,
    choices: list[Choice],
    budget: tuple[int, int],
    limits: tuple[int, int, Stop],
) -> tuple[Half, Half]:
    """The pieces dealt to two halves, so that neither has many more states than need be.

    ``budget``: what may be lost, and spent. ``limits``: states of each, sums looked at in all,
    and time.

    Raises:
        OutOfTime: sums or time were over before all pieces were taken.
    """
    width, sums, stop = limits
    first, second = Half(packing, width), Half(packing, width)
    choices = sorted(choices, key=lambda choice: len(choice.loss))
    if not all(len(choice.loss) for choice in choices):
        budget = (-1, -1)
    lost, spent = (sum(choice.least[n] for choice in choices) for n in (0, 1))
    spare = (budget[0] - lost, budget[1] - spent)
    low, high = 0, len(choices)
    least = [(0, 0), (0, 0)]
    while low < high:
        if first.sums + second.sums > sums:
            raise OutOfTime
        few, many = choices[low], choices[high - 1]
        at = int(len(first) * len(few.loss) > len(second) * len(many.loss))
        half, choice = (second, many) if at else (first, few)
        low, high = low + 1 - at, high - at
        least[at] = least[at][0] + choice.least[0], least[at][1] + choice.least[1]
        half.take(choice, (spare[0] + least[at][0], spare[1] + least[at][1]), stop)
    return first, second
