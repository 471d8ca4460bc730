"""What a careful framer would do with a tape and a list: the hand rule, quick and always there."""

import time
from bisect import bisect_left, insort
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from itertools import accumulate, islice, product

from planner.linked import bundled
from planner.score import Laid, cuts_of, score_of
from planner.sorting import by_age, by_due, natural
from planner.stop import Stop
from planner.stretches import stretches
from planner.validate import refuse_faults
from planner.values import Cut, Frame, Piece, Plan, Problem, Proof, Reason, Score, Short
from planner.worth import worth_of

__all__ = ["hand_laid", "hand_plan", "loose_bounds"]

MANY = 1_000
"""So many ways to lay a frame are tried before time is asked for."""
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
    """Bounds that hold without any search: every frame, no stick, nothing lost by cutting.

    Cutting never adds worth to an offcut, and as many sticks as were opened can leave no more
    than the sticks of most worth would, whole.
    """
    sticks = [piece for piece in problem.pieces if piece.kind == "stick"]
    opened = accumulate(sorted(piece.length for piece in sticks))
    count = sum(total <= reached.stick_opened for total in opened)
    worth = {profile: worth_of(problem, profile) for profile in {p.profile for p in sticks}}
    worths = [
        sum(worth[p.profile](run.clear) for run in stretches(p, problem.rules_of(p.profile)))
        for p in (sticks if count else ())
    ]
    asked = sum(frame.stands_for for frame in problem.frames)
    return Score(asked, 0, sum(sorted(worths, reverse=True)[:count]))


def hand_laid(problem: Problem, stop: Stop | None = None) -> Laid:
    """Where the hand rule lays the rails of the frames it can cut.

    Once it is to stop, a frame of very many places gets the best of a thousand.
    """
    racks = {profile: _Rack(problem, profile, stop)
             for profile in {f.profile for f in problem.frames}}  # fmt: skip
    laid: Laid = {}
    for frame in sorted(problem.frames, key=_turn):
        for place, rail in racks[frame.profile].cut(frame):
            laid.setdefault(place, []).append((frame.id, rail))
    return laid


def _turn(frame: Frame) -> tuple[date, bool, int, object]:
    """Earliest due first; on one day pinned frames, then those of the longest rails."""
    return by_due(frame)[0], frame.pin is None, -max(frame.rails), natural(frame.id)


def _by_batch(pieces: Sequence[Piece]) -> list[list[Piece]]:
    found = defaultdict[str, list[Piece]](list)
    for piece in pieces:
        found[piece.batch].append(piece)
    return [found[batch] for batch in sorted(found)]


Place = tuple[str, int]
# A stretch as best fit goes by: of a new stick last, the tightest first, then the oldest.
Run = tuple[bool, int, int]


