"""The judge: finds the faults of a plan against its problem, trusting no solver.

Shares nothing with the code that makes plans but the values of the contract and the worth
function: usable stretches, fits and leftovers are worked out here again, another way.
"""

import itertools
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from planner.values import Cut, Frame, Micrometres, Piece, Plan, Problem, RailCut, Rules
from planner.worth import worth_of

__all__ = ["faults"]


def faults(problem: Problem, plan: Plan) -> tuple[str, ...]:
    """Everything wrong with a plan, one sentence each; none for a plan fit for the saw."""
    pieces = {p.id: p for p in problem.pieces}
    frames = {f.id: f for f in problem.frames}
    known = [c for c in plan.cuts if c.piece in pieces]
    strangers = [f"piece {c.piece} is not on the rack" for c in plan.cuts if c.piece not in pieces]
    return (
        *strangers,
        *_cuts_listed(problem, pieces, known),
        *(fault for cut in known for fault in _cut(problem, pieces[cut.piece], cut)),
        *_rails(frames, known),
        *_frames(problem, plan),
        *_ties(pieces, frames, known),
        *_links(problem, pieces, known),
        *_score(problem, pieces, plan, known),
    )


@dataclass(frozen=True, slots=True)
class _Run:
    """A run between flaws: what the tape says of it, the trims its ends want, one after another,
    what is kept back, and what lies before the first motif.
    """

    tape: int
    trims: tuple[int, ...]
    margin: Micrometres
    lead: Micrometres

    @property
    def usable(self) -> int:
        return self.tape - sum(self.trims) - self.margin - self.lead

    def clear(self, leftover: Micrometres, rails: list[Micrometres], rules: Rules) -> int:
        """What of a leftover is clear: where anything is cut one trim at most is still to come, and
        what the last cut left of a motif."""
        if not rails:
            return leftover - sum(self.trims) - self.lead
        cut = rails[-1] + rules.cut_allowance
        return leftover - max(self.trims, default=0) - _to_motif(cut, rules)


def _to_motif(at: Micrometres, rules: Rules) -> int:
    """From a place on a run, told from a motif, to the next motif."""
    return -at % rules.repeat if rules.repeat else 0


def _lead(piece: Piece, rules: Rules, left: Micrometres, right: Micrometres) -> int:
    """From where a run is cut first to its first motif; a whole repeat where that is not known."""
    order = ["cut", "square", "factory"]
    first = piece.ends[0] if left == 0 else "cut"
    last = piece.ends[1] if right == piece.length else "cut"
    if piece.motif is None or order.index(last) < order.index(first):
        return rules.repeat
    start = left + (rules.end_trim if first == last == "factory" else 0)
    return _to_motif(start - piece.motif, rules)


def _runs(piece: Piece, rules: Rules) -> list[_Run]:
    """The runs of a piece, by walking the edges of its flaws; those that yield nothing are none."""
    edges = sorted({0, piece.length, *itertools.chain.from_iterable(piece.flaws)})
    runs: list[list[int]] = []
    for left, right in itertools.pairwise(edges):
        if any(start < right and end > left for start, end in piece.flaws):
            continue
        if runs and runs[-1][1] == left:
            runs[-1][1] = right
        else:
            runs.append([left, right])
    margin = rules.margin if piece.kind == "offcut" else 0
    found = []
    for left, right in runs:
        reached = [end for at, end in zip((0, piece.length), piece.ends, strict=True)
                   if at in (left, right)]  # fmt: skip
        trims = tuple(rules.end_trim for end in reached if end == "factory")
        lead = _lead(piece, rules, left, right)
        found.append(_Run(right - left, trims, margin, lead))
    return [run for run in found if run.usable > 0]


def _cuts_listed(problem: Problem, pieces: dict[str, Piece], cuts: list[Cut]) -> Iterator[str]:
    listed: dict[str, list[Cut]] = defaultdict(list)
    for cut in cuts:
        listed[cut.piece].append(cut)
    for name, of_piece in listed.items():
        piece = pieces[name]
        numbers = sorted(cut.stretch for cut in of_piece)
        wanted = list(range(len(_runs(piece, problem.rules_of(piece.profile)))))
        if numbers != wanted:
            yield f"piece {name}: stretches {numbers} are listed; it has {wanted}"
        if not any(cut.rails for cut in of_piece):
            yield f"piece {name}: listed, but nothing is cut from it"


