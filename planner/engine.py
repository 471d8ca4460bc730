"""One profile planned: hand rule first, then the exact choice among patterns, then the reasons."""

import contextlib
import time
from collections import Counter, defaultdict

from planner.hand import hand_laid, loose_bounds
from planner.layout import Laid, cuts_of, score_of
from planner.master import Master, master_of
from planner.model import Model, model_of
from planner.order import by_age, by_due
from planner.patterns import Pattern, TooMany, patterns_of
from planner.program import Answer
from planner.reasons import why_opened, why_short
from planner.stop import Stop
from planner.values import Plan, Problem, Proof, Score, stretches

__all__ = ["plan_profile"]

# Above this many patterns the exact choice would not end in a framer's time.
MOST_PATTERNS = 30_000


def plan_profile(problem: Problem, stop: Stop) -> Plan:
    """The plan of a problem whose frames are all of one profile."""
    started = time.monotonic()
    laid = hand_laid(problem)
    reached = score_of(problem, cuts_of(problem, laid))
    bounds, optimal = loose_bounds(problem, reached), False
    if not stop.over() and any(p.profile == problem.frames[0].profile for p in problem.pieces):
        with contextlib.suppress(TooMany):
            laid, bounds, optimal = _exact(problem, laid, stop)
    cuts = cuts_of(problem, laid)
    reached = score_of(problem, cuts)
    optimal = optimal or bounds == reached
    done = {name for rails in laid.values() for name, _ in rails}
    frames = sorted(problem.frames, key=by_due)
    short = why_short(problem, cuts, [f for f in frames if f.id not in done], optimal)
    opened = why_opened(problem, cuts, bounds)
    proof: Proof = "optimal" if optimal and bounds == reached else "feasible"
    return Plan(cuts, short, reached, bounds, proof, time.monotonic() - started, opened)


def _exact(problem: Problem, hand: Laid, stop: Stop) -> tuple[Laid, Score, bool]:
    from planner.cpsat import solve

    model = model_of(problem)
    patterns = patterns_of(model, MOST_PATTERNS)
    master = master_of(model, patterns, problem.aims)
    answer = solve(
        master.program, _hint(model, patterns, master, hand), stop, problem.limits.workers
    )
    laid = _lay(model, patterns, master, answer.values)
    reached = score_of(problem, cuts_of(problem, laid))
    bounds = _bounds(problem, model, answer, reached)
    return laid, bounds, bounds == reached and None not in answer.bounds[:-1]


def _bounds(problem: Problem, model: Model, answer: Answer, reached: Score) -> Score:
    """What is proven possible at best, each aim with those before it as reached."""
    tiers = len(model.tiers)
    frames = sum(
        count if bound is None else bound
        for bound, count in zip(answer.bounds, model.tiers, strict=False)
    )
    loose = loose_bounds(problem, reached)
    if problem.aims == "weighed":
        bound = answer.bounds[tiers]
        most = loose.worth if bound is None else bound + reached.stick_opened
        return Score(frames, reached.stick_opened, most)
    opened, worth = answer.bounds[tiers], answer.bounds[tiers + 1]
    return Score(frames, 0 if opened is None else -opened, loose.worth if worth is None else worth)


def _hint(model: Model, patterns: list[Pattern], master: Master, laid: Laid) -> tuple[int, ...]:
    """The hand rule's plan as values of the program's variables."""
    values = [0] * len(master.program.most)
    owner = {name: t for t, kind in enumerate(model.types) for name in kind.pieces}
    group_of = {name: g for g, group in enumerate(model.groups) for name in group.frames}
    frames = {f.id: f for f in model.problem.frames}
    lengths = {length: i for i, length in enumerate(model.lengths)}
    number = {(p.kind, p.bundles, p.loose): j for j, p in enumerate(patterns)}
    used: dict[str, Counter[int]] = defaultdict(Counter)
    whole: dict[str, set[str]] = defaultdict(set)
    batch_of: dict[str, str] = {}
    for (piece, _), rails in laid.items():
        for name, rail in rails:
            batch_of[name] = model.types[owner[piece]].batch
            if model.groups[group_of[name]].link == "piece":
                whole[piece].add(name)
            else:
                used[piece][lengths[frames[name].rails[rail]]] += 1
    taken: Counter[int] = Counter()
    for piece in sorted(set(used) | set(whole)):
        bundles = Counter(group_of[name] for name in whole[piece])
        key = (
            owner[piece],
            tuple(bundles[g] for g in model.bundles),
            tuple(used[piece][i] for i in range(len(model.lengths))),
        )
        values[master.uses[number[key]]] += 1
        taken[owner[piece]] += 1
    for t, count in taken.items():
        for variable in master.fetched[t][:count]:
            values[variable] = 1
    for name, batch in batch_of.items():
        g = group_of[name]
        values[master.frames[g, batch if model.groups[g].link == "batch" else ""]] += 1
    return _rest(master, values)


