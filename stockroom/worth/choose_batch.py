"""Frames that must come whole from one batch, cut where the batches then are worth the most."""

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from heapq import nsmallest
from itertools import pairwise, product
from typing import NamedTuple

from planner.score import Laid
from planner.sorting import by_due
from planner.stretches import stretches
from planner.values import Frame, Micrometres, Piece, Problem, Rules
from stockroom.worth.by_batch import BatchWorth, Lot

__all__ = ["BatchTaken", "Batches", "given_up", "laid_of", "lying_by_batch"]

Place = tuple[str, int]
Counts = tuple[int, ...]
BEAM = 6
EACH = 4
"""Stretches that are looked at for each count of rails, the cheapest by themselves first."""
WAYS = 12
"""Ways of cutting a frame from a batch that are weighed by what the whole batch is worth after."""


class BatchLying(NamedTuple):
    """A stretch on the rack: what is left of it, um, and whether its stick is not yet opened."""

    length: Micrometres
    place: Place
    stick: bool


Batch = tuple[BatchLying, ...]


class BatchTaken(NamedTuple):
    """A frame cut from a batch: where each rail goes."""

    frame: str
    batch: str
    rails: tuple[tuple[Place, int], ...]


@dataclass(frozen=True, slots=True)
class _Node:
    """Some frames laid: what that cost (um), what then lies of each batch, and where they went."""

    cost: int
    rack: Mapping[str, Batch]
    taken: tuple[BatchTaken, ...]


def lying_by_batch(pieces: Iterable[Piece], rules: Rules) -> dict[str, Batch]:
    """What lies of each batch, shortest first."""
    found: dict[str, list[BatchLying]] = {}
    for piece in pieces:
        for number, stretch in enumerate(stretches(piece, rules)):
            lying = BatchLying(stretch.length, (piece.id, number), piece.kind == "stick")
            found.setdefault(piece.batch, []).append(lying)
    return {batch: tuple(sorted(all_of)) for batch, all_of in found.items()}


def lots(batch: Batch) -> tuple[Lot, ...]:
    """A batch as its worth sees it."""
    return tuple((lying.length, lying.stick) for lying in batch)


class Batches:
    """The batches of one profile on a day, while frames are laid on them."""

    def __init__(self, problem: Problem, profile: str, worth: BatchWorth) -> None:
        self.rules, self.worth = problem.rules_of(profile), worth
        pieces = [piece for piece in problem.pieces if piece.profile == profile]
        self.rack = lying_by_batch(pieces, self.rules)
        self._ways: dict[tuple[Batch, Counts, Counts], list[tuple[int, Batch, list[Place]]]] = {}

    def plan(self, frames: Iterable[Frame], due: Collection[str]) -> tuple[BatchTaken, ...]:
        """Lays the frames, the earliest due first, so that the batches lose the least worth.

        A frame that is not due is cut only where its batch loses less by it than its rails and
        allowances are long, and only from a small batch. A few of the cheapest ways so far are
        followed (beam search).
        """
        nodes = [_Node(0, self.rack, ())]
        for frame in sorted(frames, key=by_due):
            late = frame.id in due
            found = {} if late else {key_of(node.rack): self.waits(node, frame) for node in nodes}
            for node in nodes:
                for more in self.laid(node, frame, late):
                    key = key_of(more.rack)
                    if key not in found or more.cost < found[key].cost:
                        found[key] = more
            nodes = nsmallest(BEAM, found.values(), key=lambda node: node.cost) or nodes
        return nodes[0].taken

    def is_small(self, batch: str) -> bool:
        """Whether so little lies of a batch that only whole frames count."""
        return self.worth.is_small(lots(self.rack[batch]))

    def waits(self, node: _Node, frame: Frame) -> _Node:
        """The frame is left for later, when it will take its length."""
        need = sum(rail + self.rules.cut_allowance for rail in frame.rails)
        return replace(node, cost=node.cost + need)

    def laid(self, node: _Node, frame: Frame, late: bool) -> Iterator[_Node]:
        """The frame cut in every way that is weighed."""
        lengths = tuple(sorted(set(frame.rails), reverse=True))
        asked = tuple(Counter(frame.rails)[length] for length in lengths)
        for batch, lying in node.rack.items():
            if frame.batch not in (None, batch) or not (late or self.worth.is_small(lots(lying))):
                continue
            for cost, after, places in self.ways(lying, lengths, asked):
                rails = sorted(range(len(frame.rails)), key=lambda i: (-frame.rails[i], i))
                taken = BatchTaken(frame.id, batch, tuple(zip(places, rails, strict=True)))
                yield _Node(node.cost + cost, {**node.rack, batch: after}, (*node.taken, taken))

    def ways(
        self, batch: Batch, lengths: Counts, asked: Counts
    ) -> list[tuple[int, Batch, list[Place]]]:
        """Ways of cutting a frame from a batch: the worth lost, what then lies, the rails' places.

        The places are of the rails longest first.
        """
        key = batch, lengths, asked
        if key not in self._ways:
            before = self.worth(lots(batch))
            found = []
            for way in nsmallest(WAYS, self.splits(batch, lengths, asked)):
                after = list(batch)
                for _, number, left, _ in way[1]:
                    after[number] = BatchLying(left, batch[number].place, stick=False)
                rest = tuple(sorted(lying for lying in after if lying.length))
                places = [
                    batch[number].place for kind in range(len(lengths))
                    for _, number, _, counts in way[1] for _ in range(counts[kind])
                ]  # fmt: skip
                found.append((before - self.worth(lots(rest)), rest, places))
            self._ways[key] = found
        return self._ways[key]

    def splits(
        self, batch: Batch, lengths: Counts, asked: Counts
    ) -> Iterator[tuple[int, tuple[tuple[int, int, int, Counts], ...]]]:
        """Ways of spreading the rails over stretches, with what that costs stretch by stretch."""
        options = {counts: self.options(batch, lengths, counts) for counts in parts_in(asked)}
        for split in splits_of(asked):
            for chosen in product(*(options[counts] for counts in split)):
                numbers = [option[1] for option in chosen]
                twice = any(a[3] == b[3] and a[1] > b[1] for a, b in pairwise(chosen))
                if len(set(numbers)) == len(numbers) and not twice:
                    yield sum(option[0] for option in chosen), chosen

    def options(
        self, batch: Batch, lengths: Counts, counts: Counts
    ) -> list[tuple[int, int, int, Counts]]:
        """The stretches that lose least by these rails: (loss, number, what is left, the rails)."""
        allowance, piece = self.rules.cut_allowance, self.worth.piece
        size = sum(a * (b + allowance) for a, b in zip(counts, lengths, strict=True))
        found = []
        for number, lying in enumerate(batch):
            left = max(0, lying.length - size)
            if lying.length - size >= -allowance:
                left = left if left >= self.rules.keep else 0
                before = lying.length if lying.stick else piece(lying.length)
                found.append((before - piece(left), number, left, counts))
        return nsmallest(EACH, found)


