"""Why a frame is short and what would cure it; why a stick was opened. In plain words.

Lengths in these sentences are decimal millimetres, each followed by ``mm``.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from planner.explain.cure import least_sticks, left_for
from planner.stretches import stretches
from planner.values import Cut, Frame, Piece, Problem, Score, Short

__all__ = ["mm", "why_opened", "why_short"]


def mm(length: int) -> str:
    """A length in micrometres as decimal mm, exact: ``812.8 mm``."""
    whole, part = divmod(length, 1000)
    return f"{whole}.{part:03d}".rstrip("0").rstrip(".") + " mm"


def why_opened(problem: Problem, cuts: tuple[Cut, ...], bounds: Score) -> dict[str, str]:
    """For each stick opened: the frames it serves, and that offcuts alone would not do."""
    sticks = {p.id: p for p in problem.pieces if p.kind == "stick"}
    served: dict[str, dict[str, None]] = defaultdict(dict)
    for cut in cuts:
        if cut.piece in sticks:
            served[cut.piece].update(dict.fromkeys(rail.frame for rail in cut.rails))
    opened = sum(sticks[name].length for name in served)
    return {
        name: f"for {', '.join(frames)}: {_needed(problem, opened, sticks[name].length, bounds)}"
        for name, frames in served.items()
    }


def _needed(problem: Problem, opened: int, length: int, bounds: Score) -> str:
    """What is proven of opening a stick: the bound, and whether the other sticks alone meet it."""
    if problem.aims == "weighed":
        return "weighed with what stays on the rack, no better plan was found without it"
    if not bounds.stick_opened:
        return "no way was found to cut these frames from offcuts alone"
    why = f"at least {mm(bounds.stick_opened)} of sticks must be opened for these frames"
    if opened - length < bounds.stick_opened:
        return why
    return f"{why}; {mm(opened)} are, and that none can be spared is not proven"


def why_short(
    problem: Problem, cuts: tuple[Cut, ...], frames: list[Frame], optimal: bool
) -> tuple[Short, ...]:
    """Each frame left out, why, and what would cure it."""
    return tuple(Short(f.id, _why(problem, f, cuts, optimal)) for f in frames)


def _why(problem: Problem, frame: Frame, cuts: tuple[Cut, ...], optimal: bool) -> str:
    rules = problem.rules_of(frame.profile)
    rack = [p for p in problem.pieces if p.profile == frame.profile]
    allowed = [p for p in rack if frame.pin in (None, p.id) and frame.batch in (None, p.batch)]
    if not rack:
        return f"no piece of {frame.profile} is on the rack; {_cure(problem, frame, cuts)}"
    if not allowed:
        tie = f"batch {frame.batch}"
        if frame.pin is not None:
            return f"piece {frame.pin} is not of {tie}; take off the pin or the batch"
        return f"no piece of {tie} is on the rack; {_cure(problem, frame, cuts)}"
    room = {p.id: [s.length for s in stretches(p, rules)] for p in allowed}
    longest, rail = max((s for runs in room.values() for s in runs), default=0), max(frame.rails)
    if rail > longest:
        whose = f"piece {frame.pin}" if frame.pin else "any piece it may come from"
        return f"a rail of {mm(rail)} is longer than {whose} (longest stretch {mm(longest)}); " + (
            _cure(problem, frame, cuts)
        )
    need = sum(frame.rails) + (len(frame.rails) - 1) * rules.cut_allowance
    for what, groups in _ways(frame, allowed):
        most = max(sum(sum(room[p.id]) for p in group) for group in groups)
        if most < sum(frame.rails):
            return f"its rails take {mm(need)} and {what} {mm(most)}; {_cure(problem, frame, cuts)}"
    certain = "cannot be" if optimal else "was not"
    return (
        f"what the rack holds {certain} laid out for it beside the frames cut; "
        f"{_cure(problem, frame, cuts)}"
    )


def _ways(frame: Frame, allowed: list[Piece]) -> Iterator[tuple[str, list[list[Piece]]]]:
    """The sets of pieces a frame may come from together, and what to call the best of them."""
    if frame.pin is not None:
        yield f"piece {frame.pin} has", [allowed]
    elif frame.one_piece:
        yield "no single piece has more than", [[p] for p in allowed]
    elif frame.one_batch or frame.batch is not None:
        batches: dict[str, list[Piece]] = defaultdict(list)
        for piece in allowed:
            batches[piece.batch].append(piece)
        yield "no batch on the rack has more than", list(batches.values())
    else:
        yield "the rack has no more than", [allowed]


def _cure(problem: Problem, frame: Frame, cuts: Sequence[Cut]) -> str:
    """The least to buy that would let the frame be cut beside the frames cut."""
    if frame.pin is not None:
        return "take off the pin"
    rules, known = problem.rules_of(frame.profile), 0
    for piece in problem.pieces:
        if piece.profile == frame.profile and piece.kind == "stick":
            known = max(known, piece.length)
    usable = least_sticks(frame, left_for(problem, frame, cuts), rules.cut_allowance)
    if 0 in usable:
        return "the rack would do: plan again with more time"
    least = {count: length + 2 * rules.end_trim for count, length in usable.items()}
    fewest, most = min(least), max(least)
    if not known and most > fewest:
        return f"{_sticks(frame, fewest, least)}, or {_sticks(frame, most, least)}, would do"
    # As few as will do of the length that the rack knows, or else as short as can be.
    count = next((n for n in sorted(least) if least[n] <= known), most)
    return f"{_sticks(frame, count, least)} would do"


def _sticks(frame: Frame, count: int, least: Mapping[int, int]) -> str:
    batch = f" of batch {frame.batch}" if frame.batch is not None else ""
    return (
        f"{count} more {'stick' if count == 1 else 'sticks'}{batch}, {mm(least[count])} or longer"
    )