class _Rack:
    """The room left on each stretch of one profile while frames are laid out by hand."""

    def __init__(self, problem: Problem, profile: str, stop: Stop | None) -> None:
        self.stop = stop
        self.rules = rules = problem.rules_of(profile)
        least = min(min(f.rails) for f in problem.frames if f.profile == profile)
        self.pieces = sorted(
            (p for p in problem.pieces if p.profile == profile and p.length >= least), key=by_age
        )
        self.runs: list[Run] = []
        self.stretches: list[tuple[Piece, int]] = []
        self.ranks: dict[str, range] = {}
        for piece in self.pieces:
            first, stick = len(self.runs), piece.kind == "stick"
            for number, stretch in enumerate(stretches(piece, rules)):
                room = stretch.length + rules.cut_allowance
                self.runs.append((stick, room, first + number))
                self.stretches.append((piece, number))
            self.ranks[piece.id] = range(first, len(self.runs))
        self.bowed = any(p.longest is not None for p in self.pieces)
        self.named = {piece.id: piece for piece in self.pieces}
        self.of_batch = {some[0].batch: some for some in _by_batch(self.pieces)}
        self.length = {batch: sum(p.length for p in some) for batch, some in self.of_batch.items()}
        self.takes = {frame.takes for frame in problem.frames if frame.profile == profile}
        self.shared: dict[tuple[tuple[str, ...], str | None], list[Run]] = {}
        self.opened: set[str] = set()

    def cut(self, frame: Frame) -> list[tuple[Place, int]]:
        """Lay one frame whole, the cheapest way of those allowed; nothing where it can't be."""
        found = []
        for group in self._groups(frame):
            if ranks := self._try(frame, group):
                found.append((self._opens(ranks), ranks))
                if len(found) % MANY == 0 and self.stop is not None and self.stop.over():
                    break
        if not found:
            return []
        places = []
        for rank, rail in min(found, key=lambda option: option[0])[1]:
            self._lose(rank, self.rules.taken(frame.rails[rail]))
            piece, number = self.stretches[rank]
            places.append(((piece.id, number), rail))
        return places

    def _lose(self, rank: int, taken: int) -> None:
        """A rail is cut from a stretch, so that its piece is opened."""
        piece = self.stretches[rank][0]
        self.opened.add(piece.id)
        for at in self.ranks[piece.id]:
            was = self.runs[at]
            self.runs[at] = now = False, was[1] - taken * (at == rank), at
            for takes, batch in product(self.takes, (None, piece.batch)):
                group = self.shared.get((takes, batch))
                if group is not None and piece.kept_for in takes:
                    del group[bisect_left(group, was)]
                    insort(group, now)

    def _groups(self, frame: Frame) -> Iterator[Sequence[Run]]:
        """The stretches of each set of pieces that this frame may come from together."""
        need = sum(frame.rails)
        if frame.pin is not None or frame.one_piece:
            for piece in self._near(frame):
                if piece.length >= need and piece.serves(frame):
                    yield sorted(self.runs[rank] for rank in self.ranks[piece.id])
        elif frame.one_batch and frame.batch is None:
            for batch, length in self.length.items():
                if length >= need:
                    yield self._serving(frame.takes, batch)
        else:
            yield self._serving(frame.takes, frame.batch)

    def _near(self, frame: Frame) -> Sequence[Piece]:
        """The pieces among which a frame finds one to come from."""
        if frame.pin is not None:
            return [self.named[frame.pin]] if frame.pin in self.named else []
        return self.pieces if frame.batch is None else self.of_batch.get(frame.batch, [])

    def _serving(self, takes: tuple[str, ...], batch: str | None) -> list[Run]:
        """The stretches of a batch, or of all pieces, for frames that take this; kept in order."""
        if (takes, batch) not in self.shared:
            pieces = self.pieces if batch is None else self.of_batch.get(batch, [])
            self.shared[takes, batch] = sorted(
                self.runs[rank] for piece in pieces if piece.kept_for in takes
                for rank in self.ranks[piece.id]
            )  # fmt: skip
        return self.shared[takes, batch]

    def _try(self, frame: Frame, group: Sequence[Run]) -> list[tuple[int, int]]:
        """Where the rails of a frame lie on these stretches; nothing where one finds no place."""
        touched: dict[int, Run] = {}
        found = []
        for rail in sorted(range(len(frame.rails)), key=lambda i: (-frame.rails[i], i)):
            need = self.rules.taken(frame.rails[rail])
            fit = self._tightest(group, need, frame.rails[rail], touched)
            if fit is None:
                return []
            _, room, rank = fit
            for other in self.ranks[self.stretches[rank][0].id]:
                touched.setdefault(other, (False, *self.runs[other][1:]))
            touched[rank] = False, room - need, rank
            found.append((rank, rail))
        return found

    def _tightest(
        self, group: Sequence[Run], need: int, rail: int, touched: Mapping[int, Run]
    ) -> Run | None:
        """The stretch that a rail goes to, of a group that a frame has cut from already."""
        for new in (False, True):
            first = bisect_left(group, (new, need, 0))
            untouched = (run for run in islice(group, first, None)
                         if run[2] not in touched and self._gives(run, rail))  # fmt: skip
            cut = (run for run in touched.values() if run[1] >= need and self._gives(run, rail))
            fits = [run for run in (next(untouched, None), *cut) if run and run[0] == new]
            if fits:
                return min(fits)
        return None

    def _gives(self, run: Run, rail: int) -> bool:
        return not self.bowed or self.stretches[run[2]][0].gives(rail)

    def _opens(self, found: list[tuple[int, int]]) -> tuple[int, int, int]:
        """What a way of cutting a frame costs: stick length, pieces touched, room left over."""
        ranks = {rank for rank, _ in found}
        new = {piece.id: piece for piece in (self.stretches[rank][0] for rank in ranks)
               if piece.id not in self.opened}  # fmt: skip
        sticks = sum(piece.length for piece in new.values() if piece.kind == "stick")
        return sticks, len(new), sum(self.runs[rank][1] for rank in ranks)
