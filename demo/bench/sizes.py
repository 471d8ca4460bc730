"""Problems of the sizes a framer meets, invented from a seed: a day, a contract, a factory."""

import random
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from planner.values import Frame, Limits, Piece, Problem, Rules

__all__ = ["TIES", "contract", "day", "factory", "grown", "show", "tied"]

MM = 1000
SIXTEENTH = 1587.5
TODAY = date(2026, 11, 25)
RULES = Rules(cut_allowance=5300, end_trim=10 * MM, keep=300 * MM)
# Usual sizes of artworks in inches, beside those measured to the sixteenth.
USUAL = [(5, 7), (8, 10), (11, 14), (12, 16), (16, 20), (18, 24), (20, 24), (24, 36)]
STICKS = [2440, 2745, 3050]
# How the frames of a show are tied to batches: not at all, all of them, or some of them.
TIES = ("free", "bound", "both")


def day(seed: int, seconds: float = 10.0) -> Problem:
    """A shop's day: 25 profiles, 40 frames, 300 offcuts, 200 sticks; some profiles in demand."""
    return _shop(random.Random(seed), 25, 40, 300, 200, seconds)


def factory(seed: int, seconds: float = 60.0) -> Problem:
    """A factory's week: 60 profiles, 2,000 frames, 20,000 pieces, 8,000 of them sticks."""
    return _shop(random.Random(seed), 60, 2000, 12_000, 8_000, seconds)


def grown(seed: int, times: int, seconds: float = 60.0) -> Problem:
    """A shop's day with this many times the frames and pieces of the same mix."""
    return _shop(random.Random(seed), 25, 40 * times, 300 * times, 200 * times, seconds)


def contract(seed: int, frames: int = 400, seconds: float = 10.0) -> Problem:
    """A hotel's order: 400 frames of three sizes in one profile, sticks to spare, some offcuts."""
    rng = random.Random(seed)
    sizes = [_rails(rng) for _ in range(3)]
    asked = tuple(Frame(f"F{n}", "A", sizes[n % 3], TODAY) for n in range(frames))
    stick = rng.choice(STICKS) * MM
    length = sum(sum(frame.rails) for frame in asked)
    sticks = [
        Piece(f"S{n}", "A", "b1", "stick", stick, TODAY - timedelta(days=30))
        for n in range(int(1.3 * length / stick) + 10)
    ]
    offcuts = [_offcut(rng, f"O{n}", "A", ["b1"]) for n in range(60)]
    return Problem(RULES, (*sticks, *offcuts), asked, limits=Limits(seconds))