def key_of(rack: Mapping[str, Batch]) -> frozenset[tuple[str, tuple[Lot, ...]]]:
    """Racks on which the same lengths lie are the same."""
    return frozenset((batch, lots(lying)) for batch, lying in rack.items())


@lru_cache(64)
def parts_in(asked: Counts) -> tuple[Counts, ...]:
    """The counts of rails that one stretch may yield."""
    every = product(*(range(count + 1) for count in asked))
    return tuple(counts for counts in every if any(counts))


@lru_cache(64)
def splits_of(asked: Counts) -> tuple[tuple[Counts, ...], ...]:
    """All ways of splitting these rails over stretches, in which order does not count."""
    parts = parts_in(asked)
    found: list[tuple[Counts, ...]] = []

    def split(left: Counts, first: int, so_far: tuple[Counts, ...]) -> None:
        if not any(left):
            found.append(so_far)
        for at in range(first, len(parts)):
            rest = tuple(a - b for a, b in zip(left, parts[at], strict=True))
            if min(rest) >= 0:
                split(rest, at, (*so_far, parts[at]))

    split(asked, 0, ())
    return tuple(found)


def laid_of(taken: Sequence[BatchTaken]) -> Laid:
    """What is taken, stretch by stretch."""
    laid: Laid = {}
    for one in taken:
        for place, rail in one.rails:
            laid.setdefault(place, []).append((one.frame, rail))
    return laid


def given_up(pieces: Iterable[Piece], worth: BatchWorth, least: int) -> frozenset[str]:
    """The offcuts of one profile that add less than ``least`` (um) to what their batch is worth.

    The one that adds the least goes first; the others are then asked again without it.
    """
    found: set[str] = set()
    for lying in lying_by_batch(pieces, worth.rules).values():
        rest = lying
        while True:
            whole = worth(lots(rest))
            names = sorted({one.place[0] for one in rest if not one.stick})
            adds = [(whole - worth(lots(without(rest, name))), name) for name in names]
            if not adds or min(adds)[0] >= least:
                break
            found.add(min(adds)[1])
            rest = without(rest, min(adds)[1])
    return frozenset(found)


def without(batch: Batch, piece: str) -> Batch:
    """A batch without one of its pieces."""
    return tuple(lying for lying in batch if lying.place[0] != piece)
