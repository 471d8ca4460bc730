"""Why a frame is short and what would cure it; why a stick was opened. In plain words.

Lengths in these sentences are decimal millimetres, each followed by ``mm``.
"""

from collections import defaultdict
from collections.abc import Iterator

from planner.values import Cut, Frame, Piece, Problem, Score, Short, stretches

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
    if bounds.stick_opened:
        why = f"at least {mm(bounds.stick_opened)} of sticks must be opened for these frames"
    else:
        why = "no way was found to cut these frames from offcuts alone"
    return {name: f"for {', '.join(frames)}: {why}" for name, frames in served.items()}


def why_short(
    problem: Problem, cuts: tuple[Cut, ...], frames: list[Frame], optimal: bool
) -> tuple[Short, ...]:
    """Each frame left out, why, and what would cure it."""
    used = {cut.piece for cut in cuts}
    return tuple(Short(f.id, _why(problem, f, used, optimal)) for f in frames)


def _why(problem: Problem, frame: Frame, used: set[str], optimal: bool) -> str:
    rules = problem.rules_of(frame.profile)
    rack = [p for p in problem.pieces if p.profile == frame.profile]
    allowed = [p for p in rack if frame.pin in (None, p.id) and frame.batch in (None, p.batch)]
    if not rack:
        return f"no piece of {frame.profile} is on the rack; {_cure(problem, frame)}"
    if not allowed:
        tie = f"batch {frame.batch}"
        if frame.pin is not None:
            return f"piece {frame.pin} is not of {tie}; take off the pin or the batch"
        return f"no piece of {tie} is on the rack; {_cure(problem, frame)}"
    room = {p.id: [s.length for s in stretches(p, rules)] for p in allowed}
    longest, rail = max((s for runs in room.values() for s in runs), default=0), max(frame.rails)
    if rail > longest:
        whose = f"piece {frame.pin}" if frame.pin else "any piece it may come from"
        return f"a rail of {mm(rail)} is longer than {whose} (longest stretch {mm(longest)}); " + (
            _cure(problem, frame)
        )
    need = sum(frame.rails) + (len(frame.rails) - 1) * rules.cut_allowance
    for what, groups in _ways(frame, allowed):
        most = max(sum(sum(room[p.id]) for p in group) for group in groups)
        if most < sum(frame.rails):
            return f"its rails take {mm(need)} and {what} {mm(most)}; {_cure(problem, frame)}"
    certain = "cannot be" if optimal else "was not"
    return (
        f"what the rack holds {certain} laid out for it beside the frames cut; "
        f"{_cure(problem, frame)}"
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


def _cure(problem: Problem, frame: Frame) -> str:
    """The least that would let the frame be cut, counted on new sticks alone."""
    rules = problem.rules_of(frame.profile)
    sticks = [p.length for p in problem.pieces if p.profile == frame.profile and p.kind == "stick"]
    if frame.pin is not None:
        return "take off the pin"
    longest = max(frame.rails)
    if frame.one_piece:
        longest = sum(frame.rails) + (len(frame.rails) - 1) * rules.cut_allowance
    least = longest + 2 * rules.end_trim
    if max(sticks, default=0) >= least:
        return f"one more stick of {mm(max(sticks))} may do"
    return f"it takes sticks of {mm(least)} or longer"