def _cut(problem: Problem, piece: Piece, cut: Cut) -> Iterator[str]:
    rules = problem.rules_of(piece.profile)
    runs = _runs(piece, rules)
    where = f"piece {piece.id}, stretch {cut.stretch}"
    if not 0 <= cut.stretch < len(runs):
        return
    run, lengths = runs[cut.stretch], [r.length for r in cut.rails]
    # The saw goes along the stretch: each rail, the loss of the cut that frees it, on to a motif.
    at = gap = 0
    for number, length in enumerate(lengths):
        gap = _to_motif(at + length + rules.cut_allowance, rules)
        at += length + rules.cut_allowance + gap
        # The last cut needs no allowance where it runs off the end.
        over = at - rules.cut_allowance - run.usable
        if over > 0:
            yield f"{where}: rail {number + 1} of {len(lengths)} overruns it by {over} um"
            return
        if piece.longest is not None and length > piece.longest:
            yield f"{where}: rail of {length} um, the piece gives rails up to {piece.longest}"
    # The tape then says what is left, the margin, and the trim of a factory end that is still on.
    left = max(0, run.usable - at)
    on = run.margin + max(run.trims, default=0) + gap
    tape = run.tape if not lengths else left + on if left else 0
    if cut.leftover != tape:
        yield f"{where}: leftover said to be {cut.leftover} um; it is {tape}"
    clear = run.clear(cut.leftover, lengths, rules) if cut.leftover else 0
    if cut.kept != (clear >= rules.keep and clear > 0):
        yield f"{where}: kept is {cut.kept}, {clear} um of leftover are clear, keep {rules.keep}"
    if lengths != sorted(lengths, reverse=True) and not _joined_so(problem, cut):
        yield f"{where}: rails are not longest first: {lengths} um"


def _joined_so(problem: Problem, cut: Cut) -> bool:
    """Whether all but rails of one-piece frames, which may lie as they are joined, are longest
    first."""
    alone = {frame.id for frame in problem.frames if frame.one_piece}
    lengths = [rail.length for rail in cut.rails if rail.frame not in alone]
    return len(lengths) < len(cut.rails) and lengths == sorted(lengths, reverse=True)


def _rails(frames: dict[str, Frame], cuts: list[Cut]) -> Iterator[str]:
    made: Counter[tuple[str, int]] = Counter()
    for rail in (r for c in cuts for r in c.rails):
        frame = frames.get(rail.frame)
        made[rail.frame, rail.rail] += 1
        if frame is None:
            yield f"frame {rail.frame} is not in the problem"
        elif not 0 <= rail.rail < len(frame.rails):
            yield f"frame {rail.frame}: has no rail {rail.rail}"
        elif frame.rails[rail.rail] != rail.length:
            wanted = frame.rails[rail.rail]
            yield f"frame {rail.frame}: rail {rail.rail} is cut {rail.length} um, not {wanted}"
    for (name, number), times in made.items():
        if times > 1:
            yield f"frame {name}: rail {number} is cut {times} times"


def _by_frame(cuts: list[Cut]) -> dict[str, list[tuple[RailCut, str]]]:
    found: dict[str, list[tuple[RailCut, str]]] = defaultdict(list)
    for cut in cuts:
        for rail in cut.rails:
            found[rail.frame].append((rail, cut.piece))
    return found


def _frames(problem: Problem, plan: Plan) -> Iterator[str]:
    made = _by_frame(list(plan.cuts))
    short = Counter(s.frame for s in plan.short)
    for frame in problem.frames:
        numbers = {rail.rail for rail, _ in made[frame.id]}
        missing = [n for n in range(len(frame.rails)) if n not in numbers]
        if numbers and missing:
            yield f"frame {frame.id}: rails {missing} are not cut; a frame is cut whole or not"
        if numbers and short[frame.id]:
            yield f"frame {frame.id}: cut, and said to be short"
        if not numbers and not short[frame.id]:
            yield f"frame {frame.id}: neither cut nor said to be short"
        lengths = {rail.rail: rail.length for rail, _ in made[frame.id]}
        if frame.pairs and len(frame.rails) == 4 and len(lengths) == 4:
            for a, b in ((0, 2), (1, 3)):
                if lengths.get(a) != lengths.get(b):
                    yield f"frame {frame.id}: opposite rails {a} and {b} differ"
    names = {f.id for f in problem.frames}
    for name, times in short.items():
        if name not in names:
            yield f"frame {name}: said to be short, but not in the problem"
        if times > 1:
            yield f"frame {name}: said to be short {times} times"
    for entry in plan.short:
        if not entry.why.code:
            yield f"frame {entry.frame}: short without a reason"


