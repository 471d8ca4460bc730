"""Ways of planning a day as plain functions from the planner's problem to its plan."""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import planner
from planner.heuristics.best_fit import hand_plan, loose_bounds
from planner.heuristics.look_ahead import laid_ahead, laid_stepwise
from planner.score import Laid, cuts_of, score_of
from planner.sorting import by_age, by_due
from planner.stretches import stretches
from planner.values import Curve, Frame, Limits, Piece, Plan, Problem, Reason, Short
from stockroom.worth.by_batch import BatchWorth
from stockroom.worth.choose_batch import Batches, BatchTaken, laid_of

__all__ = [
    "POLICIES",
    "Choose",
    "Clear",
    "Pick",
    "Policy",
    "batch_worth",
    "learned",
    "learned_together",
    "plan_of",
]

Choose = Callable[[Problem], Plan]
Pick = Callable[[Problem, Collection[str]], Plan]
Clear = Callable[[Sequence[Piece]], frozenset[str]]
SECONDS = Limits(2.0)


@dataclass(frozen=True, slots=True)
class Policy:
    """A named way of planning; ``ahead`` is how many days before its due date a frame is seen.

    ``choose`` plans all frames alike; ``pick`` is told which are due, and plans of the others
    only those that it wants cut with them. ``clear`` names the offcuts of a rack that are thrown
    out at the end of a day.
    """

    name: str
    choose: Choose | None = None
    ahead: int = 0
    pick: Pick | None = None
    clear: Clear | None = None

    def __post_init__(self) -> None:
        if self.ahead < 0:
            raise ValueError(f"{self.name}: it cannot look {self.ahead} days ahead")
        if (self.choose is None) == (self.pick is None):
            raise ValueError(f"{self.name}: it either chooses or picks")

    def plan(self, problem: Problem, due: Collection[str]) -> Plan:
        """The plan of a day on which the frames of these names are due."""
        if self.pick is not None:
            return self.pick(problem, due)
        assert self.choose is not None
        return self.choose(problem)


def new_stick(problem: Problem) -> Plan:
    """Always a new stick: the offcuts stay where they are."""
    sticks = tuple(piece for piece in problem.pieces if piece.kind == "stick")
    return hand_plan(replace(problem, pieces=sticks))


def oldest_offcut(problem: Problem) -> Plan:
    """Each rail, longest first, from the oldest offcut or opened stick that takes it."""
    laid: Laid = {}
    pieces = sorted(problem.pieces, key=by_age)
    room = {
        (piece.id, number): stretch.length + problem.rules_of(piece.profile).cut_allowance
        for piece in pieces
        for number, stretch in enumerate(stretches(piece, problem.rules_of(piece.profile)))
    }
    for frame in sorted(problem.frames, key=by_due):
        for group in groups(frame, pieces):
            if places := _oldest(problem, frame, group, room, laid):
                for place, rail in places:
                    room[place] -= _need(problem, frame, rail)
                    laid.setdefault(place, []).append((frame.id, rail))
                break
    return plan_of(problem, laid)


def groups(frame: Frame, pieces: Sequence[Piece]) -> Iterator[list[Piece]]:
    """The sets of pieces this frame may come from together, in the order of the pieces."""
    fits = [p for p in pieces if frame.pin in (None, p.id) and frame.batch in (None, p.batch)]
    if frame.one_piece:
        yield from ([p] for p in fits)
    elif frame.one_batch:
        for batch in dict.fromkeys(p.batch for p in fits):
            yield [p for p in fits if p.batch == batch]
    else:
        yield fits


def _need(problem: Problem, frame: Frame, rail: int) -> int:
    return frame.rails[rail] + problem.rules_of(frame.profile).cut_allowance


Place = tuple[str, int]


def _oldest(
    problem: Problem, frame: Frame, group: Sequence[Piece], room: Mapping[Place, int], laid: Laid
) -> list[tuple[Place, int]]:
    """Where the frame's rails go if all of them find a place in this group; else nothing."""
    left, places = dict(room), []
    opened = {piece for piece, _ in laid}
    for rail in sorted(range(len(frame.rails)), key=lambda i: (-frame.rails[i], i)):
        order = sorted(group, key=lambda p: p.kind == "stick" and p.id not in opened)
        fits = [
            place for piece in order for place in left
            if place[0] == piece.id and left[place] >= _need(problem, frame, rail)
        ]  # fmt: skip
        if not fits:
            return []
        left[fits[0]] -= _need(problem, frame, rail)
        opened.add(fits[0][0])
        places.append((fits[0], rail))
    return places


def plan_of(problem: Problem, laid: Laid) -> Plan:
    """Rails laid on stretches as a plan that promises nothing about being best."""
    cuts = cuts_of(problem, laid)
    done = {rail.frame for cut in cuts for rail in cut.rails}
    short = tuple(Short(f.id, Reason("by_policy")) for f in problem.frames
                  if f.id not in done)  # fmt: skip
    sticks = {piece.id for piece in problem.pieces if piece.kind == "stick"}
    why = {cut.piece: Reason("by_policy") for cut in cuts if cut.piece in sticks}
    reached = score_of(problem, cuts)
    return Plan(cuts, short, reached, loose_bounds(problem, reached), "feasible", 0.0, why)


