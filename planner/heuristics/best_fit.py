"""What a careful framer would do with a tape and a list: the hand rule, quick and always there."""

import math
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from itertools import islice

from planner.linked import bundled
from planner.score import Laid, cuts_of, score_of
from planner.sorting import by_age, by_due, natural
from planner.stretches import stretches
from planner.validate import refuse_faults
from planner.values import Cut, Frame, Piece, Plan, Problem, Proof, Reason, Score, Short
from planner.worth import worth_of

__all__ = ["hand_laid", "hand_plan", "loose_bounds"]

WHY_SHORT, WHY_OPENED = Reason("by_hand_no_place"), Reason("by_hand_next_rail")


def hand_plan(problem: Problem) -> Plan:
    """The plan of the hand rule: best fit, longest first, frame by frame, earliest due first.

    A rail goes to the shortest stretch that takes it, offcuts and opened sticks before a new
    stick. Valid, but promises nothing: its bounds are loose.

    Raises:
        ProblemRefused: with every fault of the problem.
    """
    refuse_faults(problem)
    started = time.monotonic()
    cuts = _whole_cuts(problem)
    reached = score_of(problem, cuts)
    done = {rail.frame for cut in cuts for rail in cut.rails}
    short = tuple(
        Short(f.id, WHY_SHORT) for f in sorted(problem.frames, key=by_due) if f.id not in done
    )
    bounds = loose_bounds(problem, reached)
    sticks = {p.id for p in problem.pieces if p.kind == "stick"}
    why = {cut.piece: WHY_OPENED for cut in cuts if cut.piece in sticks}
    proof: Proof = "optimal" if bounds == reached else "feasible"
    return Plan(cuts, short, reached, bounds, proof, time.monotonic() - started, why)


def _whole_cuts(problem: Problem) -> tuple[Cut, ...]:
    """What the hand rule cuts, without the links that it would tear."""
    linked, out = bundled(problem), set[str]()
    torn = set(linked.never)
    while True:
        out |= torn
        part = linked.without(out)
        cuts = cuts_of(part, hand_laid(part))
        batches = linked.batches(cuts)
        torn = {link for link in linked.units if linked.torn(link, batches)}
        if not torn:
            return linked.cuts(cuts)


def loose_bounds(problem: Problem, reached: Score) -> Score:
    """Bounds that hold without any search: every frame, sticks by length, nothing lost by cutting.

    Cutting never adds worth to an offcut, and as many sticks as were opened can leave no more
    than the sticks of most worth would, whole.
    """
    lengths = sorted(p.length for p in problem.pieces if p.kind == "stick")
    count, total = 0, 0
    for length in lengths:
        total += length
        if total > reached.stick_opened:
            break
        count += 1
    worths = []
    worth = {profile: worth_of(problem, profile) for profile in {p.profile for p in problem.pieces}}
    for piece in problem.pieces:
        if piece.kind == "stick":
            whole = stretches(piece, problem.rules_of(piece.profile))
            worths.append(sum(worth[piece.profile](stretch.clear) for stretch in whole))
    asked = sum(frame.stands_for for frame in problem.frames)
    opened = _least_opened(problem) if reached.frames_cut == asked else 0
    return Score(asked, opened, sum(sorted(worths, reverse=True)[:count]))


def _least_opened(problem: Problem) -> int:
    """So much of sticks at least is opened where all frames are cut, by their lengths alone."""
    total = 0
    for profile in {f.profile for f in problem.frames}:
        rules, share = problem.rules_of(profile), Fraction(0)
        need = sum(rules.taken(rail) for frame in problem.frames if frame.profile == profile
                   for rail in frame.rails)  # fmt: skip
        # Offcuts first: of many a few are enough, and the others need not be looked at.
        pieces = [piece for piece in problem.pieces if piece.profile == profile]
        for piece in sorted(pieces, key=lambda piece: piece.kind == "stick"):
            if need <= 0:
                break
            room = sum(run.length + rules.cut_allowance for run in stretches(piece, rules))
            if piece.kind == "stick":
                share = max(share, Fraction(room, piece.length))
            else:
                need -= room
        total += math.ceil(max(0, need) / share) if share else 0
    return total


def hand_laid(problem: Problem) -> Laid:
    """Where the hand rule lays the rails of the frames it can cut."""
    racks = {profile: _Rack(problem, profile) for profile in {f.profile for f in problem.frames}}
    laid: Laid = {}
    for frame in sorted(problem.frames, key=_turn):
        for place, rail in racks[frame.profile].cut(frame):
            laid.setdefault(place, []).append((frame.id, rail))
    return laid


