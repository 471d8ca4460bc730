"""Small racks and days for the tests: by name, at random from a seed, or drawn by Hypothesis."""

import random
from dataclasses import replace
from datetime import date
from itertools import product
from typing import Any

from hypothesis import strategies as st

from planner.values import Frame, Limits, Piece, Problem, Rules

MM = 1000
DAY = date(2026, 11, 25)


def stick(name: str, length: int = 3000, **more: Any) -> Piece:
    """A stick of profile A, its length in mm."""
    return _piece(name, "stick", length, more)


def offcut(name: str, length: int, **more: Any) -> Piece:
    """An offcut of profile A, its length in mm."""
    return _piece(name, "offcut", length, more)


def _piece(name: str, kind: Any, length: int, more: dict[str, Any]) -> Piece:
    given: dict[str, Any] = {"profile": "A", "batch": "b1", **more}
    return Piece(id=name, kind=kind, length=length * MM, **given)


def frame(name: str, *rails: int, **more: Any) -> Frame:
    """A frame of profile A, its rails in mm."""
    given: dict[str, Any] = {"profile": "A", **more}
    return Frame(id=name, rails=tuple(r * MM for r in rails), **given)


def day(pieces: list[Piece], frames: list[Frame], **more: Any) -> Problem:
    """A problem with an allowance of 5 mm, trims of 10 mm, and 300 mm the shortest kept."""
    given: dict[str, Any] = {"rules": Rules(5 * MM, 10 * MM, 300 * MM), **more}
    return Problem(pieces=tuple(pieces), frames=tuple(frames), **given)


def random_day(seed: int, frames: int = 4, profile: str = "A") -> Problem:
    """A small day of one profile with batches, flaws, trims, ties and pins, from a seed."""
    rng = random.Random(seed)
    step = rng.choice([1, 50])  # a coarse step makes many equal lengths and exact fits
    pieces = [_random_piece(rng, f"P{n}", step, profile) for n in range(rng.randint(2, 8))]
    rules = Rules(
        rng.choice([0, 5, 7]) * MM, rng.choice([0, 10, 25]) * MM, rng.choice([100, 250]) * MM
    )
    asked = [
        _random_frame(rng, f"F{n}", step, pieces, profile) for n in range(rng.randint(1, frames))
    ]
    aims: Any = rng.choice(["ordered", "ordered", "weighed"])
    points = {profile: ((250 * MM, 100 * MM), (600 * MM, 500 * MM), (2000 * MM, 1950 * MM))}
    worth = rng.choice([{}, points])
    return Problem(rules, tuple(pieces), tuple(asked), worth=worth, aims=aims, limits=Limits(60.0))


def _random_piece(rng: random.Random, name: str, step: int, profile: str) -> Piece:
    kind: Any = rng.choice(["stick", "offcut", "offcut"])
    most = 2000 if kind == "stick" else 1300
    length = rng.randrange(300, most, step) * MM
    flaws = []
    for _ in range(rng.choice([0, 0, 0, 1, 2])):
        start = rng.randrange(0, length - 60 * MM, 10 * MM)
        flaws.append((start, start + rng.choice([10, 50]) * MM))
    since = rng.choice([None, date(2026, 11, rng.randint(1, 20))])
    return Piece(name, profile, rng.choice(["b1", "b2"]), kind, length, since, tuple(flaws))


def _random_frame(
    rng: random.Random, name: str, step: int, pieces: list[Piece], profile: str
) -> Frame:
    long, short = (rng.randrange(100, 700, step) * MM for _ in range(2))
    rails = rng.choice([(long, short, long, short)] * 4 + [(long,), (long, short), (long,) * 3])
    tie = rng.choice(["", "", "", "batch", "batch", "piece", "pin", "match"])
    due = rng.choice([None, date(2026, 11, 25), date(2026, 11, 26)])
    return Frame(
        name, profile, rails, due,
        one_batch=tie == "batch", one_piece=tie == "piece",
        pin=rng.choice(pieces).id if tie == "pin" else None,
        batch=rng.choice(["b1", "b2"]) if tie == "match" else None,
    )  # fmt: skip


def random_truth(seed: int, frames: int = 4) -> Problem:
    """A small day at random, its pieces with ends of every kind, a margin, batches not known."""
    problem, rng = random_day(seed, frames), random.Random(f"ends {seed}")
    kinds: list[Any] = [(), *product(("factory", "cut", "square"), repeat=2)]
    pieces = [replace(p, ends=rng.choice(kinds), batch=rng.choice([p.batch, p.batch, ""]))
              for p in problem.pieces]  # fmt: skip
    rules = replace(problem.rules, margin=rng.choice([0, 3, 8]) * MM)
    return replace(problem, pieces=tuple(pieces), rules=rules)


def random_grades(seed: int, frames: int = 4) -> Problem:
    """A small day at random with bowed pieces, seconds, a client's own, and a run of ornament."""
    problem, rng = random_truth(seed, frames), random.Random(f"grades {seed}")
    pieces = [
        replace(
            p, longest=rng.choice([None, None, 300 * MM, 500 * MM]),
            kept_for=rng.choice(["", "", "", "seconds", "client"]),
            motif=rng.choice([None, rng.randrange(100) * MM]),
        )
        for p in problem.pieces
    ]  # fmt: skip
    takes = [("",), ("",), ("", "seconds"), ("client",), ("", "seconds", "client")]
    asked = [replace(f, takes=rng.choice(takes)) for f in problem.frames]
    rules = replace(problem.rules, repeat=rng.choice([0, 0, 24, 75]) * MM)
    return replace(problem, pieces=tuple(pieces), frames=tuple(asked), rules=rules)


def random_links(seed: int, frames: int = 3) -> Problem:
    """A small day at random of two profiles, its frames linked within one and over both."""
    rng = random.Random(f"links {seed}")
    one = random_truth(seed)
    pieces = [_random_piece(rng, f"{profile}{n}", 50, profile)
              for profile in "AAAAABBB" for n in [rng.randint(0, 10**6)]]  # fmt: skip
    linked = []
    for n, profile in enumerate("A" * frames + "B" * (frames - 1)):
        mine = [piece.id for piece in pieces if piece.profile == profile]
        tie = rng.choice(["", "", "", "piece", "pin", "match"])
        rails = (rng.randrange(100, 450, 50) * MM, rng.randrange(100, 450, 50) * MM)
        linked.append(Frame(
            f"F{n}", profile, rails * rng.choice([1, 2, 2]),
            rng.choice([None, date(2026, 11, 25)]), rng.random() < 0.7, tie == "piece",
            rng.choice(mine) if tie == "pin" else None, "b1" if tie == "match" else None,
            rng.choice([None, "L", "L", "M"]),
        ))  # fmt: skip
    return replace(one, pieces=tuple(pieces), frames=tuple(linked), worth={})


def days() -> st.SearchStrategy[Problem]:
    """Small days as Hypothesis draws them."""
    return st.one_of(
        *(
            st.integers(0, 10**9).map(day)
            for day in (random_day, random_truth, random_links, random_grades)
        )
    )
