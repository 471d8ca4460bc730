"""Every way to cut a piece into today's rails: the patterns the exact planner chooses among."""

from collections.abc import Iterator
from dataclasses import dataclass

from planner.model.profile_model import Model
from planner.stop import Stop

__all__ = ["Counts", "Pattern", "TooMany", "patterns_of_type"]

Counts = tuple[int, ...]


class TooMany(Exception):
    """There are more patterns than this way of planning takes."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """One way to cut one type of piece.

    ``split`` counts rails by length for each stretch (in the type's order), ``bundles`` the
    frames cut whole from the piece, by the model's bundle order; ``loose`` counts the other
    rails. ``gain`` is Σ worth(leftovers), less what an offcut was worth uncut, um.
    """

    kind: int
    split: tuple[Counts, ...]
    bundles: Counts
    loose: Counts
    gain: int


def patterns_of_type(model: Model, number: int, most: int, stop: Stop) -> list[Pattern]:
    """The patterns of one type of piece.

    Raises:
        TooMany: there are more than ``most``, or too many for the time that is left.
    """
    kind, found = model.types[number], []
    for counts, (split, gain) in _whole(model, number, most, stop).items():
        for bundles, loose in _dealt(model, number, counts):
            found.append(Pattern(number, split, bundles, loose, gain - kind.before))
    return found


def _whole(
    model: Model, number: int, most: int, stop: Stop
) -> dict[Counts, tuple[tuple[Counts, ...], int]]:
    """Rails by length -> the split over the stretches of best worth, and that worth."""
    nothing, worth_left = tuple(0 for _ in model.lengths), model.worth_left(number)
    best: dict[Counts, tuple[tuple[Counts, ...], int]] = {nothing: ((), 0)}
    for stretch in model.types[number].stretches:
        parts = list(_fits(model, number, stretch, most, stop))
        longer: dict[Counts, tuple[tuple[Counts, ...], int]] = {}
        for counts, (split, gain) in best.items():
            for part, left in parts:
                if stop.over():
                    raise TooMany
                both = tuple(a + b for a, b in zip(counts, part, strict=True))
                worth = gain + worth_left(left)
                if all(a <= b for a, b in zip(both, model.asked, strict=True)) and (
                    both not in longer or worth > longer[both][1]
                ):
                    longer[both] = ((*split, part), worth)
            if len(longer) > most:
                raise TooMany
        best = longer
    best.pop(nothing, None)
    return best


def _fits(
    model: Model, kind: int, stretch: int, most: int, stop: Stop
) -> Iterator[tuple[Counts, int]]:
    """Every count of rails one stretch takes, with what it leaves."""
    c, lengths = model.allowance, model.lengths
    asked = [n if model.may(kind, i) else 0 for i, n in enumerate(model.asked)]
    made = 0

    def longer(index: int, counts: list[int], room: int) -> Iterator[tuple[Counts, int]]:
        nonlocal made
        if index == len(lengths):
            made += 1
            if made > most or (made % 1000 == 0 and stop.over()):
                raise TooMany
            # With no rail at all the allowance added to the room was never used.
            yield tuple(counts), max(0, room - c) if any(counts) else stretch
            return
        need = model.item_sizes[index]
        for count in range(min(asked[index], room // need) + 1):
            yield from longer(index + 1, [*counts, count], room - count * need)

    yield from longer(0, [], stretch + c)


def _dealt(model: Model, kind: int, counts: Counts) -> Iterator[tuple[Counts, Counts]]:
    """The ways to deal a piece's rails out: frames cut whole from it, and loose rails."""

    def deal(index: int, taken: list[int], left: Counts) -> Iterator[tuple[Counts, Counts]]:
        if index == len(model.bundles):
            if all(a <= b for a, b in zip(left, model.loose, strict=True)):
                yield tuple(taken), left
            return
        group = model.groups[model.bundles[index]]
        count = 0
        while min(left) >= 0 and count <= len(group.frames):
            yield from deal(index + 1, [*taken, count], left)
            if kind not in group.types:
                return
            count += 1
            left = tuple(a - b for a, b in zip(left, group.rails, strict=True))

    yield from deal(0, [], counts)
