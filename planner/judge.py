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
    return tuple(_Judge(problem, plan).faults())


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


class _Judge:
    """A plan beside its problem: the cuts of pieces that there are, their runs, the rails made."""

    def __init__(self, problem: Problem, plan: Plan) -> None:
        self.problem, self.plan = problem, plan
        self.pieces = {piece.id: piece for piece in problem.pieces}
        self.frames = {frame.id: frame for frame in problem.frames}
        self.cuts: dict[str, list[Cut]] = defaultdict(list)
        self.made: dict[str, list[tuple[RailCut, Piece]]] = defaultdict(list)
        for cut in plan.cuts:
            if cut.piece in self.pieces:
                self.cuts[cut.piece].append(cut)
                for rail in cut.rails:
                    self.made[rail.frame].append((rail, self.pieces[cut.piece]))
        self.rules = {name: problem.rules_of(self.pieces[name].profile) for name in self.cuts}
        self.runs = {name: _runs(self.pieces[name], self.rules[name]) for name in self.cuts}
        self.left = Counter(entry.frame for entry in plan.short)
        self.alone = {frame.id for frame in problem.frames if frame.one_piece}

    def faults(self) -> Iterator[str]:
        """All that is wrong."""
        yield from [f"piece {c.piece} is not on the rack" for c in self.plan.cuts
                    if c.piece not in self.pieces]  # fmt: skip
        for name, cuts in self.cuts.items():
            yield from self.listed(name, cuts)
            for cut in cuts:
                if 0 <= cut.stretch < len(self.runs[name]):
                    yield from self.cut(cut, self.runs[name][cut.stretch])
        yield from self.rails()
        for frame in self.problem.frames:
            yield from self.whole(frame)
            yield from self.ties(frame)
        yield from self.short()
        yield from self.links()
        yield from self.score()
        yield from self.reasons()
        yield from _proof(self.problem, self.plan)

    def listed(self, name: str, cuts: list[Cut]) -> Iterator[str]:
        """The stretches of a piece are all there, and something is cut."""
        numbers, wanted = sorted(cut.stretch for cut in cuts), list(range(len(self.runs[name])))
        if numbers != wanted:
            yield f"piece {name}: stretches {numbers} are listed; it has {wanted}"
        if not any(cut.rails for cut in cuts):
            yield f"piece {name}: listed, but nothing is cut from it"

    def cut(self, cut: Cut, run: _Run) -> Iterator[str]:
        """The saw goes along a run: each rail, the loss of the cut that frees it, on to a motif."""
        piece, rules = self.pieces[cut.piece], self.rules[cut.piece]
        where, lengths = f"piece {cut.piece}, stretch {cut.stretch}", [r.length for r in cut.rails]
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
        # The tape then says what is left, the margin, and the trim of a factory end still on.
        left = max(0, run.usable - at)
        on = run.margin + max(run.trims, default=0) + gap
        tape = run.tape if not lengths else left + on if left else 0
        if cut.leftover != tape:
            yield f"{where}: leftover said to be {cut.leftover} um; it is {tape}"
        clear, keep = run.clear(cut.leftover, lengths, rules) if cut.leftover else 0, rules.keep
        if cut.kept != (clear >= keep and clear > 0):
            yield f"{where}: kept is {cut.kept}, {clear} um of leftover are clear, keep {keep}"
        # Rails of frames of one piece may lie as they are joined.
        others = [rail.length for rail in cut.rails if rail.frame not in self.alone]
        if others != sorted(others, reverse=True):
            yield f"{where}: rails are not longest first: {lengths} um"

    def rails(self) -> Iterator[str]:
        """Each rail is one that is asked, of its length, and is cut once."""
        for name, made in self.made.items():
            frame = self.frames.get(name)
            if frame is None:
                yield f"frame {name} is not in the problem"
                continue
            for number, times in Counter(rail.rail for rail, _ in made).items():
                if times > 1:
                    yield f"frame {name}: rail {number} is cut {times} times"
                if not 0 <= number < len(frame.rails):
                    yield f"frame {name}: has no rail {number}"
            for rail, _ in made:
                wanted = dict(enumerate(frame.rails)).get(rail.rail, rail.length)
                if rail.length != wanted:
                    yield f"frame {name}: rail {rail.rail} is cut {rail.length} um, not {wanted}"

    def whole(self, frame: Frame) -> Iterator[str]:
        """A frame is cut whole or not, and said to be short where it is not."""
        lengths = {rail.rail: rail.length for rail, _ in self.made.get(frame.id, ())}
        missing = [n for n in range(len(frame.rails)) if n not in lengths]
        short = frame.id in self.left
        if lengths and missing:
            yield f"frame {frame.id}: rails {missing} are not cut; a frame is cut whole or not"
        if lengths and short:
            yield f"frame {frame.id}: cut, and said to be short"
        if not lengths and not short:
            yield f"frame {frame.id}: neither cut nor said to be short"
        if frame.pairs and len(frame.rails) == 4 and len(lengths) == 4:
            for a, b in ((0, 2), (1, 3)):
                if lengths.get(a) != lengths.get(b):
                    yield f"frame {frame.id}: opposite rails {a} and {b} differ"

    def short(self) -> Iterator[str]:
        """Each frame that is said to be short is asked, told once, and has a reason."""
        for name, times in self.left.items():
            if name not in self.frames:
                yield f"frame {name}: said to be short, but not in the problem"
            if times > 1:
                yield f"frame {name}: said to be short {times} times"
        for entry in self.plan.short:
            if not entry.why.code:
                yield f"frame {entry.frame}: short without a reason"

    def ties(self, frame: Frame) -> Iterator[str]:
        """A frame comes from pieces that it may come from, and those from what ties them."""
        name, used = frame.id, {piece.id: piece for _, piece in self.made.get(frame.id, ())}
        batches, names = {piece.batch for piece in used.values()}, sorted(used)
        for piece in (used[one] for one in names):
            if piece.profile != frame.profile:
                yield f"frame {name}: {frame.profile}, cut from {piece.profile} {piece.id}"
            if piece.kept_for not in frame.takes:
                kept = f"{piece.id}, kept for {piece.kept_for!r}"
                yield f"frame {name}: cut from {kept}; it takes {frame.takes}"
        if frame.one_batch and len(batches) > 1:
            yield f"frame {name}: one batch asked, cut from {sorted(batches)}"
        if frame.one_piece and len(used) > 1:
            yield f"frame {name}: one piece asked, cut from {names}"
        if used and frame.pin is not None and names != [frame.pin]:
            yield f"frame {name}: pinned to {frame.pin}, cut from {names}"
        if used and frame.batch is not None and batches != {frame.batch}:
            yield f"frame {name}: batch {frame.batch} asked, cut from {sorted(batches)}"

    def links(self) -> Iterator[str]:
        """Linked frames are cut all or none; those of one profile that want one batch share it."""
        linked: dict[str, list[Frame]] = defaultdict(list)
        for frame in self.problem.frames:
            if frame.link is not None:
                linked[frame.link].append(frame)
        for link, mine in sorted(linked.items()):
            cut, left = ([f.id for f in mine if (f.id in self.made) == so] for so in (True, False))
            if cut and left:
                what = f"{cut} are cut, {left} are not"
                yield f"link {link}: {what}; linked frames are cut all or none"
            for profile in sorted({f.profile for f in mine}):
                bound = [f.id for f in mine if f.one_batch and f.profile == profile]
                batches = {piece.batch for f in bound for _, piece in self.made.get(f, ())}
                if len(batches) > 1:
                    yield f"link {link}: one batch asked for {bound}, cut from {sorted(batches)}"

    def score(self) -> Iterator[str]:
        """What the plan says that it reaches is what it reaches."""
        worths = {profile: worth_of(self.problem, profile)
                  for profile in {self.pieces[name].profile for name in self.cuts}}  # fmt: skip
        length = gained = 0
        for name, cuts in self.cuts.items():
            piece, runs, rules = self.pieces[name], self.runs[name], self.rules[name]
            worth = worths[piece.profile]
            for cut in cuts:
                if 0 <= cut.stretch < len(runs):
                    rails = [rail.length for rail in cut.rails]
                    gained += worth(runs[cut.stretch].clear(cut.leftover, rails, rules))
            if piece.kind == "stick":
                length += piece.length
            else:
                gained -= sum(worth(run.clear(run.tape, [], rules)) for run in runs)
        reached = self.plan.reached
        for what, said, found in (
            ("frames cut", reached.frames_cut, len(self.made)),
            ("stick length opened", reached.stick_opened, length),
            ("worth", reached.worth, gained),
        ):
            if said != found:
                yield f"{what}: said to be {said}; it is {found}"

    def reasons(self) -> Iterator[str]:
        """Reasons are told of what needs them, and of nothing else."""
        plan, frames = self.plan, self.problem.frames
        opened = {name for name in self.cuts if self.pieces[name].kind == "stick"}
        for name in sorted(set(plan.why_opened) ^ opened):
            what = "missing" if name in opened else "idle"
            yield f"piece {name}: a reason for opening it is {what}"
        for name in sorted(set(plan.why_pinned) - {f.id for f in frames if f.pin is not None}):
            yield f"frame {name}: the cost of a pin is told, but it has none"
        for name in sorted(set(plan.why_matched) - {f.link for f in frames if f.one_batch}):
            yield f"link {name}: the cost of matching is told, but none of its frames has to match"


def _proof(problem: Problem, plan: Plan) -> Iterator[str]:
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
    if bounds.frames_cut > len(problem.frames):
        yield f"frames cut: bound {bounds.frames_cut}, with {len(problem.frames)} frames asked"
