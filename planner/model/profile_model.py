"""One profile's problem with everything alike put together: equal pieces, equal frames."""

from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cache, cached_property, partial
from math import inf
from typing import Literal

import numpy as np
import numpy.typing as npt

from planner.score import cut_by_due
from planner.sorting import by_age, by_due
from planner.stop import Stop
from planner.stretches import stretches
from planner.values import Frame, Micrometres, Piece, Problem, Rules
from planner.worth import Worth, worth_of

__all__ = ["Counts", "FrameGroup", "Model", "PieceType", "Way", "model_of"]

Ints = npt.NDArray[np.int64]
# A type of piece, and how many of each item are cut from it.
Counts = tuple[int, ...]
Way = tuple[int, Counts]
Link = Literal["free", "batch", "piece"]
_Asked = tuple[tuple[Micrometres, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class PieceType:
    """Pieces that serve alike: same usable stretches, kind, length, and batch where it matters.

    ``barred`` are the lengths that they don't give (as a bowed piece no long rail). ``margin`` is
    kept back on each stretch; what its rails leave is worth ``Model.worth_left``.
    ``stretches`` are usable lengths; ``before`` is the worth of an offcut left
    alone (0 for sticks); ``pieces`` are the ids, oldest first, ``ranks`` their places in age.
    """

    stretches: tuple[int, ...]
    stick: bool
    length: Micrometres
    batch: str
    before: int
    pieces: tuple[str, ...] = ()
    ranks: tuple[int, ...] = ()
    margin: Micrometres = 0
    barred: frozenset[int] = frozenset()

    @property
    def opened(self) -> int:
        """Stick length opened when one of these is used."""
        return self.length if self.stick else 0


@dataclass(frozen=True, slots=True)
class FrameGroup:
    """Frames that ask alike: the same rails, due date and ties.

    ``rails`` counts rails by index into the model's lengths. ``link`` says what ties a frame's
    rails together: nothing, one of ``batches``, or one piece of the ``types``. ``tier`` is the
    place of the due date, earliest 0; each of the ``frames`` counts for ``stands_for``.
    """

    rails: tuple[Micrometres, ...]
    tier: int
    link: Link
    batches: tuple[str, ...]
    types: tuple[int, ...]
    frames: tuple[str, ...] = ()
    stands_for: int = 1


@dataclass(frozen=True)
class Model:
    """A profile's problem ready for a solver.

    ``lengths`` are the distinct rail lengths, longest first, apart by what their frames take
    (``takes``); ``tiers`` the frames asked of each due date, earliest first. ``splits`` tell which
    rails lie on which stretch, for ways to cut pieces of several, as it is worth most so far.
    """

    problem: Problem
    lengths: tuple[Micrometres, ...]
    takes: tuple[tuple[str, ...], ...]
    types: tuple[PieceType, ...]
    groups: tuple[FrameGroup, ...]
    tiers: tuple[int, ...]
    batched: bool
    rules: Rules
    worth: Worth
    splits: dict[Way, tuple[Counts, ...]] = field(default_factory=dict)

    @property
    def allowance(self) -> Micrometres:
        """What the last cut needs nothing of where it runs off the end."""
        return self.rules.cut_allowance

    @cached_property
    def _lengths(self) -> dict[tuple[Micrometres, tuple[str, ...]], int]:
        return {key: i for i, key in enumerate(zip(self.lengths, self.takes, strict=True))}

    def length_of(self, frame: Frame, rail: int) -> int:
        """Which of the ``lengths`` a frame's rail is."""
        return self._lengths[frame.rails[rail], frame.takes]

    def may(self, kind: int, item: int) -> bool:
        """An item may come from this type of piece."""
        if item < len(self.lengths):
            return item not in self.types[kind].barred
        return kind in self.groups[self.bundles[item - len(self.lengths)]].types

    def items_of(self, kind: int) -> tuple[int, ...]:
        """The items asked that may come from this type of piece."""
        asked = enumerate(self.item_asked)
        return tuple(item for item, times in asked if times and self.may(kind, item))

    def worth_left(self, kind: int) -> Worth:
        """What a type of piece's leftovers are worth, by the usable length left."""
        return self._worths[self.types[kind].margin]

    def told(self, way: Way, parts: Sequence[Counts]) -> None:
        """Which rails lie on which stretch, for a way to cut a piece of several stretches."""
        own = tuple(parts)
        if way not in self.splits or self.left(way[0], own) > self.left(way[0], self.splits[way]):
            self.splits[way] = own

    def gain(self, way: Way) -> int:
        """What a way to cut gains; that of a piece of several stretches has been told before."""
        return self.left(way[0], self.parts(way)) - self.types[way[0]].before

    def parts(self, way: Way) -> tuple[Counts, ...]:
        """The rails that each stretch yields, by length."""
        kind, counts = way
        if len(self.types[kind].stretches) > 1:
            return self.splits[way]
        return (tuple((np.array(counts) @ self.contents).tolist()),)

    def left(self, kind: int, parts: Sequence[Counts]) -> int:
        """What is left of a type's stretches is worth after so many rails on each."""
        total = 0
        for stretch, counts in zip(self.types[kind].stretches, parts, strict=True):
            taken = sum(n * size for n, size in zip(counts, self.item_sizes, strict=False))
            total += self.worth_left(kind)(max(0, stretch - taken))
        return total

    @cached_property
    def _worths(self) -> dict[int, Worth]:
        return {kind.margin: self.worth.over(kind.margin) for kind in self.types}

    @cached_property
    def bundles(self) -> tuple[int, ...]:
        """The groups whose frames come whole from one piece, as indexes."""
        return tuple(g for g, group in enumerate(self.groups) if group.link == "piece")

    @cached_property
    def contents(self) -> Ints:
        """The rails of each item, by length: a rail each, then those of frames in one."""
        alone = np.eye(len(self.lengths), dtype=np.int64)
        return np.array([*alone, *(self.groups[g].rails for g in self.bundles)], np.int64)

    @cached_property
    def loose(self) -> tuple[int, ...]:
        """How many rails of each length are asked that are not tied to one piece."""
        groups = [g for g in self.groups if g.link != "piece"]
        return tuple(
            sum(g.rails[i] * len(g.frames) for g in groups) for i in range(len(self.lengths))
        )

    @cached_property
    def asked(self) -> tuple[int, ...]:
        """How many rails of each length are asked in all."""
        return tuple((np.array(self.item_asked) @ self.contents).tolist())

    @cached_property
    def item_sizes(self) -> tuple[int, ...]:
        """What each item takes of a stretch, allowance included."""
        rails = np.array([*map(self.rules.taken, self.lengths)], np.int64)
        return tuple((self.contents @ rails).tolist())

    @cached_property
    def item_asked(self) -> tuple[int, ...]:
        """How many of each item are asked."""
        return self.loose + tuple(len(self.groups[g].frames) for g in self.bundles)


def model_of(problem: Problem, stop: Stop | None = None) -> Model:
    """Put alike pieces and frames of a one-profile problem together.

    Raises:
        OutOfTime: this is to stop before that is done.
    """
    check = (stop or Stop(inf)).check
    profile = problem.frames[0].profile
    rules, worth = problem.rules_of(profile), worth_of(problem, profile)
    frames = sorted(problem.frames, key=by_due)
    pieces = sorted((p for p in problem.pieces if p.profile == profile), key=by_age)
    batched = len({p.batch for p in pieces}) > 1 and any(
        f.batch is not None or (f.one_batch and not _on_one(f)) for f in frames
    )
    asked = tuple(sorted({(n, f.takes) for f in frames for n in f.rails}, reverse=True))
    pinned, alike = {f.pin for f in frames}, defaultdict[tuple[PieceType, str], list[int]](list)
    barred = cache(partial(_barred, asked))
    for rank, piece in enumerate(pieces):
        check()
        kind = _kind(piece, rules, worth, batched, barred(piece.kept_for, piece.longest))
        alike[kind, piece.id if piece.id in pinned else ""].append(rank)
    types = tuple(
        replace(kind, pieces=tuple(pieces[rank].id for rank in ranks), ranks=tuple(ranks))
        for (kind, _), ranks in alike.items()
    )
    days = cut_by_due(problem, {f.id for f in frames})
    groups = _groups(frames, pieces, types, asked, [*days], check)
    lengths, takes = (tuple(parts) for parts in zip(*asked, strict=True))
    return Model(problem, lengths, takes, types, groups, (*days.values(),), batched, rules, worth)


def _on_one(frame: Frame) -> bool:
    """All rails of this frame come from one piece anyway."""
    return frame.one_piece or frame.pin is not None or len(frame.rails) == 1


def _barred(asked: _Asked, kept_for: str, longest: Micrometres | None) -> frozenset[int]:
    """The rails that a piece kept for this, and bowed as this, does not give."""
    return frozenset(
        at
        for at, (length, takes) in enumerate(asked)
        if kept_for not in takes or (longest is not None and length > longest)
    )


def _kind(
    piece: Piece, rules: Rules, worth: Worth, batched: bool, barred: frozenset[int]
) -> PieceType:
    """The type that a piece is of, without its pieces."""
    stick, margin = piece.kind == "stick", rules.margin if piece.kind == "offcut" else 0
    lengths = tuple(run.length for run in stretches(piece, rules))
    return PieceType(
        lengths, stick,
        length=piece.length if stick else 0,
        batch=piece.batch if batched else "",
        before=0 if stick else sum(worth(length + margin) for length in lengths),
        margin=margin,
        barred=barred,
    )  # fmt: skip


def _groups(
    frames: list[Frame],
    pieces: list[Piece],
    types: tuple[PieceType, ...],
    asked: _Asked,
    days: list[date],
    check: Callable[[], None],
) -> tuple[FrameGroup, ...]:
    """The frames by what they ask, those of one piece by the types they may come from too."""
    batch_of = {p.id: p.batch for p in pieces}
    batches = sorted(set(batch_of.values()))
    alike: dict[FrameGroup, list[str]] = defaultdict(list)
    for frame in frames:
        check()
        where = tuple(batch for batch in batches if frame.batch in (None, batch))
        link = _link(frame, len(batches) > 1 or not where)
        count = Counter((length, frame.takes) for length in frame.rails)
        rails = tuple(count[key] for key in asked)
        may = tuple(
            t for t, kind in enumerate(types if link == "piece" else ())
            if batch_of[kind.pieces[0]] in where
            and (frame.pin is None or frame.pin in kind.pieces)
            and not any(rails[i] for i in kind.barred)
        )  # fmt: skip
        alike[FrameGroup(
            rails, days.index(by_due(frame)[0]), link, where if link == "batch" else (),
            may, stands_for=frame.stands_for,
        )].append(frame.id)  # fmt: skip
    return tuple(replace(group, frames=tuple(ids)) for group, ids in alike.items())


def _link(frame: Frame, choice: bool) -> Link:
    """What holds a frame's rails together, where there is a choice of batches or none at all."""
    if frame.pin is not None or (frame.one_piece and len(frame.rails) > 1):
        return "piece"
    bound = frame.batch is not None or (frame.one_batch and len(frame.rails) > 1)
    return "batch" if bound and choice else "free"
