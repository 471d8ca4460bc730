"""All ways to cut a small day gone through: the four aims once more, from the words alone.

Pieces are taken one after another, those of a batch together. A state says how many rails of each
length of each frame are laid, and the best that came of it so far; nothing here is shared with the
planner but its values, the worth function and the independent model's rooms.
"""

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import product

from planner.sorting import by_age
from planner.values import Piece, Problem
from planner.worth import worth_of
from tests.planner.independent import due_of, may, rooms_of, taken

__all__ = ["ages_of", "best_of_all"]

Laid = tuple[int, ...]
Value = tuple[int, ...]


def best_of_all(problem: Problem) -> tuple[Value, Value]:
    """Frames cut of each due date; then sticks and worth, pieces, and the sum of their places.

    The second as a sum to be as great as can be: less stick first, and so on (weighed: less stick
    and more worth in one).
    """
    asked = [
        (n, length, frame.rails.count(length))
        for n, frame in enumerate(problem.frames)
        for length in sorted(set(frame.rails))
    ]
    ages = ages_of(problem)
    best: dict[Laid, Value] = {tuple(0 for _ in asked): (0, 0, 0, 0)}
    pieces = sorted(problem.pieces, key=lambda piece: (piece.profile, piece.batch))
    for piece, after in zip(pieces, [*pieces[1:], None], strict=True):
        ways = _ways(problem, piece, asked, ages[piece.id])
        more = dict(best)
        for before, value in best.items():
            for way, adds in ways.items():
                now = tuple(a + b for a, b in zip(before, way, strict=True))
                then = tuple(a + b for a, b in zip(value, adds, strict=True))
                if _allowed(problem, asked, before, way, now) and then > more.get(now, then[:0]):
                    more[now] = then
        if after is None or (after.profile, after.batch) != (piece.profile, piece.batch):
            more = {laid: value for laid, value in more.items() if _whole(problem, asked, laid)}
        best = more
    days = sorted({due_of(problem, frame) for frame in problem.frames})
    return max(
        (tuple(_cut(problem, asked, laid, day) for day in days), value)
        for laid, value in best.items()
        if _whole(problem, asked, laid, every=True)
    )


def ages_of(problem: Problem) -> dict[str, int]:
    """The place of each piece in age among those of its profile."""
    found: dict[str, int] = {}
    for profile in {piece.profile for piece in problem.pieces}:
        mine = sorted((p for p in problem.pieces if p.profile == profile), key=by_age)
        found |= {piece.id: rank for rank, piece in enumerate(mine)}
    return found


Asked = Sequence[tuple[int, int, int]]


def _ways(problem: Problem, piece: Piece, asked: Asked, age: int) -> dict[Laid, Value]:
    """What a piece may yield, and the best that it adds: stick, worth, itself, its age."""
    rules, worth = problem.rules_of(piece.profile), worth_of(problem, piece.profile)
    found: dict[Laid, int] = {tuple(0 for _ in asked): 0}
    for room, held in rooms_of(piece, rules):
        before = worth(room + held) if piece.kind == "offcut" else 0
        longer: dict[Laid, int] = {}
        mine = [
            count if may(problem.frames[at], piece) and length <= (piece.longest or length) else 0
            for at, length, count in asked
        ]
        for part in product(*(range(count + 1) for count in mine)):
            run = sum(
                n * taken(length, rules) for n, (_, length, _) in zip(part, asked, strict=True)
            )
            if run - rules.cut_allowance > room:
                continue
            left = max(0, room - run)
            gain = worth(left + held if left else 0) - before
            for laid, so_far in found.items():
                both = tuple(a + b for a, b in zip(laid, part, strict=True))
                if all(n <= most for n, (_, _, most) in zip(both, asked, strict=True)):
                    longer[both] = max(so_far + gain, longer.get(both, so_far + gain))
        found = longer
    opened = piece.length if piece.kind == "stick" else 0
    weighed = problem.aims == "weighed"
    return {
        laid: (gain - opened, 0, -1, -age) if weighed else (-opened, gain, -1, -age)
        for laid, gain in found.items()
        if any(laid)
    }


def _allowed(problem: Problem, asked: Asked, before: Laid, way: Laid, now: Laid) -> bool:
    """No rail too many; a frame of one piece comes whole from this one or not at all."""
    for (number, _, most), had, gets, has in zip(asked, before, way, now, strict=True):
        if has > most:
            return False
        frame = problem.frames[number]
        if (frame.one_piece or frame.pin) and _touched(asked, way, number) and (had or gets < most):
            return False
    return True


def _touched(asked: Asked, laid: Laid, number: int) -> bool:
    return any(n for n, (at, _, _) in zip(laid, asked, strict=True) if at == number)


def _frames(problem: Problem, asked: Asked, laid: Laid) -> Iterator[tuple[int, int, int]]:
    """Each frame's number, its rails laid, and its rails."""
    for number, frame in enumerate(problem.frames):
        has = sum(n for n, (at, _, _) in zip(laid, asked, strict=True) if at == number)
        yield number, has, len(frame.rails)


def _whole(problem: Problem, asked: Asked, laid: Laid, every: bool = False) -> bool:
    """Frames of one batch (or ``every`` frame) are laid whole or not at all, linked ones with all
    that they are linked to (those of their profile that want one batch)."""
    groups: dict[object, tuple[int, int]] = {}
    for number, has, rails in _frames(problem, asked, laid):
        frame = problem.frames[number]
        if every or frame.one_batch:
            key: object = number
            if frame.link is not None:
                key = frame.link if every else (frame.link, frame.profile)
            had, of = groups.get(key, (0, 0))
            groups[key] = had + has, of + rails
    return all(has in (0, rails) for has, rails in groups.values())


def _cut(problem: Problem, asked: Asked, laid: Laid, day: date) -> int:
    """Frames of this due date that are laid."""
    return sum(
        has > 0 and due_of(problem, problem.frames[number]) == day
        for number, has, _ in _frames(problem, asked, laid)
    )