def least_scrap(problem: Problem) -> Plan:
    """The fewest sticks, then the least scrap: every kept leftover is worth its length."""
    lengths = {frame.profile: ((1, 1),) for frame in problem.frames}
    return reckoned(problem, planner.plan(replace(problem, worth=lengths, limits=SECONDS)))


def reckoned(problem: Problem, plan: Plan) -> Plan:
    """A plan made by another worth, its score in the worth of this problem."""
    laid: Laid = {}
    for cut in plan.cuts:
        laid[cut.piece, cut.stretch] = [(rail.frame, rail.rail) for rail in cut.rails]
    return plan_of(problem, laid)


def planner_aims(problem: Problem) -> Plan:
    """The planner's aims in their order, with its default worth."""
    return planner.plan(replace(problem, limits=SECONDS))


def weighed(problem: Problem) -> Plan:
    """Worth alone, all frames of the day at once: sticks weighed against what stays."""
    return planner.plan(replace(problem, aims="weighed", limits=SECONDS))


def by_frames(problem: Problem) -> Plan:
    """Worth alone, one frame after another: what is taken costs its worth, a stick its length."""
    return plan_of(problem, laid_stepwise(problem))


def learned(curves: Mapping[str, Curve]) -> Choose:
    """Worth frame by frame, by curves learned from jobs; the default where there is none."""

    def choose(problem: Problem) -> Plan:
        """Worth frame by frame, by the learned curves."""
        known = known_of(problem, curves)
        return plan_of(problem, laid_stepwise(replace(problem, worth=known)))

    return choose


def together(problem: Problem, due: Collection[str]) -> Plan:
    """Worth alone, jobs due and jobs ahead planned together, later ones cut where that pays."""
    return plan_of(problem, laid_ahead(problem, due))


def learned_together(curves: Mapping[str, Curve]) -> Pick:
    """The same, by curves learned from jobs; the default where there is none."""

    def pick(problem: Problem, due: Collection[str]) -> Plan:
        """Jobs due and ahead together, by the learned curves."""
        known = known_of(problem, curves)
        return plan_of(problem, laid_ahead(replace(problem, worth=known), due))

    return pick


def batch_worth(
    worths: Mapping[str, BatchWorth], curves: Mapping[str, Curve] | None = None
) -> Pick:
    """Frames from one batch each, cut where their batches then are worth the most.

    With ``curves``, what comes from batches that are not small is planned again together, with
    all jobs that are known, by these worths of single leftovers.
    """

    def pick(problem: Problem, due: Collection[str]) -> Plan:
        """Jobs due, and those ahead that a batch can take at no loss, by the batches' worth."""
        laid: Laid = {}
        for code in sorted({frame.profile for frame in problem.frames}):
            batches = Batches(problem, code, worths[code])
            frames = [frame for frame in problem.frames if frame.profile == code]
            taken = batches.plan(frames, due)
            own = laid_of(taken)
            if curves is not None:
                small = [one for one in taken if batches.is_small(one.batch)]
                own = _with_more(problem, code, batches, small, due, curves) or own
            laid |= own
        return plan_of(problem, laid)

    return pick


def _with_more(
    problem: Problem, code: str, batches: Batches, small: Sequence[BatchTaken],
    due: Collection[str], curves: Mapping[str, Curve],
) -> Laid:  # fmt: skip
    """What small batches yield, and the rest planned together; nothing if a job due is left."""
    done = {one.frame for one in small}
    frames = tuple(f for f in problem.frames if f.profile == code and f.id not in done)
    pieces = tuple(p for p in problem.pieces
                   if p.profile == code and not batches.is_small(p.batch))  # fmt: skip
    rest = replace(problem, frames=frames, pieces=pieces)
    laid = laid_ahead(replace(rest, worth=known_of(rest, curves)), due) if frames else {}
    cut = {frame for rails in laid.values() for frame, _ in rails}
    return {} if {f.id for f in frames} & set(due) - cut else laid_of(small) | laid


def known_of(problem: Problem, curves: Mapping[str, Curve]) -> dict[str, Curve]:
    """The curves of the profiles that a problem asks for."""
    wanted = {frame.profile for frame in problem.frames}
    return {code: curve for code, curve in curves.items() if code in wanted}


POLICIES = (
    Policy("always a new stick", new_stick),
    Policy("picked by eye", hand_plan),
    Policy("oldest offcut that fits", oldest_offcut),
    Policy("fewest sticks, then scrap", least_scrap),
    Policy("the planner's aims", planner_aims),
    Policy("worth alone, weighed by the planner", weighed),
    Policy("worth alone, frame by frame", by_frames),
    Policy("picked by eye, 5 days ahead", hand_plan, 5),
    Policy("worth alone, frame by frame, 5 days ahead", by_frames, 5),
    Policy("worth alone, together, 10 days ahead", ahead=10, pick=together),
)