def _rest(master: Master, values: list[int]) -> tuple[int, ...]:
    """Fill in the loose rails left for frames tied to nothing, each from its own row."""
    known = {*master.uses, *master.frames.values(), *(v for vs in master.fetched for v in vs)}
    for terms, _, high in master.program.rows:
        own = [v for v in terms if v not in known]
        if len(own) == 1 and terms[own[0]] == -1 and high == 0:
            values[own[0]] = sum(c * values[v] for v, c in terms.items() if v in known)
    return tuple(values)


def _lay(model: Model, patterns: list[Pattern], master: Master, values: tuple[int, ...]) -> Laid:
    """From how often each pattern is cut to which rail of which frame lies on which stretch."""
    problem = model.problem
    pieces = {p.id: p for p in problem.pieces}
    spare: dict[tuple[str, int], list[tuple[str, int]]] = defaultdict(list)
    whole: dict[int, list[tuple[str, dict[int, list[tuple[str, int]]]]]] = defaultdict(list)
    next_piece = [iter(kind.pieces) for kind in model.types]
    for use, pattern in zip(master.uses, patterns, strict=True):
        for _ in range(values[use]):
            name = next(next_piece[pattern.kind])
            usable = stretches(pieces[name], problem.rules_of(pieces[name].profile))
            order = sorted(range(len(usable)), key=lambda n: (-usable[n].length, n))
            slots: dict[int, list[tuple[str, int]]] = defaultdict(list)
            for number, counts in zip(order, pattern.split, strict=True):
                for index, count in enumerate(counts):
                    slots[index] += [(name, number)] * count
            for g, count in zip(model.bundles, pattern.bundles, strict=True):
                whole[g] += [(name, slots)] * count
            for index, count in enumerate(pattern.loose):
                batch = model.types[pattern.kind].batch
                keep = len(slots[index]) - count
                spare[batch, index] += slots[index][keep:]
                slots[index] = slots[index][:keep]
    return _deal(model, master, values, spare, whole)


def _deal(
    model: Model, master: Master, values: tuple[int, ...],
    spare: dict[tuple[str, int], list[tuple[str, int]]],
    whole: dict[int, list[tuple[str, dict[int, list[tuple[str, int]]]]]],
) -> Laid:  # fmt: skip
    """Hand the rails cut to the frames, in the order of due dates and ids."""
    laid: Laid = {}
    ages = {p.id: by_age(p) for p in model.problem.pieces}
    pools = {key: sorted(slots, key=lambda s: (ages[s[0]], s[1])) for key, slots in spare.items()}
    batches = sorted({kind.batch for kind in model.types})
    turns: list[tuple[str, str, dict[int, list[tuple[str, int]]] | None]] = []
    for g, group in enumerate(model.groups):
        names = iter(group.frames)
        if group.link == "piece":
            turns += [(next(names), "", slots) for _, slots in whole[g]]
        elif group.link == "batch":
            for batch in group.batches:
                turns += [
                    (next(names), batch, None) for _ in range(values[master.frames[g, batch]])
                ]
    # Frames tied to nothing take what is left, so they come last.
    for g, group in enumerate(model.groups):
        if group.link == "free":
            turns += [(name, "*", None) for name in group.frames[: values[master.frames[g, ""]]]]
    frames = {f.id: f for f in model.problem.frames}
    lengths = {length: i for i, length in enumerate(model.lengths)}
    for name, batch, slots in turns:
        for rail, length in enumerate(frames[name].rails):
            index = lengths[length]
            if slots is not None:
                place = slots[index].pop(0)
            else:
                keys = [(b, index) for b in (batches if batch == "*" else [batch])]
                place = next(pools[key].pop(0) for key in keys if pools.get(key))
            laid.setdefault(place, []).append((name, rail))
    return laid