def show(seed: int, frames: int, ties: str, seconds: float = 10.0) -> Problem:
    """An artist's show: frames of one moulding, nearly all of different sizes, of 40 lengths.

    Sticks of three batches, in odd seeds of one length alone, for nearly twice the frames; some
    offcuts.
    """
    rng = random.Random(f"show {seed} {frames} {ties}")
    lengths = sorted(rng.sample(range(2 * 250, 2 * 950 + 1), 40))
    asked = []
    for n in range(frames):
        pair = tuple(rng.choice(lengths) * MM // 2 for _ in range(2))
        bound = ties == "bound" or (ties == "both" and rng.random() < 0.5)
        asked.append(Frame(f"F{n}", "A", (*pair, *pair), TODAY, one_batch=bound))
    batches, alike = ["b1", "b2", "b3"], [3000] if seed % 2 else STICKS
    length, rack, of_sticks = sum(sum(frame.rails) for frame in asked), list[Piece](), 0
    while of_sticks < 1.8 * length + 9000 * MM:
        stick, batch = rng.choice(alike) * MM, batches[len(rack) % 3]
        rack.append(Piece(f"S{len(rack)}", "A", batch, "stick", stick, _since(rng)))
        of_sticks += stick
    offcuts = [_offcut(rng, f"O{n}", "A", batches) for n in range(rng.randint(3, 3 + frames // 4))]
    return Problem(RULES, (*rack, *offcuts), tuple(asked), limits=Limits(seconds))


def tied(seed: int, frames: int, seconds: float = 10.0) -> Problem:
    """A profile whose frames come of one batch each, of two to four, on a rack as of a day."""
    rng = random.Random(f"bound {seed} {frames}")
    batches = [f"b{n}" for n in range(rng.randint(2, 4))]
    asked = [replace(_frame(rng, f"F{n}", "A", {"A"}), one_piece=False) for n in range(frames)]
    offcuts = [
        _offcut(rng, f"O{n}", "A", batches) for n in range(rng.randint(15, 30) * frames // 8)
    ]
    lengths = {batch: rng.choice(STICKS) * MM + rng.randrange(30) * MM for batch in batches}
    sticks = []
    for n in range(rng.randint(15, 25) * frames // 8):
        batch = rng.choice(batches)
        own = rng.randrange(-12, 13) * MM if rng.random() < 0.25 else 0
        sticks.append(Piece(f"S{n}", "A", batch, "stick", lengths[batch] + own, _since(rng)))
    return Problem(RULES, (*offcuts, *sticks), tuple(asked), limits=Limits(seconds))


def _shop(
    rng: random.Random, profiles: int, frames: int, offcuts: int, sticks: int, seconds: float
) -> Problem:
    names = [f"A{n:02d}" for n in range(profiles)]
    demand = [1 / (n + 3) for n in range(profiles)]
    matched = {name for name in names if rng.random() < 0.35}
    batches = {name: [f"{name}-{b}" for b in range(rng.randint(1, 4))] for name in names}
    asked = [
        _frame(rng, f"F{n}", name, matched)
        for n, name in enumerate(rng.choices(names, demand, k=frames))
    ]
    # The rack follows demand, as a shop's does: no profile without a few of each.
    rack = [_offcut(rng, f"O{n}", name, batches[name])
            for n, name in enumerate(_spread(rng, names, demand, offcuts))]  # fmt: skip
    lengths = {b: rng.choice(STICKS) * MM + rng.randrange(0, 30) * MM
               for of in batches.values() for b in of}  # fmt: skip
    for n, name in enumerate(_spread(rng, names, demand, sticks)):
        batch = rng.choice(batches[name])
        # Sticks of a delivery are alike, but some are measured on their own.
        own = rng.randrange(-12, 13) * MM if rng.random() < 0.25 else 0
        rack.append(Piece(f"S{n}", name, batch, "stick", lengths[batch] + own, _since(rng)))
    pinned = [_pinned(rng, frame, rack) for frame in asked]
    return Problem(RULES, tuple(rack), tuple(pinned), limits=Limits(seconds))


def _spread(rng: random.Random, names: list[str], demand: list[float], count: int) -> list[str]:
    few = max(1, count // len(names) // 3)
    sure = [name for name in names for _ in range(few)]
    return sure + rng.choices(names, demand, k=count - len(sure))


def _frame(rng: random.Random, name: str, profile: str, matched: set[str]) -> Frame:
    more: dict[str, Any] = {"one_batch": profile in matched, "one_piece": rng.random() < 0.03}
    return Frame(name, profile, _rails(rng), TODAY + timedelta(days=rng.randrange(3)), **more)


def _rails(rng: random.Random) -> tuple[int, int, int, int]:
    """Rails of a usual size, or of one measured to the sixteenth, with a moulding around it."""
    width, height = map(float, rng.choice(USUAL))
    if rng.random() < 0.6:
        width, height = (rng.uniform(5, 26) for _ in range(2))
    more = rng.choice([1, 1.5, 2, 3])
    w, h = (round(round((side + more) * 16) * SIXTEENTH) for side in (width, height))
    return w, h, w, h


def _offcut(rng: random.Random, name: str, profile: str, batches: list[str]) -> Piece:
    length = round(round(rng.triangular(300, 1500, 500) / 1.5875) * SIXTEENTH)
    flaws = ()
    if rng.random() < 0.08:
        start = rng.randrange(20, length // MM - 60) * MM
        flaws = ((start, start + rng.randrange(5, 40) * MM),)  # type: ignore[assignment]
    return Piece(name, profile, rng.choice(batches), "offcut", length, _since(rng), flaws)


def _since(rng: random.Random) -> date:
    return TODAY - timedelta(days=rng.randrange(1, 400))


def _pinned(rng: random.Random, frame: Frame, rack: list[Piece]) -> Frame:
    """Now and then a framer has set a stick aside for a frame."""
    if rng.random() >= 0.02:
        return frame
    fit = [
        p.id for p in rack if p.profile == frame.profile and p.length > sum(frame.rails) + 60_000
    ]
    if not fit:
        return frame
    return Frame(frame.id, frame.profile, frame.rails, frame.due, pin=rng.choice(fit))
