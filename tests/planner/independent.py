"""The planner's aims once more, from the words alone, for HiGHS (through scipy.optimize.milp).

An assignment model with one variable for each rail, stretch and frame, and for worth one
variable for each way of filling a stretch: nothing here is shared with the planner but its values
and the worth function.
"""

import itertools
import math
from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from typing import Any

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from planner.values import Frame, Piece, Problem, Rules
from planner.worth import worth_of

Terms = dict[int, float]


class Rows:
    """A mixed-integer program put together row by row."""

    def __init__(self) -> None:
        self.high: list[float] = []
        self.rows: list[tuple[Terms, float, float]] = []

    def var(self, high: float = 1) -> int:
        self.high.append(high)
        return len(self.high) - 1

    def most(self, terms: Terms) -> int:
        """The most of a sum, exactly: all its weights are whole numbers."""
        cost = np.zeros(len(self.high))
        for v, c in terms.items():
            cost[v] = -c
        matrix = np.zeros((len(self.rows), len(self.high)))
        for i, (row, _, _) in enumerate(self.rows):
            for v, c in row.items():
                matrix[i, v] = c
        found: Any = milp(
            cost,
            constraints=LinearConstraint(
                matrix, [low for _, low, _ in self.rows], [high for _, _, high in self.rows]
            ),
            bounds=Bounds(0, self.high),
            integrality=np.ones(len(self.high)),
            options={"mip_rel_gap": 0},
        )
        assert found.status == 0, found.message
        values = np.round(found.x).astype(int)
        return int(sum(int(c) * int(values[v]) for v, c in terms.items()))


def best(problem: Problem) -> tuple[int, int, int]:
    """Frames cut, stick length opened and worth (um), as good as can be, in strict order."""
    model = _Model(problem)
    dues = [due_of(problem, frame) for frame in problem.frames]
    for tier in sorted(set(dues)):
        terms: Terms = {model.cut[n]: 1 for n, due in enumerate(dues) if due == tier}
        model.rows.rows.append((terms, model.rows.most(terms), np.inf))
    opened: Terms = {
        model.used[n]: p.length for n, p in enumerate(problem.pieces) if p.kind == "stick"
    }
    frames = sum(int(low) for _, low, _ in model.rows.rows[-model.tiers :])
    if problem.aims == "weighed":
        both = dict(model.gain)
        for v, c in opened.items():
            both[v] = both.get(v, 0) - c
        return frames, 0, model.rows.most(both)
    length = -model.rows.most({v: -c for v, c in opened.items()})
    model.rows.rows.append((opened, -np.inf, length + 0.5))
    return frames, length, model.rows.most(model.gain)


class _Model:
    def __init__(self, problem: Problem) -> None:
        self.rows = Rows()
        self.problem = problem
        self.tiers = len({due_of(problem, frame) for frame in problem.frames})
        self.cut = [self.rows.var() for _ in problem.frames]
        self.used = [self.rows.var() for _ in problem.pieces]
        self.gain: Terms = {}
        # rail[f, r, p, s]: rail r of frame f is cut from stretch s of piece p.
        self.rail: dict[tuple[int, int, int, int], int] = {}
        for p, piece in enumerate(problem.pieces):
            self._piece(p, piece)
        for f, frame in enumerate(problem.frames):
            for r in range(len(frame.rails)):
                terms: Terms = {v: 1 for (g, q, _, _), v in self.rail.items() if (g, q) == (f, r)}
                self.rows.rows.append(({**terms, self.cut[f]: -1}, 0, 0))
            self._ties(f)
        for link in {f.link for f in problem.frames if f.link is not None}:
            self._link(link)

    def _piece(self, p: int, piece: Piece) -> None:
        rules, worth = self.problem.rules_of(piece.profile), worth_of(self.problem, piece.profile)
        kinds = sorted({length for f in self.problem.frames for length in f.rails})
        whole = 0
        for s, (room, held) in enumerate(rooms_of(piece, rules)):
            whole += worth(room + held)
            cuts: dict[int, Terms] = {length: {} for length in kinds}
            one: Terms = {}
            for f, frame in enumerate(self.problem.frames):
                for r, length in enumerate(frame.rails):
                    v = self.rail[f, r, p, s] = self.rows.var()
                    cuts[length][v] = -1
            # One way of filling the stretch is chosen if the piece is used, and gives its rails.
            for way, left in _fills(room, held, kinds, cuts, rules):
                v = self.rows.var()
                one[v] = 1
                self.gain[v] = worth(left)
                for length, count in zip(kinds, way, strict=True):
                    cuts[length][v] = count
            self.rows.rows.append(({**one, self.used[p]: -1}, 0, 0))
            self.rows.rows += [(terms, 0, 0) for terms in cuts.values() if terms]
            bowed = [
                self.rail[f, r, p, s]
                for f, frame in enumerate(self.problem.frames)
                for r, length in enumerate(frame.rails)
                if piece.longest and length > piece.longest
            ]
            self.rows.rows += [({v: 1}, 0, 0) for v in bowed]
        if piece.kind == "offcut":
            self.gain[self.used[p]] = -whole

    def _ties(self, f: int) -> None:
        frame, pieces = self.problem.frames[f], self.problem.pieces
        mine = {key: v for key, v in self.rail.items() if key[0] == f}
        for (_, _, p, _), v in mine.items():
            if not may(frame, pieces[p]):
                self.rows.rows.append(({v: 1}, 0, 0))
        if frame.one_piece:
            self._only_one(mine, lambda p: p)
        if frame.one_batch:
            self._only_one(mine, self._batch)

    def _batch(self, p: int) -> Any:
        """A batch that is not known is the piece's own."""
        batch = self.problem.pieces[p].batch
        return p if batch[0] == "?" else batch

    def _link(self, link: str) -> None:
        """All frames of a link are cut or none; those that want one batch share it."""
        mine = [f for f, frame in enumerate(self.problem.frames) if frame.link == link]
        for f in mine[1:]:
            self.rows.rows.append(({self.cut[f]: 1, self.cut[mine[0]]: -1}, 0, 0))
        for profile in {self.problem.frames[f].profile for f in mine}:
            bound = [f for f in mine if self.problem.frames[f].one_batch
                     and self.problem.frames[f].profile == profile]  # fmt: skip
            rails = {key: v for key, v in self.rail.items() if key[0] in bound}
            self._only_one(rails, self._batch)

    def _only_one(self, mine: dict[tuple[int, int, int, int], int], group: Any) -> None:
        chosen = {g: self.rows.var() for g in {group(p) for _, _, p, _ in mine}}
        self.rows.rows.append((dict.fromkeys(chosen.values(), 1.0), 0, 1))
        for (_, _, p, _), v in mine.items():
            self.rows.rows.append(({v: 1, chosen[group(p)]: -1}, -1, 0))


