"""Frames laid where they lose least worth: one by one, or a few at a time with jobs ahead."""

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from random import Random

from planner.heuristics.joint import MOST_STATES, Laying, Place, Spot, laid_jointly, states_of
from planner.score import Laid
from planner.sorting import by_due
from planner.stretches import stretches
from planner.values import Frame, Micrometres, Piece, Problem
from planner.worth import Worth, worth_of

__all__ = ["laid_ahead", "laid_stepwise"]

ROUNDS = 6
STICKS = 8
"""Unopened sticks of a batch that are alike, looked at in one go."""
DUE = 1 << 44
"""What it is worth to cut a frame that is due: more than any stick."""


def laid_stepwise(problem: Problem) -> Laid:
    """Where the frames go one after another, each where it loses least: quick enough for years."""
    laid: Laid = {}
    for bench in _benches(problem, {frame.id for frame in problem.frames}):
        for frame in bench.frames:
            bench.lay([frame])
        bench.tell(laid)
    return laid


def laid_ahead(problem: Problem, due: Collection[str], rounds: int = ROUNDS) -> Laid:
    """Where the frames that are due go, and those later ones that pay to be cut with them.

    The measure is the length of sticks opened and the worth of offcuts used, less the worth of
    leftovers. A later frame pays where it adds less to that than its rails and allowances are
    long, since that is the least it will ever take. Few frames are planned exactly; of many, a few
    at a time are taken up and laid again, ``rounds`` times, never for the worse.
    """
    laid: Laid = {}
    for bench in _benches(problem, due):
        bench.plan(rounds)
        bench.tell(laid)
    return laid


def _benches(problem: Problem, due: Collection[str]) -> Iterator["_Bench"]:
    for profile in sorted({frame.profile for frame in problem.frames}):
        frames = sorted((f for f in problem.frames if f.profile == profile), key=by_due)
        yield _Bench(problem, profile, frames, frozenset(due))


class _Bench:
    """The stretches of one profile, and which frames lie on them so far."""

    def __init__(
        self, problem: Problem, profile: str, frames: Sequence[Frame], due: frozenset[str]
    ) -> None:
        self.rules, worth = problem.rules_of(profile), worth_of(problem, profile)
        self.luck = Random(f"{profile} {len(frames)}")
        self.pieces: dict[Place, Piece] = {}
        self.room: dict[Place, int] = {}
        self.worth: dict[Place, Worth] = {}
        for piece in (piece for piece in problem.pieces if piece.profile == profile):
            for number, stretch in enumerate(stretches(piece, self.rules)):
                self.pieces[piece.id, number] = piece
                self.room[piece.id, number] = stretch.length
                self.worth[piece.id, number] = worth.over(stretch.margin)
        self.prizes = {frame.id: self.prize(frame, frame.id in due) for frame in frames}
        self.frames = frames
        self.laid: Laying = {}

    def prize(self, frame: Frame, due: bool) -> int:
        """What cutting a frame is worth: its length with allowances, or far more if it is due."""
        return DUE if due else sum(map(self.rules.taken, frame.rails))

    def tell(self, laid: Laid) -> None:
        """Adds where the rails lie to what is laid."""
        for name, rails in self.laid.items():
            for place, rail in rails:
                laid.setdefault(place, []).append((name, rail))

    def plan(self, rounds: int) -> None:
        """Lays the frames, those due first, then takes up and lays again a few at a time."""
        first = sorted(self.frames, key=lambda frame: self.prizes[frame.id] != DUE)
        parts = list(handfuls(first))
        if parts:
            self.lay(parts[0])
        for part in parts[1:]:
            if any(self.prizes[frame.id] == DUE for frame in part):
                self.lay(part)
        for _ in range(rounds if len(parts) > 1 else 0):
            self.lay(next(handfuls(self.luck.sample(self.frames, len(self.frames)))))

    def lay(self, frames: Sequence[Frame]) -> None:
        """Takes these frames up, if they lie somewhere, and lays them where they cost least."""
        before = {place for frame in frames for place, _ in self.laid.get(frame.id, ())}
        for frame in frames:
            self.move(frame, self.laid.pop(frame.id, []), 1)
        found = laid_jointly(frames, self.prizes, self.spots(frames, before), self.rules)
        for frame in frames:
            if frame.id in found:
                self.laid[frame.id] = found[frame.id]
                self.move(frame, found[frame.id], -1)

    def move(self, frame: Frame, rails: Sequence[tuple[Place, Micrometres]], sign: int) -> None:
        """Gives the rails' room back to their stretches, or takes it."""
        for place, rail in rails:
            self.room[place] += sign * self.rules.taken(frame.rails[rail])

    def spots(self, frames: Sequence[Frame], before: Collection[Place]) -> list[Spot]:
        """The stretches that these frames may go on: those in use, offcuts, and some new sticks."""
        used = {place[0] for rails in self.laid.values() for place, _ in rails}
        shortest = min(rail for frame in frames for rail in frame.rails)
        fits = [place for place, room in self.room.items() if room >= shortest]
        fresh = {place for place in fits
                 if self.pieces[place].kind == "stick" and place[0] not in used}  # fmt: skip
        most = min(STICKS, sum(len(frame.rails) for frame in frames))
        pinned = {frame.pin for frame in frames}
        seen, alike = {*before, *(p for p in fresh if p[0] in pinned)}, Counter[object]()
        for place in sorted(fresh):
            piece = self.pieces[place]
            kind = piece.batch, self.room[place], piece.kept_for, piece.longest
            alike[kind] += 1
            if alike[kind] <= most:
                seen.add(place)
        return [
            Spot(place, self.pieces[place], room := self.room[place],
                 room if place in fresh else self.worth[place](room), self.worth[place])
            for place in fits if place not in fresh or place in seen
        ]  # fmt: skip


def handfuls(frames: Sequence[Frame]) -> Iterator[list[Frame]]:
    """The frames in their order, in parts as large as can be planned exactly."""
    part: list[Frame] = []
    states = 1
    for frame in frames:
        more = states_of(frame)
        if part and states * more > MOST_STATES:
            yield part
            part, states = [], 1
        part.append(frame)
        states *= more
    if part:
        yield part