def _turn(frame: Frame) -> tuple[date, bool, int, object]:
    """Earliest due first; on one day pinned frames, then those of the longest rails."""
    return by_due(frame)[0], frame.pin is None, -max(frame.rails), natural(frame.id)


def by_batch(pieces: list[Piece]) -> list[list[Piece]]:
    """The pieces of each batch, by the batches' names."""
    found = defaultdict[str, list[Piece]](list)
    for piece in pieces:
        found[piece.batch].append(piece)
    return [found[batch] for batch in sorted(found)]


Place = tuple[str, int]


class _Rack:
    """The room left on each stretch of one profile while frames are laid out by hand."""

    def __init__(self, problem: Problem, profile: str) -> None:
        rules = problem.rules_of(profile)
        self.rules = rules
        self.pieces = sorted((p for p in problem.pieces if p.profile == profile), key=by_age)
        self.sticks = {p.id for p in self.pieces if p.kind == "stick"}
        self.room: dict[Place, int] = {}
        self.places: dict[str, list[Place]] = {piece.id: [] for piece in self.pieces}
        for piece in self.pieces:
            for number, stretch in enumerate(stretches(piece, rules)):
                self.room[piece.id, number] = stretch.length + rules.cut_allowance
                self.places[piece.id].append((piece.id, number))
        self.by_id = {piece.id: piece for piece in self.pieces}
        self.limited = any(p.kept_for or p.longest is not None for p in self.pieces)
        self.batches = by_batch(self.pieces)
        self.opened: set[str] = set()

    def cut(self, frame: Frame) -> list[tuple[Place, int]]:
        """Lay one frame whole, the cheapest way of those allowed; nothing where it can't be."""
        tries = [(self._try(frame, group), group) for group in self._groups(frame)]
        found = [(self._opens(places), places) for places, _ in tries if places is not None]
        if not found:
            return []
        places = min(found, key=lambda option: option[0])[1]
        for place, rail in places:
            self.room[place] -= self.rules.taken(frame.rails[rail])
            self.opened.add(place[0])
        return places

    def _groups(self, frame: Frame) -> Iterator[list[Piece]]:
        """The sets of pieces this frame may come from together."""
        free = frame.pin is None and frame.batch is None and not frame.one_piece
        if free and frame.takes == ("",) and not self.limited:
            yield from self.batches if frame.one_batch else [self.pieces]
            return
        fits = [piece for piece in self.pieces if piece.serves(frame)]
        if frame.one_piece or frame.pin is not None:
            yield from ([p] for p in fits)
        else:
            yield from by_batch(fits) if frame.one_batch else [fits]

    def _try(self, frame: Frame, group: list[Piece]) -> list[tuple[Place, int]] | None:
        order = sorted(range(len(frame.rails)), key=lambda i: (-frame.rails[i], i))
        takes = [self.rules.taken(rail) for rail in frame.rails]
        room, new = self._choices(group, takes[order[-1]], len(order))
        if sum(room.values()) < sum(takes):
            return None
        places = []
        for rail in order:
            need = takes[rail]
            # New sticks come last, then the tightest fit; the dict's order settles the rest.
            options = [(place in new, left, at) for at, (place, left) in enumerate(room.items())
                       if left >= need and self._gives(place, frame.rails[rail])]  # fmt: skip
            if not options:
                return None
            place = next(islice(room, min(options)[2], None))
            room[place] -= need
            new.difference_update(self.places[place[0]])
            places.append((place, rail))
        return places

    def _gives(self, place: Place, rail: int) -> bool:
        return not self.limited or self.by_id[place[0]].gives(rail)

    def _choices(
        self, group: list[Piece], least: int, rails: int
    ) -> tuple[dict[Place, int], set[Place]]:
        """The room on each stretch that takes the least rail, and which are of unopened sticks: of
        those that are alike no more than a frame has rails."""
        room: dict[Place, int] = {}
        new: set[Place] = set()
        alike: Counter[object] = Counter()
        for piece in group:
            places = self.places[piece.id]
            unopened = piece.id in self.sticks and piece.id not in self.opened
            if unopened and len(places) == 1:
                kind = self.room[places[0]], piece.longest
                alike[kind] += 1
                if alike[kind] > rails:
                    continue
            for place in places:
                if self.room[place] >= least:
                    room[place] = self.room[place]
                    if unopened:
                        new.add(place)
        return room, new

    def _opens(self, places: list[tuple[Place, int]]) -> tuple[int, int, int]:
        """What a way of cutting a frame costs: stick length, pieces touched, room left over."""
        new = {place[0] for place, _ in places} - self.opened
        sticks = sum(self.by_id[name].length for name in new if name in self.sticks)
        left = sum(self.room[place] for place in {place for place, _ in places})
        return sticks, len(new), left
