"""One profile's problem with everything alike put together: equal pieces, equal frames."""

from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Literal

from planner.sorting import by_age, by_due
from planner.stretches import stretches
from planner.values import Frame, Micrometres, Piece, Problem, Rules
from planner.worth import Worth, worth_of

__all__ = ["FrameGroup", "Model", "PieceType", "model_of"]

Link = Literal["free", "batch", "piece"]
_Asked = tuple[tuple[Micrometres, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class PieceType:
    """Pieces that serve alike: same usable stretches, kind, length, and batch where it matters.

    ``barred`` are the lengths that they don't give (as a bowed piece no long rail). ``margin`` is
    kept back on each stretch; what its rails leave is worth ``Model.worth_left``.
    ``stretches`` are usable lengths, longest first; ``before`` is the worth of an offcut left
    alone (0 for sticks); ``pieces`` are the ids, oldest first, ``ranks`` their places in age.
    """

    stretches: tuple[int, ...]
    stick: bool
    length: Micrometres
    batch: str
    before: int
    pieces: tuple[str, ...]
    ranks: tuple[int, ...]
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
    frames: tuple[str, ...]
    stands_for: int = 1


@dataclass(frozen=True)
class Model:
    """A profile's problem ready for a solver.

    ``lengths`` are the distinct rail lengths, longest first, apart by what their frames take
    (``takes``); ``tiers`` the frames asked of each due date, earliest first.
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

    def worth_left(self, kind: int) -> Worth:
        """What a type of piece's leftovers are worth, by the usable length left."""
        return self._worths[self.types[kind].margin]

    @cached_property
    def _worths(self) -> dict[int, Worth]:
        return {kind.margin: self.worth.over(kind.margin) for kind in self.types}

    @cached_property
    def bundles(self) -> tuple[int, ...]:
        """The groups whose frames come whole from one piece, as indexes."""
        return tuple(g for g, group in enumerate(self.groups) if group.link == "piece")

    @cached_property
    def loose(self) -> tuple[int, ...]:
        """How many rails of each length are asked that are not tied to one piece."""
        return self._asked("free", "batch")

    @cached_property
    def asked(self) -> tuple[int, ...]:
        """How many rails of each length are asked in all."""
        return self._asked("free", "batch", "piece")

    @cached_property
    def item_sizes(self) -> tuple[int, ...]:
        """What each item takes of a stretch, allowance included: rails, then frames in one."""
        rails = tuple(map(self.rules.taken, self.lengths))
        return rails + tuple(
            sum(n * size for n, size in zip(self.groups[g].rails, rails, strict=True))
            for g in self.bundles
        )

    @cached_property
    def item_asked(self) -> tuple[int, ...]:
        """How many of each item are asked."""
        return self.loose + tuple(len(self.groups[g].frames) for g in self.bundles)

    def _asked(self, *links: Link) -> tuple[int, ...]:
        groups = [g for g in self.groups if g.link in links]
        return tuple(
            sum(g.rails[i] * len(g.frames) for g in groups) for i in range(len(self.lengths))
        )


def model_of(problem: Problem) -> Model:
    """Put alike pieces and frames of a one-profile problem together."""
    profile = problem.frames[0].profile
    rules, worth = problem.rules_of(profile), worth_of(problem, profile)
    frames = sorted(problem.frames, key=by_due)
    pieces = sorted((p for p in problem.pieces if p.profile == profile), key=by_age)
    batched = len({p.batch for p in pieces}) > 1 and any(
        f.batch is not None or (f.one_batch and not _on_one(f)) for f in frames
    )
    asked = tuple(sorted({(n, f.takes) for f in frames for n in f.rails}, reverse=True))
    types = _types(problem, pieces, batched, asked, worth)
    days = sorted({f.due or date.max for f in frames})
    groups = _groups(frames, pieces, types, asked, days)
    tiers = tuple(sum(f.stands_for for f in frames if by_due(f)[0] == day) for day in days)
    lengths, takes = (tuple(parts) for parts in zip(*asked, strict=True))
    return Model(problem, lengths, takes, types, groups, tiers, batched, rules, worth)


def _on_one(frame: Frame) -> bool:
    """All rails of this frame come from one piece anyway."""
    return frame.one_piece or frame.pin is not None or len(frame.rails) == 1


def _types(
    problem: Problem, pieces: list[Piece], batched: bool, asked: _Asked, worth: Worth
) -> tuple[PieceType, ...]:
    alike: dict[tuple[object, ...], list[tuple[int, Piece]]] = defaultdict(list)
    runs: dict[str, tuple[int, ...]] = {}
    barred: dict[str, frozenset[int]] = {}
    pinned = {frame.pin for frame in problem.frames}
    rules = problem.rules_of(pieces[0].profile) if pieces else problem.rules
    for rank, piece in enumerate(pieces):
        usable = stretches(piece, rules)
        runs[piece.id] = tuple(sorted((s.length for s in usable), reverse=True))
        stick = piece.kind == "stick"
        own = piece.id if piece.id in pinned else ""
        batch = piece.batch if batched else ""
        barred[piece.id] = frozenset(
            i for i, (length, takes) in enumerate(asked)
            if piece.kept_for not in takes or not piece.gives(length)
        )  # fmt: skip
        key = (stick, runs[piece.id], piece.length if stick else 0, batch, own, barred[piece.id])
        alike[key].append((rank, piece))
    found = []
    for members in alike.values():
        piece = members[0][1]
        stick, lengths = piece.kind == "stick", runs[piece.id]
        margin = 0 if stick else rules.margin
        before = 0 if stick else sum(worth(length + margin) for length in lengths)
        found.append(
            PieceType(
                lengths,
                stick,
                piece.length if stick else 0,
                piece.batch if batched else "",
                before,
                tuple(p.id for _, p in members),
                tuple(rank for rank, _ in members),
                margin,
                barred[piece.id],
            )
        )
    return tuple(found)


_Alike = tuple[tuple[int, ...], int, Link, tuple[str, ...], str | None, int]


def _groups(
    frames: list[Frame],
    pieces: list[Piece],
    types: tuple[PieceType, ...],
    asked: _Asked,
    days: list[date],
) -> tuple[FrameGroup, ...]:
    batches = tuple(sorted({p.batch for p in pieces}))
    batch_of = {p.id: p.batch for p in pieces}
    alike: dict[_Alike, list[str]] = {}
    for frame in frames:
        link, where = _ties(frame, batches, batch_of)
        count = Counter((length, frame.takes) for length in frame.rails)
        rails = tuple(count[key] for key in asked)
        tier = days.index(frame.due or date.max)
        key = (rails, tier, link, where, frame.pin, frame.stands_for)
        alike.setdefault(key, []).append(frame.id)
    found = []
    for (rails, tier, link, where, pin, many), ids in alike.items():
        found.append(FrameGroup(
            rails, tier, link, where if link == "batch" else (),
            _allowed(types, where, pin, batch_of, rails) if link == "piece" else (), tuple(ids),
            many,
        ))  # fmt: skip
    return tuple(found)


def _ties(
    frame: Frame, batches: tuple[str, ...], batch_of: dict[str, str]
) -> tuple[Link, tuple[str, ...]]:
    """What holds a frame's rails together, and the batches it may come from."""
    where = batches if frame.batch is None else tuple(b for b in batches if b == frame.batch)
    if frame.pin is not None or (frame.one_piece and len(frame.rails) > 1):
        return "piece", where
    if frame.batch is not None or (frame.one_batch and len(frame.rails) > 1):
        return ("batch", where) if len(batches) > 1 or not where else ("free", where)
    return "free", where


def _allowed(
    types: tuple[PieceType, ...], where: tuple[str, ...], pin: str | None, batch_of: dict[str, str],
    counts: tuple[int, ...],
) -> tuple[int, ...]:  # fmt: skip
    """The piece types a frame tied to one piece may come from."""
    return tuple(
        t
        for t, kind in enumerate(types)
        if batch_of[kind.pieces[0]] in where
        and (pin is None or pin in kind.pieces)
        and not any(counts[i] for i in kind.barred)
    )