def due_of(problem: Problem, frame: Frame) -> date:
    """When a frame is due: with the earliest of those it is linked to."""
    linked = [f for f in problem.frames if frame.link is not None and f.link == frame.link]
    return min(f.due or date.max for f in linked or [frame])


def may(frame: Frame, piece: Piece) -> bool:
    """A frame's rails may come from a piece: its profile's, and what it is tied to."""
    told = frame.pin in (None, piece.id) and frame.batch in (None, piece.batch)
    return piece.profile == frame.profile and told and piece.kept_for in frame.takes


def rooms_of(piece: Piece, rules: Rules) -> list[tuple[int, int]]:
    """Usable lengths and what is kept back on each, by cutting the flaws out one by one."""
    rooms = [(0, piece.length)]
    for a, b in piece.flaws:
        rooms = [part for lo, hi in rooms for part in ((lo, min(hi, a)), (max(lo, b), hi))]
    held = rules.margin if piece.kind == "offcut" else 0
    found = []
    for lo, hi in rooms:
        trims = (lo == 0 and piece.ends[0] == "factory") + (
            hi == piece.length and piece.ends[1] == "factory"
        )
        lead = _lead(piece, rules, lo, hi)
        if lo < hi and (room := hi - lo - trims * rules.end_trim - held - lead) > 0:
            found.append((room, held))
    return found


def _lead(piece: Piece, rules: Rules, lo: int, hi: int) -> int:
    """What lies before a run's first motif where it is cut first."""
    kinds = (piece.ends[0] if lo == 0 else "cut", piece.ends[1] if hi == piece.length else "cut")
    backwards = kinds in (("factory", "cut"), ("factory", "square"), ("square", "cut"))
    if not rules.repeat or piece.motif is None or backwards:
        return rules.repeat
    first = lo + (rules.end_trim if kinds == ("factory", "factory") else 0)
    motifs = (piece.motif + n * rules.repeat for n in itertools.count(-piece.motif // rules.repeat))
    return next(at - first for at in motifs if at >= first)


def taken(length: int, rules: Rules) -> int:
    """The run that a rail takes: with its cut, as many whole repeats as that begins."""
    run = length + rules.cut_allowance
    return run if not rules.repeat else rules.repeat * math.ceil(Fraction(run, rules.repeat))


def _fills(
    room: int, held: int, kinds: list[int], cuts: dict[int, Terms], rules: Rules
) -> Iterator[tuple[tuple[int, ...], int]]:
    room += rules.cut_allowance
    runs = [taken(length, rules) for length in kinds]
    ranges = [
        range(min(len(cuts[length]), room // run) + 1)
        for length, run in zip(kinds, runs, strict=True)
    ]
    for way in itertools.product(*ranges):
        rest = room - sum(n * run for n, run in zip(way, runs, strict=True))
        if rest >= 0:
            left = rest - rules.cut_allowance if any(way) else room - rules.cut_allowance
            # What was kept back lies there too where anything is left.
            yield way, left + held if left > 0 else 0