def _ties(pieces: dict[str, Piece], frames: dict[str, Frame], cuts: list[Cut]) -> Iterator[str]:
    for name, made in _by_frame(cuts).items():
        frame = frames.get(name)
        if frame is None:
            continue
        used = {piece for _, piece in made}
        batches = {pieces[piece].batch for piece in used}
        for piece in sorted(used):
            if pieces[piece].profile != frame.profile:
                yield f"frame {name}: {frame.profile}, cut from {pieces[piece].profile} {piece}"
            if pieces[piece].kept_for not in frame.takes:
                kept = pieces[piece].kept_for
                yield f"frame {name}: cut from {piece}, kept for {kept!r}; it takes {frame.takes}"
        if frame.one_batch and len(batches) > 1:
            yield f"frame {name}: one batch asked, cut from {sorted(batches)}"
        if frame.one_piece and len(used) > 1:
            yield f"frame {name}: one piece asked, cut from {sorted(used)}"
        if frame.pin is not None and used != {frame.pin}:
            yield f"frame {name}: pinned to {frame.pin}, cut from {sorted(used)}"
        if frame.batch is not None and batches != {frame.batch}:
            yield f"frame {name}: batch {frame.batch} asked, cut from {sorted(batches)}"


def _links(problem: Problem, pieces: dict[str, Piece], cuts: list[Cut]) -> Iterator[str]:
    """Linked frames are cut all or none; those of one profile that want one batch share it."""
    made = _by_frame(cuts)
    for link in sorted({f.link for f in problem.frames if f.link is not None}):
        mine = [f for f in problem.frames if f.link == link]
        cut, left = ([f.id for f in mine if (f.id in made) == here] for here in (True, False))
        if cut and left:
            yield f"link {link}: {cut} are cut, {left} are not; linked frames are cut all or none"
        for profile in sorted({f.profile for f in mine}):
            bound = [f.id for f in mine if f.one_batch and f.profile == profile]
            batches = {pieces[name].batch for f in bound for _, name in made.get(f, ())}
            if len(batches) > 1:
                yield f"link {link}: one batch asked for {bound}, cut from {sorted(batches)}"


def _score(
    problem: Problem, pieces: dict[str, Piece], plan: Plan, cuts: list[Cut]
) -> Iterator[str]:
    reached, bounds = plan.reached, plan.bounds
    used = {cut.piece for cut in cuts}
    opened = {name for name in used if pieces[name].kind == "stick"}
    cut = len({rail.frame for c in cuts for rail in c.rails})
    length = sum(pieces[name].length for name in opened)
    worth = {
        profile: worth_of(problem, profile) for profile in {p.profile for p in pieces.values()}
    }
    rules = {name: problem.rules_of(pieces[name].profile) for name in used}
    runs = {name: _runs(pieces[name], rules[name]) for name in used}
    gained = sum(
        worth[pieces[c.piece].profile](runs[c.piece][c.stretch].clear(
            c.leftover, [rail.length for rail in c.rails], rules[c.piece]))
        for c in cuts if 0 <= c.stretch < len(runs[c.piece])
    )  # fmt: skip
    for name in used - opened:
        for run in runs[name]:
            gained -= worth[pieces[name].profile](run.clear(run.tape, [], rules[name]))
    for what, said, found in (
        ("frames cut", reached.frames_cut, cut),
        ("stick length opened", reached.stick_opened, length),
        ("worth", reached.worth, gained),
    ):
        if said != found:
            yield f"{what}: said to be {said}; it is {found}"
    yield from _proof(plan)
    for name in sorted(set(plan.why_opened) ^ opened):
        yield f"piece {name}: a reason for opening it is {'missing' if name in opened else 'idle'}"
    for name in sorted(set(plan.why_pinned) - {f.id for f in problem.frames if f.pin is not None}):
        yield f"frame {name}: the cost of a pin is told, but it has none"
    bound = {f.link for f in problem.frames if f.link is not None and f.one_batch}
    for name in sorted(set(plan.why_matched) - bound):
        yield f"link {name}: the cost of matching is told, but none of its frames has to match"
    if bounds.frames_cut > len(problem.frames):
        yield f"frames cut: bound {bounds.frames_cut}, with {len(problem.frames)} frames asked"


def _proof(plan: Plan) -> Iterator[str]:
    reached, bounds = plan.reached, plan.bounds
    if plan.proof not in ("optimal", "feasible"):
        yield f"proof: {plan.proof!r} is neither 'optimal' nor 'feasible'"
    if plan.proof == "optimal" and reached != bounds:
        yield f"proof: said to be optimal, reached {reached}, bound {bounds}"
    if reached.frames_cut > bounds.frames_cut:
        yield f"frames cut: {reached.frames_cut} reached, over the bound {bounds.frames_cut}"
    if reached.stick_opened < bounds.stick_opened:
        yield f"stick length opened: {reached.stick_opened}, under the bound {bounds.stick_opened}"
    if reached.worth > bounds.worth:
        yield f"worth: {reached.worth} reached, over the bound {bounds.worth}"
